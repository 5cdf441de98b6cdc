"""Every page template of ours: at which address, for whom and in which state it is looked at.

`{…}` in an address is a name of tests/flows/places.py. `after` is what is done on the page before it is looked at.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from tests.flows.application import CHECKOUT

TEMPLATES = CHECKOUT / "templates"
PAGE = re.compile(r'\{% extends "(base\.html|_bare\.html|admin/[\w/]+\.html)" %\}')
TITLE = re.compile(r"\{% block title %\}(.*?)\{% endblock %\}")
# What stands only at times, or is only known when the page is made.
TAG = re.compile(r"\{% if.*\{% endif %\}|\{[{%].*?[}%]\}")

SEND_EMPTY = "send the form with every field empty"
OPEN_ALL = "open everything that opens"


@dataclass(frozen=True, slots=True)
class Look:
    """One look at one template. `status`: what the address (or the form that is sent) answers with."""

    template: str
    address: str
    role: str = "coach"
    after: str = ""
    status: int = 200

    @property
    def name(self) -> str:
        refused = " refused" if self.after == SEND_EMPTY else ""
        return f"{self.template} {self.address} {self.role}{refused}".replace("/", ".")


FORM = "athletes/form.html"
PROFILE, CAUSES = "admin/metrics/rangeprofileversion", "admin/metrics/causegraphversion"
PROFILES, GRAPHS = "/admin/metrics/rangeprofileversion", "/admin/metrics/causegraphversion"

FULLEST = (
    Look("desk/today.html", "/", after=OPEN_ALL),
    Look("desk/today.html", "/?here=a&who=everyone"),
    Look("desk/roster.html", "/roster/?who=everyone"),
    Look("desk/search.html", "/search/?q=a"),
    Look("desk/record.html", "/athletes/{family}/", after=OPEN_ALL),
    Look("desk/record.html", "/athletes/{hurt}/"),
    Look("desk/record.html", "/athletes/{hurt}/", "clinician"),
    Look("desk/training_groups.html", "/groups/"),
    Look("desk/training_group.html", "/groups/{group}/"),
    Look("desk/reading_by_program.html", "/reading-by-program/"),
    Look("plans/plan.html", "/athletes/{family}/plan/", after=OPEN_ALL),
    Look("plans/change.html", "/athletes/{family}/plan/{given}/", after=OPEN_ALL),
    Look("plans/give.html", "/athletes/{hurt}/plan/give/?use=inner_thigh_rock"),
    Look("plans/plan.html", "/athletes/{hurt}/plan/", "clinician", after=OPEN_ALL),
    Look("plans/choose.html", "/athletes/{family}/plan/choose/"),
    Look("plans/give.html", "/athletes/{family}/plan/give/?use=chest_opener&use=latissimus_stretch", after=OPEN_ALL),
    Look("plans/follow_ups.html", "/follow-ups/"),
    Look("plans/follow_ups_month.html", "/follow-ups/month/"),
    Look("plans/follow_up.html", "/follow-ups/{follow_up}/"),
    Look("plans/follow_up.html", "/follow-ups/{follow_up}/", "admin"),
    Look("plans/reminders.html", "/account/reminders/"),
    Look("desk/groups.html", "/", "visiting coach"),
    Look("desk/availability.html", "/athletes/{seen}/", "visiting coach"),
    Look("desk/referred.html", "/", "clinician"),
    Look("desk/mine.html", "/mine/{family}/"),
    Look("desk/mine.html", "/mine/{family}/", "athlete"),
    Look("desk/mine.html", "/mine/{hurt}/"),
    Look("desk/children.html", "/", "guardian of two"),
    Look("plans/library.html", "/library/"),
    Look("plans/intervention.html", "/library/hip_turns_seated/"),
    Look("plans/intervention.html", "/library/hip_turns_seated/", "admin"),
    Look("plans/intervention_form.html", "/library/hip_turns_seated/change/", "admin"),
    Look("plans/works_here.html", "/works-here/"),
    Look("sessions/uploads.html", "/uploads/", after=OPEN_ALL),
    Look("metrics/import.html", "/uploads/{asked}/"),
    Look("metrics/import.html", "/uploads/{recorded}/", after=OPEN_ALL),
    Look("metrics/import.html", "/uploads/{accepted}/"),
    Look("metrics/import_unit.html", "/uploads/{asked}/parts/{unit}/"),
    Look("metrics/session.html", "/sessions/{measured}/?all=1", after=OPEN_ALL),
    Look("metrics/session.html", "/sessions/{filmed}/?all=1", after=OPEN_ALL),
    Look("metrics/session.html", "/sessions/{by_hand}/"),
    Look("metrics/compare.html", "/athletes/{family}/compare/?a={filmed}&b={filmed}", after=OPEN_ALL),
    Look("metrics/compare.html", "/athletes/{hurt}/compare/", after=OPEN_ALL),
    Look("metrics/compare.html", "/athletes/{hurt}/compare/?whom={family}&name=a", after=OPEN_ALL),
    Look("metrics/trends.html", "/athletes/{family}/trends/?all=1", after=OPEN_ALL),
    Look("metrics/trends.html", "/athletes/{family}/trends/?method=hands_on&values=1"),
    Look("metrics/session_finding.html", "/sessions/{measured}/findings/{metric}/"),
    Look("metrics/session_move.html", "/sessions/{measured}/move/"),
    Look("metrics/throws_move.html", "/sessions/{measured}/throws/move/"),
    Look("metrics/share.html", "/sessions/{measured}/share/"),
    Look("metrics/screens.html", "/athletes/{family}/screens/?draft={typed}", after=OPEN_ALL),
    Look("metrics/screens.html", "/athletes/{hurt}/screens/", after=OPEN_ALL),
    Look("metrics/screens_saved.html", "/screens/saved/{screened}/"),
    Look("metrics/screens_station.html", "/screens/station/?only=grip_strength&who=list&athlete={family}"),
    Look("metrics/screens_station_choice.html", "/screens/station/"),
    Look("metrics/screens_blank.html", "/screens/blank/?athlete={family}"),
    Look(FORM, "/athletes/{family}/edit/"),
    Look(FORM, "/athletes/{family}/open-session/"),
    Look(FORM, "/athletes/{hurt}/pain/{pain}/clearance/"),
    Look(f"{PROFILE}/change_form.html", PROFILES + "/{profile}/change/", "admin"),
    Look(f"{PROFILE}/change_form.html", PROFILES + "/{draft_profile}/change/", "admin"),
    Look(f"{PROFILE}/step.html", PROFILES + "/{profile}/copy/", "admin"),
    Look(f"{PROFILE}/step.html", PROFILES + "/{draft_profile}/publish/", "admin"),
    Look(f"{CAUSES}/change_form.html", GRAPHS + "/{causes}/change/", "admin"),
    Look(f"{CAUSES}/change_form.html", GRAPHS + "/{draft_causes}/change/", "admin"),
    Look(f"{CAUSES}/picture.html", GRAPHS + "/{causes}/picture/", "admin"),
    Look(f"{CAUSES}/step.html", GRAPHS + "/{causes}/copy/", "admin"),
    Look(f"{CAUSES}/step.html", GRAPHS + "/{draft_causes}/publish/", "admin"),
    Look(f"{CAUSES}/step.html", GRAPHS + "/{draft_causes}/upload/", "admin"),
    Look("admin/metrics/causelink/change_list.html", "/admin/metrics/causelink/?version={causes}", "admin"),
    Look("admin/base_site.html", "/admin/", "admin"),
    Look("403.html", "/uploads/", "guardian", status=403),
    Look("404.html", "/athletes/00000000-0000-4000-8000-000000000000/", status=404),
    Look("registration/login.html", "/sign-in/", ""),
    Look("registration/forgotten.html", "/forgotten-password/", ""),
    Look("registration/new_password_done.html", "/new-password/done/", ""),
    Look("athletes/account.html", "/account/"),
    Look("athletes/account_form.html", "/account/password/", "guardian"),
    Look("athletes/codes_set_up.html", "/account/codes/"),
    Look("athletes/invite.html", "/athletes/{family}/invite/"),
    Look("athletes/invite.html", "/athletes/invite/"),
    Look("athletes/join.html", "{invited}", ""),
    Look("athletes/invitation_closed.html", "{taken_back}", "", status=410),
    Look("athletes/agree.html", "/athletes/{family}/agree/", "guardian"),
    Look("athletes/consent_take_back.html", "/athletes/{family}/consent/take-back/", "guardian"),
    Look("athletes/my_people.html", "/athletes/{grown}/people/", "athlete of age"),
    Look("athletes/same_person.html", "/athletes/{family}/same-person/?other={grown}"),
    Look("desk/looks.html", "/mine/{family}/looks/", "athlete"),
    Look("desk/shared.html", "/shared/{shared}/", "guardian"),
    Look("plans/throwing.html", "/athletes/{family}/throwing/", after=OPEN_ALL),
    Look("plans/throwing.html", "/athletes/{seen}/throwing/", "visiting coach"),
    Look("plans/throws_change.html", "/athletes/{family}/throwing/{thrown}/", "guardian"),
    Look("desk/turn_pin.html", "/turn/pin/?path=/athletes/{family}/"),
    Look("desk/turn_back.html", "/turn/back/", "coach who turned"),
)

REFUSED = (
    Look("athletes/invite.html", "/athletes/{family}/invite/", after=SEND_EMPTY, status=422),
    Look("athletes/join.html", "{invited}", "", after=SEND_EMPTY, status=422),
    Look("athletes/account_form.html", "/account/password/", "guardian", after=SEND_EMPTY, status=422),
    Look("desk/turn_pin.html", "/turn/pin/?path=/athletes/{family}/", after=SEND_EMPTY, status=422),
    Look("desk/turn_back.html", "/turn/back/", "coach who turned", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/new/", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/{family}/edit/", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/{family}/body-size/", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/{family}/notes/add/", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/{family}/availability/", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/{family}/pain/", "athlete", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/{hurt}/pain/{pain}/clearance/", after=SEND_EMPTY, status=422),
    Look(FORM, "/athletes/{family}/consent/", after=SEND_EMPTY, status=422),
    Look("plans/intervention_form.html", "/library/add/", "admin", after=SEND_EMPTY, status=422),
    Look("plans/media_form.html", "/library/hip_turns_seated/media/add/", "admin", after=SEND_EMPTY, status=422),
    Look("plans/throwing.html", "/athletes/{family}/throwing/", "guardian", after=SEND_EMPTY, status=422),
    Look("plans/give.html", "/athletes/{family}/plan/give/?use=chest_opener", after=SEND_EMPTY, status=422),
    Look("metrics/share.html", "/sessions/{measured}/share/", after=SEND_EMPTY, status=422),
    Look("metrics/throws_move.html", "/sessions/{measured}/throws/move/", after=SEND_EMPTY, status=422),
    Look("metrics/session_move.html", "/sessions/{measured}/move/", after=SEND_EMPTY, status=422),
)

# Of an athlete of whom nothing is known but name and birth date, in a demonstration that is full otherwise.
OF_A_NEWCOMER = (
    Look("desk/record.html", "/athletes/{athlete}/"),
    Look("desk/mine.html", "/mine/{athlete}/"),
    Look("desk/search.html", "/search/?q=xyzzy"),
    Look("desk/search.html", "/search/?q="),
    Look("desk/roster.html", "/roster/?who=everyone&q=xyzzy"),
    Look("desk/training_group.html", "/groups/{group}/"),
    Look("metrics/session.html", "/sessions/{empty}/"),
    Look("metrics/compare.html", "/athletes/{athlete}/compare/"),
    Look("metrics/trends.html", "/athletes/{athlete}/trends/"),
    Look("plans/plan.html", "/athletes/{athlete}/plan/"),
    Look("plans/throwing.html", "/athletes/{athlete}/throwing/"),
    Look("metrics/screens.html", "/athletes/{athlete}/screens/"),
    Look("metrics/screens_station.html", "/screens/station/?only=grip_strength&who=list&athlete={athlete}"),
    Look("metrics/screens_blank.html", "/screens/blank/"),
)

# In an installation that has just begun: accounts, and nothing else.
ON_THE_FIRST_DAY = (
    Look("desk/today.html", "/"),
    Look("desk/roster.html", "/roster/?who=everyone"),
    Look("desk/training_groups.html", "/groups/"),
    Look("plans/follow_ups.html", "/follow-ups/"),
    Look("plans/follow_ups_month.html", "/follow-ups/month/"),
    Look("desk/search.html", "/search/?q=a"),
    Look("sessions/uploads.html", "/uploads/"),
    Look("metrics/screens_station_choice.html", "/screens/station/"),
    Look("desk/groups.html", "/", "visiting coach"),
    Look("desk/referred.html", "/", "clinician"),
    Look("desk/children.html", "/", "guardian"),
    Look("desk/children.html", "/", "athlete"),
    Look("registration/login.html", "/sign-in/", ""),
)

# Served as the application renders them: no request that is safe to send ends on them.
RENDERED = ("400.html", "403_csrf.html", "500.html", "registration/locked.html", "registration/logged_out.html")

EXCUSES = {
    "athletes/codes.html": "looked at in test_codes.py",
    "athletes/codes_shown.html": "looked at in test_codes.py",
    "athletes/invited.html": "looked at in test_family_walk.py: shows the link once",
    "desk/turned_held.html": "looked at in test_codes.py",
    "plans/reminders_made.html": "looked at in test_follow_ups.py: shows the address once",
    "registration/code.html": "looked at in test_codes.py",
    "registration/forgotten_sent.html": "looked at in test_codes.py",
    "registration/new_password.html": "looked at in test_codes.py",
}


def page_templates() -> set[str]:
    """Every template that is a page of its own."""
    found = (path for path in TEMPLATES.rglob("*.html") if PAGE.search(path.read_text()))
    return {path.relative_to(TEMPLATES).as_posix() for path in found}


def titles(template: str) -> re.Pattern[str] | None:
    """What the title of a page of this template looks like; None where the template does not say it."""
    said = TITLE.search((TEMPLATES / template).read_text())
    if said is None:
        return None
    # A browser draws the spaces of a title together; what a tag puts there may be empty.
    words = (" ".join(part.split()) for part in TAG.split(said[1]))
    return re.compile(".*".join(re.escape(part) for part in words) + r"\Z", re.DOTALL)
