"""What the family page says of throwing: may I, what rest is due, and on which day is measured next."""

from __future__ import annotations

import pytest

from tests import factories
from tests.desk.families import shared
from tests.desk.people import ago
from tests.factories.plans import PrescriptionFactory, ThrowCountFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


def test_says_that_they_can_throw_and_within_which_limits(athlete, athlete_user, guardian, home):
    assert "You can throw. No limits today." in home(athlete_user)
    assert "Ikaika can throw." in home(guardian)
    factories.AvailabilityFactory(athlete=athlete, state="limited", limits="60 throws", valid_from=ago(1))
    assert "Keep to this: 60 throws." in home(athlete_user)


def test_says_that_they_are_stopped_and_what_must_happen(athlete, athlete_user, guardian, home):
    factories.PainReportFactory(athlete=athlete, where="elbow")
    for user, who in ((athlete_user, "You are"), (guardian, "Ikaika is")):
        text = home(user)
        assert f"{who} stopped: no throwing, no hard work." in text
        assert "Pain: elbow." in text
        assert "can throw" not in text


def test_away_is_neither_stopped_nor_free(athlete, athlete_user, home):
    factories.AvailabilityFactory(athlete=athlete, state="away", valid_from=ago(1), until=ago(-5))
    text = home(athlete_user)
    assert "You are away. Until 19 April." in text
    assert "can throw" not in text


@pytest.mark.parametrize(
    ("state", "limits", "own", "parents"),
    [
        ("limited", "60 throws", "You can throw a little. Keep to this: 60 throws.", "Ikaika can throw a little."),
        (
            "return_to_throw",
            "stage 3 of 6",
            "You are coming back to throwing. Do this and no more: stage 3 of 6.",
            "Ikaika is coming back to throwing.",
        ),
        ("return_to_throw", "", "Ask your coach how much, each time.", "Ask your coach how much"),
        (
            "stopped",
            "",
            "You are stopped: no throwing, no hard work. Since 13 April. Ask your coach when you can start again.",
            "Ask your coach when Ikaika can start again.",
        ),
    ],
)
def test_every_availability_is_a_sentence(state, limits, own, parents, athlete, athlete_user, guardian, home):
    factories.AvailabilityFactory(athlete=athlete, state=state, limits=limits, valid_from=ago(1))
    assert own in home(athlete_user)
    assert parents in home(guardian)


REST = "Rest from pitching today, by the count of pitches."


@pytest.mark.parametrize(
    ("available", "said"),
    [
        (None, f"You can throw. But {REST.lower()}"),
        ({"state": "full", "limits": "80 throws"}, f"Keep to this: 80 throws. {REST}"),
        ({"state": "limited", "limits": "60 throws"}, f"Keep to this: 60 throws. {REST}"),
        ({"state": "return_to_throw", "limits": "stage 3 of 6"}, f"Do this and no more: stage 3 of 6. {REST}"),
        ({"state": "return_to_throw"}, f"Ask your coach how much, each time. {REST}"),
        ({"state": "away", "until": ago(-5)}, f"You are away. Until 19 April. {REST}"),
    ],
)
def test_rest_that_is_due_stands_in_the_head_whatever_the_limits(available, said, athlete, athlete_user, home):
    ThrowCountFactory(athlete=athlete, date=ago(1), pitches=60)
    if available:
        factories.AvailabilityFactory(athlete=athlete, valid_from=ago(1), **available)
    text = home(athlete_user)
    assert said in text
    assert "No limits today" not in text


# ---- the next time we look ------------------------------------------------------------------------------

AS_NOW, SAME_THINGS = "Throw as you do now.", "We measure the same things again, and see what changed."


@pytest.mark.parametrize(
    ("spoil", "is_free"),
    [
        (lambda athlete: None, True),
        (lambda athlete: factories.AvailabilityFactory(athlete=athlete, state="full", valid_from=ago(1)), True),
        (lambda athlete: factories.PainReportFactory(athlete=athlete), False),
        (lambda athlete: ThrowCountFactory(athlete=athlete, date=ago(1), pitches=60), False),
        *(
            (
                lambda athlete, state=state: factories.AvailabilityFactory(
                    athlete=athlete, state=state, limits="60 throws", valid_from=ago(1)
                ),
                False,
            )
            for state in ("full", "limited", "return_to_throw", "stopped", "away")
        ),
    ],
)
def test_nobody_who_must_hold_back_is_told_to_throw_as_now(spoil, is_free, athlete, athlete_user, home):
    shared(athlete, look_again_on=ago(-21))
    spoil(athlete)
    text = home(athlete_user)
    assert SAME_THINGS in text
    assert (AS_NOW in text) is is_free


PAST = "We planned to look again on {}. That day is past. Ask your coach for a new one."


@pytest.mark.parametrize(
    ("told", "due", "said", "never"),
    [
        (ago(-21), ago(-9), "Thursday 23 April", "5 May"),
        (ago(-9), ago(-21), "Thursday 23 April", "5 May"),
        (ago(-9), None, "Thursday 23 April", "is past"),
        (None, ago(-9), "Thursday 23 April", "is past"),
        (ago(-9), ago(4), "Thursday 23 April", "is past"),
        (ago(4), ago(-9), "Thursday 23 April", "is past"),
        (ago(0), ago(4), "Tuesday 14 April", "is past"),
        (ago(4), ago(7), PAST.format("Friday 10 April"), "7 April"),
        (None, ago(7), PAST.format("Tuesday 7 April"), "10 April"),
    ],
)
def test_one_day_of_the_next_measuring_stands_there_the_soonest_ahead(
    told, due, said, never, athlete, athlete_user, home
):
    shared(athlete, days=40, look_again_on=told)
    if due:
        PrescriptionFactory(athlete=athlete, start=ago(60), due=due)
    text = home(athlete_user)
    assert text.count("Next time we look") == 1
    section = text.split("Next time we look")[1].split("Does it hurt?")[0]
    assert section.strip().startswith(said)
    assert never not in section
    assert "easure again" not in text.replace("We measure the same things again", "")


def test_who_was_measured_since_the_day_is_not_sent_to_ask_for_a_new_one(athlete, athlete_user, home):
    shared(athlete, days=40, look_again_on=ago(3))
    factories.CaptureSessionFactory(athlete=athlete, date=ago(2))
    text = home(athlete_user)
    assert "That day was Saturday 11 April. What we saw will stand here soon." in text
    assert "is past" not in text
