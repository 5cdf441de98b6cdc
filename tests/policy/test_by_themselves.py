"""Lists ask for themselves who reads them: whatever page calls them, a stranger’s is empty.

Pages ask the role first, so that no page shows what these tests look for; the next page may forget to ask.
"""

from __future__ import annotations

import pytest
from django.contrib.auth.models import AnonymousUser

from athletes.models import Athlete, CheckIn, Note
from athletes.policy import RIGHTS, Action, may, may_read_measured, role_may
from desk.selectors import groups, here, roster, search, today
from desk.selectors.needs_care import pain_and_stops
from desk.selectors.needs_work import uploads_needed
from desk.selectors.roster_rows import rows_of
from desk.selectors.watched import read_watched
from metrics.models import Finding, ScreenDraft, ScreenEntry, Share
from metrics.selectors.imports import athlete_options, upload_lines
from sessions.models import CaptureSession, Upload
from sessions.selectors import choices_of_list, open_sessions, uploads_in_list
from tests import factories
from tests.factories import DAY
from tests.policy.secrets import NAME

pytestmark = pytest.mark.django_db

EVERYONE = roster.RosterChoice(who="everyone")


def a_stranger():
    """A coach’s page may call a list for anybody: here for a guardian of nobody."""
    return factories.UserFactory(role="guardian", username="guardian-of-nobody")


MODELS = (Athlete, CheckIn, Note, CaptureSession, Upload, Finding, ScreenEntry, ScreenDraft, Share)
LISTS = {
    "uploads": lambda user, world: uploads_in_list(user),
    "counts of uploads": lambda user, world: [one for one in choices_of_list(user) if one.count],
    "open sessions": lambda user, world: open_sessions(user),
    "lines of uploads": lambda user, world: upload_lines(user, [world.uuid_of("upload")]),
    "athletes to choose": lambda user, world: athlete_options(user),
    "watched athletes": lambda user, world: read_watched(user, DAY).rows,
    "newest sessions": lambda user, world: today.todays_work(user, DAY).recent,
    "roster": lambda user, world: roster.roster_rows(user, EVERYONE, DAY),
    "rows of the roster": lambda user, world: rows_of(user, [world.athlete.pk], DAY),
    "counts of the roster": lambda user, world: range(roster.roster_counts(user).everyone),
    "pain and stops": lambda user, world: pain_and_stops(read_watched(user, DAY)).lines,
    "uploads that wait": lambda user, world: uploads_needed(user, DAY).lines,
    "files coming": lambda user, world: range(today.files_coming(user)),
    "whom to check in": lambda user, world: here.checking_in(user, DAY, here.HereChoice(name=NAME)).listed,
    "groups": lambda user, world: groups.groups_visible_to(user),
    "referred athletes": lambda user, world: groups.referred_athletes(user, DAY),
    "found athletes": lambda user, world: search.search(user, NAME).athletes,
}


@pytest.mark.parametrize("name", LISTS)
def test_a_list_is_empty_for_a_stranger_and_not_for_a_coach(door, name):
    ask, world = LISTS[name], door.world
    CaptureSession.objects.filter(pk=world.things["session"].pk).update(state="open")
    Upload.objects.filter(pk=world.things["unnamed recording"].pk).update(state="reading")
    assert list(ask(a_stranger(), world)) == []
    assert list(ask(world.accounts["coach"], world)) != []


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_rows_are_nobodys_who_is_not_tied(door, model):
    assert list(model.objects.visible_to(a_stranger())) == []
    assert list(model.objects.visible_to(AnonymousUser())) == []
    assert list(model.objects.visible_to(door.world.accounts["coach"])) != []


@pytest.mark.parametrize("action", Action)
def test_a_right_reaches_only_athletes_to_whom_one_is_tied(door, action):
    """Every right is somebody’s, and nobody has one over an athlete whom they are not tied to."""
    for account in door.world.accounts.values():
        held = account.role in RIGHTS[action]
        tied = Athlete.objects.visible_to(account).filter(pk=door.world.athlete.pk).exists()
        assert role_may(account, action) is held
        assert may(account, action, door.world.athlete) is (held and tied)


def test_a_disabled_account_has_no_right(door):
    account = factories.UserFactory(role="admin", username="disabled", is_active=False)
    assert not any(role_may(account, action) for action in Action)
    assert list(Athlete.objects.visible_to(account)) == []


def test_only_admins_read_measurements_without_consent(door):
    athlete = Athlete.objects.get(pk=door.world.athlete.pk)
    readers = {key for key, one in door.world.accounts.items() if may_read_measured(one, athlete)}
    athlete.consent_withdrawn_on = DAY
    left = {key for key, one in door.world.accounts.items() if may_read_measured(one, athlete)}
    assert readers == {"admin", "coach", "other_coach", "clinician", "other_clinician"}
    assert left == {"admin"}
