"""One athlete of whom everything there can be is recorded, and another of whom enough is to be a stranger."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid4

from django.core.files.uploadedfile import SimpleUploadedFile

from athletes.models import Athlete, CheckIn, Contact, Invitation, Note, SignIn, User
from athletes.services.groups import set_season_phase
from athletes.services.merging import merge_athletes
from metrics.catalogue import load_catalogue
from metrics.models import ImportUnit, ScreenDraft, Standing, StartingPointAnswer
from metrics.services.causes import install_starting_cause_links
from metrics.services.scoring import rescore
from metrics.services.screens.saving import save_screens
from metrics.sharing import SharedContent
from plans.models import InterventionMedia
from plans.services.media import add_media
from sessions.models import CaptureSession, Upload
from tests import factories
from tests.factories import DAY, NOON
from tests.factories.plans import InterventionVersionFactory, PrescriptionFactory, ThrowCountFactory
from tests.metrics.imports.conftest import HEADER, UNITS, Room
from tests.metrics.imports.conftest import rows as table_rows
from tests.metrics.motion.conftest import CaptureRoom, renamed_bytes, throw_bytes
from tests.plans.media_files.files import png
from tests.policy.personas import make_accounts
from tests.policy.secrets import NAME, OTHER_NAME, SECRETS

MECHANIC, LOAD = "elbow_flexion_fp", "elbow_varus_torque_max"


def words(secret: str) -> str:
    return SECRETS[secret][0]


@dataclass(slots=True)
class World:
    """`things`: every row that an address can name, by what the table of places calls it."""

    accounts: dict[str, User]
    athlete: Athlete
    other: Athlete
    things: dict[str, Any] = field(default_factory=dict)

    def uuid_of(self, thing: str) -> UUID:
        return self.things[thing].uuid


def build_world() -> World:
    factories.FacilityFactory()
    factories.starting_profiles()
    install_starting_cause_links()
    accounts = make_accounts()
    world = World(accounts, _athlete(accounts), _other(accounts))
    world.things["athlete"] = world.athlete
    _people(world)
    _merge(world)
    _care(world)
    _measure(world)
    _say(world)
    _share(world)
    _screen(world)
    _upload(world)
    _work(world)
    _recurs(world.athlete)
    return world


def _athlete(accounts: dict[str, User]) -> Athlete:
    athlete = factories.AthleteFactory(
        given_name="Zephyrine",
        family_name=NAME,
        birth_date=dt.date.fromisoformat(words("birth date")),
        responsible_coach=accounts["coach"],
        account=accounts["athlete"],
        consent=False,
    )
    factories.ConsentFactory(athlete=athlete, given_by_name=words("who consented"))
    return athlete


def _other(accounts: dict[str, User]) -> Athlete:
    """Every stranger to the one is tied to the other: a page of somebody’s own must still not show the one."""
    other = factories.AthleteFactory(
        given_name="Perpetua", family_name=OTHER_NAME, account=accounts["other_athlete"], responsible_coach=None
    )
    factories.TrainingGroupFactory(
        name="Second group", athletes=[other], visiting_coaches=[accounts["other_visiting_coach"]]
    )
    factories.ReferralFactory(clinician=accounts["other_clinician"], athlete=other)
    factories.GuardianshipFactory(guardian=accounts["other_guardian"], athlete=other)
    return other


def _people(world: World) -> None:
    accounts, athlete = world.accounts, world.athlete
    world.things["group"] = factories.TrainingGroupFactory(
        name="First group", athletes=[athlete], visiting_coaches=[accounts["visiting_coach"]]
    )
    world.things["act on the group"] = set_season_phase(
        group=world.things["group"], phase="in_season", valid_from=DAY, by=accounts["coach"]
    )
    factories.ReferralFactory(clinician=accounts["clinician"], athlete=athlete, reason=words("reason of a referral"))
    factories.GuardianshipFactory(guardian=accounts["guardian"], athlete=athlete)
    User.objects.filter(pk=accounts["guardian"].pk).update(email=words("e-mail of a family account"))
    Contact.objects.create(athlete=athlete, name="Aunt", phone=words("phone of a contact"))
    factories.ExternalIdFactory(athlete=athlete, value=words("id in another system"))
    world.things["invitation of a coach"] = Invitation.objects.create(
        email="crane@elsewhere.example", role="coach", secret_digest="e" * 64,
        invited_by=accounts["admin"], invited_at=NOON, expires_at=NOON + dt.timedelta(days=7),
    )  # fmt: skip
    world.things["other’s invitation"] = Invitation.objects.create(
        email="crane@family.example", role="guardian", athlete=world.other, secret_digest="f" * 64,
        invited_by=accounts["coach"], invited_at=NOON, expires_at=NOON + dt.timedelta(days=7),
    )  # fmt: skip
    world.things |= {"guardian": accounts["guardian"], "other’s guardian": accounts["other_guardian"]}
    world.things["somebody else’s sign-in"] = SignIn.objects.create(
        account=factories.UserFactory(role="coach", username="account-elsewhere"), at=NOON, last_seen_at=NOON
    )
    world.things["invitation"] = Invitation.objects.create(
        email=words("e-mail of an invitation"), role="guardian", athlete=athlete, secret_digest="d" * 64,
        invited_by=accounts["coach"], invited_at=NOON, expires_at=NOON + dt.timedelta(days=7),
    )  # fmt: skip


def _merge(world: World) -> None:
    """A second record of the athlete, which was made one with the first."""
    second = factories.AthleteFactory(given_name="Zephyrine", family_name=NAME)
    merge_athletes(kept=world.athlete, merged=second, by=world.accounts["coach"])
    world.things["merged record"] = second


def _care(world: World) -> None:
    athlete = world.athlete
    factories.AvailabilityFactory(
        athlete=athlete, valid_from=DAY, state="limited", limits=words("limits"), set_by=world.accounts["clinician"]
    )
    cleared = factories.PainReportFactory(
        athlete=athlete, where="shin", reported_by=world.accounts["guardian"], reported_at=NOON - dt.timedelta(days=9)
    )
    factories.ClearanceFactory(
        report=cleared, limits=words("limits of a clearance"), cleared_by_name=words("who cleared")
    )
    world.things["pain report"] = factories.PainReportFactory(
        athlete=athlete, where=words("where it hurts"), reported_by=world.accounts["guardian"]
    )
    world.things["other’s pain report"] = factories.PainReportFactory(athlete=world.other)
    world.things["other’s check-in"] = CheckIn.objects.create(
        athlete=world.other, date=DAY, at=NOON, feeling="fine", by=world.accounts["coach"]
    )
    world.things["check-in"] = CheckIn.objects.create(
        athlete=athlete, date=DAY, at=NOON, feeling="sore", words=words("word of a check-in"),
        by=world.accounts["athlete"],
    )  # fmt: skip


def _work(world: World) -> None:
    """Work that the family reads, with its follow-up, and throws of a day."""
    work = PrescriptionFactory(athlete=world.athlete)
    world.things["prescription"], world.things["follow-up"] = work, work.follow_ups.get()
    world.things["other’s prescription"] = PrescriptionFactory(athlete=world.other)
    by = world.accounts["guardian"]
    world.things["throws of a day"] = ThrowCountFactory(
        athlete=world.athlete, entered_by=by, words=words("word about throws")
    )
    gone = ThrowCountFactory(athlete=world.athlete, entered_by=by)
    gone.mark_withdrawn(by, "")
    gone.save()
    world.things["withdrawn throws"] = gone
    world.things["other’s throws of a day"] = ThrowCountFactory(athlete=world.other)
    world.things["picture of shown work"] = _picture(world)


def _picture(world: World) -> InterventionMedia:
    """Of work that nobody but this athlete has."""
    version = InterventionVersionFactory(intervention__key="slow_step_down")
    PrescriptionFactory(athlete=world.athlete, version=version)
    file = SimpleUploadedFile("step.png", png())
    return add_media(
        intervention=version.intervention, file=file, told="Down slowly, on one leg", by=world.accounts["admin"]
    )


def captured(athlete: Athlete, values: dict[str, float], **changes: object) -> CaptureSession:
    """A scored session of four throws."""
    capture = factories.CaptureSessionFactory(athlete=athlete, **changes)
    catalogue = load_catalogue()
    readings = {catalogue.metric(key).reading_key("fc"): {"value": value} for key, value in values.items()}
    for _ in range(4):
        factories.ReadingFactory(throw=factories.ThrowFactory(session=capture), values=readings)
    rescore(capture)
    return capture


def _recurs(athlete: Athlete) -> None:
    """The standing as it would be after three such sessions."""
    standing = Standing.objects.get(athlete=athlete)
    standing.flags = [*standing.flags, ["lead_knee_extension", "low", "sure", "recurring"]]
    standing.flags_recurring = 1
    standing.save()


def _measure(world: World) -> None:
    values = {MECHANIC: float(words("measured mechanic")), LOAD: float(words("measured load"))}
    session = captured(world.athlete, values)
    world.things |= {"session": session, "throw": session.throws.first()}
    gone = captured(world.athlete, {MECHANIC: 90.0}, date=DAY - dt.timedelta(days=30))
    gone.mark_withdrawn(world.accounts["coach"], "wrong athlete")
    gone.save()
    world.things["withdrawn session"] = gone
    world.things["other’s session"] = captured(world.other, {MECHANIC: 88.0})
    world.things["other’s throw"] = world.things["other’s session"].throws.first()
    world.things["other’s answer"] = StartingPointAnswer.objects.create(
        session=world.things["other’s session"], kind="accepted", metric=MECHANIC, direction="low", given_at=NOON
    )
    world.things["answer"] = StartingPointAnswer.objects.create(
        session=session, kind="rejected", metric=MECHANIC, direction="high", given_at=NOON,
        reason=words("answer on the starting point"), given_by=world.accounts["coach"],
    )  # fmt: skip


def _say(world: World) -> None:
    author = world.accounts["coach"]
    note = factories.NoteFactory(athlete=world.athlete, text=words("staff note"), author=author)
    factories.NoteFactory(athlete=world.athlete, text=words("note for the family"), author=author, for_family=True)
    gone: Note = factories.NoteFactory(athlete=world.athlete, author=author)
    gone.mark_withdrawn(author, "")
    gone.save()
    world.things |= {"note": note, "withdrawn note": gone}
    world.things["other’s note"] = factories.NoteFactory(athlete=world.other, author=author)


def _share(world: World) -> None:
    session, by = world.things["session"], world.accounts["coach"]
    told = factories.shared_point(value_words=words("value in a share"))
    content = SharedContent((told,), (), session.date, session.method).to_json()
    world.things["share"] = factories.ShareFactory(
        session=session, shared_by=by, summary=words("summary of a share"), content=content
    )
    gone = factories.ShareFactory(session=session, shared_by=by, summary=words("share that was taken back"))
    gone.mark_withdrawn(by, "")
    gone.save()
    world.things["withdrawn share"] = gone
    world.things["other’s share"] = factories.ShareFactory(session=world.things["other’s session"], shared_by=by)


def _screen(world: World) -> None:
    by = world.accounts["coach"]
    sent = {"v-hip_ir_front-1": "57.3"}
    world.things["screen entry"] = save_screens(athlete=world.athlete, by=by, key=uuid4(), date=DAY, sent=sent)
    world.things["screen draft"] = ScreenDraft.objects.create(
        athlete=world.athlete, entered_by=by, updated_at=NOON,
        payload={"v-hip_ir_front-1": words("screen typed and not saved")},
    )  # fmt: skip


def _upload(world: World) -> None:
    tables, recordings = Room(world.accounts["coach"]), CaptureRoom(world.accounts["coach"])
    text = HEADER + UNITS + table_rows(f"Zephyrine {NAME}", words("id in another system"), f"{DAY}")
    ready = tables.match(tables.upload(text, "thylacine-export.csv"))
    recorded = recordings.upload(throw_bytes(), "thylacine-throw.c3d")
    ImportUnit.objects.filter(draft__upload=recorded).update(athlete=world.athlete, date=DAY - dt.timedelta(days=7))
    recorded = recordings.accept(recorded)
    session = recordings.session(recorded)
    unnamed = recordings.upload(renamed_bytes({"R_EL": "elbow out r"}), "renamed.c3d")
    gone = tables.upload(text.replace("Max layback", "Layback"), "withdrawn.csv")
    gone.mark_withdrawn(world.accounts["coach"], "")
    gone.save()
    world.things |= {
        "upload": ready,
        "part of an upload": ImportUnit.objects.get(draft__upload=ready),
        "recorded upload": recorded,
        "part of a recorded upload": ImportUnit.objects.get(draft__upload=recorded),
        "recorded session": session,
        "recorded throw": session.throws.get(),
        "unnamed recording": unnamed,
        "withdrawn upload": Upload.everything.get(pk=gone.pk),
    }
