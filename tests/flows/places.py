"""Where the pages of the demonstration are, and the few rows that the fullest pages still want.

Lines for `app.shell`: `FULL` and `BARE` print one JSON object from name to text; `ACCOUNTS` fills an installation
that has just begun with people, and with nothing else.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.flows.application import Application

FULL = """
import datetime as dt, json, uuid
from athletes.models import Athlete, Guardianship, PainReport, TrainingGroup, User
from athletes.today import facility_today
from athletes.services.care import report_pain
from athletes.services.invitations import invite, revoke
from athletes.services.people import create_athlete
from metrics.models import CauseGraphVersion, Finding, ImportUnit, RangeProfileVersion, ScreenDraft, Share
from metrics.services import causes, profiles
from metrics.services.screens.saving import save_screens
from plans.services.throws import enter_throws
from sessions.models import CaptureSession, ThrowRecording, Upload
coach = User.objects.get(username="coach")
grouped = Athlete.objects.filter(groups__isnull=False, capture_sessions__method="motion_capture")
hurt = grouped.filter(pain_reports__isnull=False).first() or grouped.first()
pain = PainReport.objects.filter(clearance=None, athlete=hurt).first()
pain = pain or report_pain(athlete=hurt, where="elbow", by=coach)
family = Athlete.objects.get(account__username="athlete")
measured = CaptureSession.objects.filter(athlete=hurt, method="motion_capture").first()
filmed = ThrowRecording.objects.filter(throw__session__athlete=family).first().throw.session
finding = Finding.objects.filter(session=measured).first()
screened = save_screens(athlete=family, by=coach, key=uuid.uuid4(), date=facility_today(),
    sent={{"v-hip_ir_front-1": "31", "not-hip_ir_back": "pain"}})
typed = ScreenDraft.objects.create(athlete=family, entered_by=coach, updated_at=measured.created_at,
    payload={{"v-shoulder_ir_90_throwing-1": "41", "v-shoulder_ir_90_other-1": "60"}})
thrown = enter_throws(athlete=family, by=User.objects.get(username="guardian"), date=facility_today(), what="game",
    pitches=45)
draft_profile = profiles.copy_to_draft(version=RangeProfileVersion.objects.first(), by=coach)
draft_causes = causes.copy_to_draft(version=CauseGraphVersion.objects.first(), by=coach)
two = User.objects.create_user("two", password="{password}", role="guardian", first_name="Ulrike", last_name="Both")
for child in (hurt, family):
    Guardianship.objects.create(guardian=two, athlete=child, relation="aunt")
grown = create_athlete(given_name="Evander", family_name="Ofage", birth_date=dt.date(2003, 5, 4), throws="right",
    level="college", level_from=dt.date(2022, 1, 1), by=coach)
grown.account = User.objects.create_user("evander", password="{password}", role="athlete", first_name="Evander")
grown.save()
Guardianship.objects.create(guardian=two, athlete=grown, relation="aunt")
User.objects.create_user("turner", password="{password}", role="coach", first_name="Bettina")
asked = invite(email="new@example.org", role="guardian", by=coach, athlete=family, relation="mother")
closed = invite(email="old@example.org", role="guardian", by=coach, athlete=family, relation="father")
revoke(invitation=closed.invitation, by=coach)
from athletes.facts import age_on
from plans.models import FollowUp, InterventionVersion
from plans.services.library import install_starting_library
from plans.services.prescribing import Order, Reason, give_work
install_starting_library()
work, today = InterventionVersion.objects.get(intervention__key="hip_turns_seated", number=1), facility_today()
dose = work.value.dose_at(age_on(family.birth_date, today).years)
follow_up = FollowUp.objects.open().filter(prescription__athlete=family).first() or give_work(athlete=family,
    version=work, reasons=[Reason("hip_ir_front", "low", screened.session)], by=coach,
    order=Order(dose=dose, start=today, due=today + dt.timedelta(weeks=6))).follow_ups.get()
table = Upload.objects.filter(filename__startswith="remote-video").order_by("-state", "pk").first()
recordings = Upload.objects.filter(filename__endswith=".c3d")
recorded = recordings.exclude(state="accepted").first() or recordings.first()
print(json.dumps({{"hurt": str(hurt.uuid), "pain": str(pain.uuid), "family": str(family.uuid),
    "measured": str(measured.uuid), "filmed": str(filmed.uuid), "metric": finding.metric,
    "screened": str(screened.uuid), "typed": str(typed.uuid), "by_hand": str(screened.session.uuid),
    "draft_profile": str(draft_profile.pk), "draft_causes": str(draft_causes.pk),
    "profile": str(RangeProfileVersion.objects.exclude(pk=draft_profile.pk).first().pk),
    "causes": str(CauseGraphVersion.objects.exclude(pk=draft_causes.pk).first().pk),
    "asked": str(table.uuid), "unit": str(ImportUnit.objects.filter(draft__upload=table).first().uuid),
    "recorded": str(recorded.uuid),
    "accepted": str(Upload.objects.filter(filename__endswith=".csv", state="accepted").first().uuid),
    "invited": "/" + asked.link.split("/", 3)[3], "taken_back": "/" + closed.link.split("/", 3)[3],
    "grown": str(grown.uuid), "shared": str(Share.objects.filter(session__athlete=family).first().uuid),
    "thrown": str(thrown.uuid), "group": str(hurt.groups.first().uuid), "follow_up": str(follow_up.uuid),
    "given": str(follow_up.prescription.uuid),
    "seen": str(Athlete.objects.visible_to(User.objects.get(username="visitor")).first().uuid)}}))
"""

# The demonstration's files are read, and what its coach shares of them is shared, while the application is open.
LOADED = """
from metrics.models import Share
from sessions.models import Upload
print(Share.objects.exists() and not Upload.objects.filter(state__in=Upload.WORKING).exists())
"""

BARE = """
import datetime as dt, json
from athletes.models import TrainingGroup, User
from athletes.services.people import create_athlete
from athletes.today import facility_today
from sessions.models import CaptureSession
coach = User.objects.get(username="coach")
athlete = create_athlete(given_name="Perpetua", family_name="Newcome", birth_date=dt.date(2011, 5, 4), throws="left",
    level="youth", level_from=dt.date(2025, 1, 1), by=coach)
group = TrainingGroup.objects.create(name="Nobody yet")
empty = CaptureSession.objects.create(athlete=athlete, date=facility_today(), method="motion_capture",
    throwing_side="left")
print(json.dumps({"athlete": str(athlete.uuid), "group": str(group.uuid), "empty": str(empty.uuid)}))
"""

ACCOUNTS = """
from athletes.models import User
for role, name, password in {accounts}:
    User.objects.create_user(name, password=password, role=role, is_staff=role == "admin", is_superuser=role == "admin")
"""


def asked_for(app: Application, lines: str) -> dict[str, str]:
    """What the lines printed last: the names of places."""
    found: dict[str, str] = json.loads(app.shell(lines).splitlines()[-1])
    return found
