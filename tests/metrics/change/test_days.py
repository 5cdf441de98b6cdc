"""One measurement a day: two sessions of a day are as one session of all their throws."""

from __future__ import annotations

import math

import numpy as np
import pytest

from metrics.change.days import one_a_day, uncertainties
from metrics.change.pair import change_between
from metrics.judging.findings import measure_one
from tests.metrics.change.points import point

MORNING, EVENING = [80.0, 84.0, 83.0], [88.0, 85.0]


def session(throws, day=0, **changed):
    sd = float(np.std(throws, ddof=1)) if len(throws) > 1 else None
    return point(float(np.mean(throws)), day, n=len(throws), sd=sd, **changed)


def test_sessions_of_one_day_are_as_one_of_all_their_throws():
    (day,) = one_a_day([session(MORNING), session(EVENING)])
    whole = session([*MORNING, *EVENING])

    assert (day.mean, day.n, day.sd) == (pytest.approx(whole.mean), 5, pytest.approx(whole.sd))
    assert change_between(day, point(99, 9)).p == pytest.approx(change_between(whole, point(99, 9)).p)


def test_single_throws_of_one_day_get_a_spread_of_their_own():
    (day,) = one_a_day([session([80.0]), session([84.0]), session([85.0])])

    assert (day.n, day.sd) == (3, pytest.approx(np.std([80, 84, 85], ddof=1)))


def test_the_greatest_session_uncertainty_of_the_day_holds_and_a_known_one_before_none():
    (day,) = one_a_day([session(MORNING, u_between=1.0), session(EVENING, u_between=2.5)])
    (other,) = one_a_day([session(MORNING, u_between=None), session(EVENING, u_between=2.5)])
    (unknown,) = one_a_day([session(MORNING, u_between=None), session(EVENING, u_between=None)])

    assert (day.u_between, other.u_between, unknown.u_between) == (2.5, 2.5, None)


def test_order_of_the_sessions_does_not_matter():
    sessions = [session(EVENING, 3), session(MORNING, 3), session([70.0], 1), session(MORNING, 2)]

    assert one_a_day(sessions) == one_a_day(sessions[::-1])
    assert [one.date for one in one_a_day(sessions)] == sorted({one.date for one in sessions})


@pytest.mark.parametrize("unseen", [{"mean": math.nan}, {"mean": math.inf}, {"mean": 80.0, "n": 0}])
def test_what_was_not_seen_is_left_out(unseen):
    assert one_a_day([point(**unseen)]) == []


def test_uncertainty_is_that_of_the_finding_without_its_constant_part():
    found = measure_one(MORNING, prior_sd=4.0, u_between=1.5)

    assert uncertainties([session(MORNING)])[0] == pytest.approx(found.u)


def test_a_missing_session_uncertainty_is_taken_from_its_neighbours():
    points = [session(MORNING, day, u_between=u) for day, u in enumerate([1.0, None, 3.0, 2.0])]
    told = [session(MORNING, day, u_between=u) for day, u in enumerate([1.0, 2.0, 3.0, 2.0])]

    assert list(uncertainties(points)) == pytest.approx(list(uncertainties(told)))
    assert list(uncertainties([session(MORNING, u_between=None)] * 3)) == [1.0] * 3


def test_a_spread_that_the_file_did_not_give_falls_back_to_the_catalogues():
    assert uncertainties([point(80, n=4, sd=None)])[0] == pytest.approx(math.hypot(4 / 2, 1.5))
    assert uncertainties([point(80, n=4, sd=math.nan)])[0] == pytest.approx(math.hypot(4 / 2, 1.5))
