"""From where a change counts: never the session that raised the flag."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.change.pair import change_between
from metrics.judging.values import Limits
from plans.responding.baseline import baseline_of, estimated_baseline, people_of_range, unshrunk
from plans.responding.values import Source, Term
from tests.metrics.change.points import point
from tests.plans.responding.cases import FLAG, PEOPLE, RAISED, TERM, day, seen


def baseline(*sessions, source=PEOPLE, term=TERM, raised_by=RAISED):
    return baseline_of(FLAG, raised_by, sessions, term, source)


def test_the_latest_session_between_flag_and_start_is_measured_baseline():
    found = baseline(seen(83, 6), seen(86, 3), seen(88, 40))

    assert (found.point.mean, found.keys, found.kept, found.estimated) == (83, (6,), 1.0, False)


def test_a_session_on_the_day_of_the_start_is_before_the_work():
    assert baseline(seen(83, 7)).keys == (7,)


def test_a_session_after_the_start_is_no_baseline():
    assert baseline(seen(83, 8)).estimated


def test_the_session_of_the_flag_is_never_the_baseline_even_when_it_is_handed_in_again():
    found = baseline(RAISED, seen(79, 0))

    assert found.estimated
    assert found.point.mean != RAISED.point.mean


def test_what_is_not_comparable_or_not_seen_is_passed_over():
    assert baseline(seen(83, 6, comparable=False), seen(math.nan, 5), seen(84, 4)).keys == (4,)


def test_a_second_flag_before_the_decision_helped_to_decide_and_is_no_baseline():
    assert baseline(seen(81, 2, is_flag=True)).estimated
    assert baseline(seen(81, 2, is_flag=True), seen(88, 1)).keys == (1,)


def test_a_second_flag_after_the_decision_is_a_baseline():
    assert baseline(seen(81, 3, is_flag=True)).keys == (3,)


def test_a_flag_under_other_conditions_does_not_take_the_days_other_session_away():
    assert baseline(seen(83, 2), seen(81, 2, is_flag=True, comparable=False)).keys == (2,)


def test_two_sessions_of_one_day_are_one_baseline():
    first, second = dataclasses.replace(seen(84, 6), key="a"), dataclasses.replace(seen(88, 6), key="b")
    found = baseline(first, second)

    assert (found.point.mean, found.point.n, found.keys) == (86, 10, ("a", "b"))


def test_estimate_worked_by_hand():
    # s_p² = (8·16 + 4·16)/12 = 16, u² = 16/5 + 1.5² = 5.45; SD² = 100, r = 100/105.45 = 0.94832;
    # 100 + 0.94832·(80 - 100) = 81.0336
    found = baseline()

    assert found.kept == pytest.approx(0.94832, abs=0.000005)
    assert found.point.mean == pytest.approx(81.0336, abs=0.0001)
    assert (found.own_mean, found.spread_from, found.keys) == (80.0, "source", (0,))
    assert unshrunk(found) == RAISED.point


@given(st.floats(60, 89), st.floats(0.5, 50), st.integers(1, 30), st.floats(0.0, 8.0))
def test_the_estimate_lies_between_the_flag_and_the_middle_and_is_surer_than_the_flag(mean, sd, n, u_between):
    raised = seen(mean, n=n, u_between=u_between)
    found = estimated_baseline(FLAG, raised, Source(100.0, sd))

    assert mean <= found.point.mean <= 100.0
    assert 0.0 < found.kept < 1.0


def test_the_better_it_is_measured_the_less_it_is_shrunk():
    kept = [estimated_baseline(FLAG, seen(80, n=n), PEOPLE).kept for n in (1, 3, 10, 100)]

    assert kept == sorted(kept)


def test_with_people_as_different_as_can_be_the_estimate_is_the_flag_itself():
    """The limit r → 1: the change then is that of two measured sessions, to the last digit."""
    found = estimated_baseline(FLAG, RAISED, Source(100.0, 1e9))
    now = point(90, 40)

    ours, plain = change_between(found.point, now, kept=found.kept), change_between(RAISED.point, now)

    assert (ours.u, ours.nu, ours.p, ours.word) == pytest.approx((plain.u, plain.nu, plain.p, plain.word))


def test_uncertainty_of_the_change_holds_the_estimates_own():
    """u_d² = r·u² + u² for two sessions alike: the variance of a Bayes estimate is r times that of the mean."""
    found = estimated_baseline(FLAG, RAISED, PEOPLE)
    change = change_between(found.point, point(90, 40), kept=found.kept)

    assert change.u**2 == pytest.approx(5.45 * (found.kept + 1.0))


@pytest.mark.parametrize("source", [None, Source(100.0, 0.0), Source(100.0, math.nan), Source(math.nan, 5.0)])
def test_without_a_source_sd_the_range_stands_in_with_half_of_its_unit(source):
    found = estimated_baseline(FLAG, RAISED, source)

    # middle 100, unit 90 - 85 = 5, SD 2.5: r = 6.25/(6.25 + 5.45)
    assert found.spread_from == "range"
    assert found.kept == pytest.approx(6.25 / 11.7)


@pytest.mark.parametrize(
    ("side", "limits", "expected"),
    [
        ("low", Limits(90, 110, 85, 115), Source(100, 2.5)),
        ("high", Limits(90, 110, 85, 118), Source(100, 4)),
        ("low", Limits(target_low=90, flag_low=85), Source(95, 2.5)),
        ("high", Limits(target_high=110, flag_high=118), Source(102, 4)),
        ("low", Limits(90, 110, 90, 110), Source(100, 5)),  # no watch zone: half the target
        ("low", Limits(target_low=90, flag_low=90, unit_low=6), Source(96, 3)),  # as the rule states
        ("low", Limits(target_low=90, flag_low=90), None),
        ("low", Limits(target_high=110, flag_high=118), None),  # nothing on that side
        ("low", None, None),
    ],
)
def test_people_of_a_range(side, limits, expected):
    assert people_of_range(side, limits) == expected


def test_without_source_and_range_there_is_no_baseline():
    assert baseline(raised_by=seen(80, limits=None), source=None) is None


def test_without_a_session_to_session_uncertainty_nothing_can_be_estimated():
    assert baseline(raised_by=seen(80, u_between=None)) is None


@pytest.mark.parametrize("follow_up", [7, 6])
def test_the_follow_up_comes_after_the_start(follow_up):
    with pytest.raises(ValueError, match="follow-up after the start"):
        Term(written=day(0), start=day(7), follow_up=day(follow_up))


def test_work_that_is_entered_late_was_decided_on_by_every_flag_before_it():
    late = Term(written=day(20), start=day(7), follow_up=day(35))

    assert baseline(seen(81, 6, is_flag=True), seen(84, 3), term=late).keys == (3,)
