"""The individuals chart: a published example, the floor of ± 3 u, and each session judged by those before it."""

from __future__ import annotations

import numpy as np
import pytest

from metrics.change.days import uncertainties
from metrics.change.individuals import control_limits, individuals
from tests.metrics.change.points import point, series

# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 "Individuals control charts": flow rate of ten batches,
# centre 50.81, limits 45.8159 and 55.8041. The ten values are from memory; they give the published centre and limits.
FLOW_RATE = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
EXACT = {"u_between": 0.0, "prior_sd": 0.0, "sd": 0.0}


def test_the_handbooks_flow_rate():
    """An eleventh batch is judged by the handbook's ten; it takes 3/1.128 = 2.6596 where the chart's rule has 2.66."""
    limits = control_limits(series([*FLOW_RATE, 50.0], **EXACT))

    assert (limits.centre, limits.baseline) == (pytest.approx(50.81), 10)
    assert (limits.low, limits.high) == pytest.approx((45.8159, 55.8041), abs=0.002)


@pytest.mark.parametrize(("value", "outside"), [(55.0, False), (55.9, True), (45.7, True), (46.0, False)])
def test_outside_is_beyond_the_limits_of_the_sessions_before(value, outside):
    assert individuals(series([*FLOW_RATE, value], **EXACT))[-1].is_outside is outside


def test_limits_worked_step_by_step():
    points = individuals(series(FLOW_RATE, **EXACT))
    for place in range(6, 10):
        before = np.array(FLOW_RATE[:place])
        reach = 2.66 * np.abs(np.diff(before)).mean()
        limits = points[place].limits

        assert (limits.low, limits.high) == pytest.approx((before.mean() - reach, before.mean() + reach))
        assert limits.baseline == place


def test_fewer_than_six_before_are_no_baseline():
    points = individuals(series([50, 51, 50, 49, 50, 51, 90]))

    assert [one.limits is None for one in points] == [True] * 6 + [False]
    assert [one.is_outside for one in points] == [False] * 6 + [True]
    assert control_limits(series([50] * 6)) is None
    assert control_limits([]) is None
    assert individuals([]) == ()


def test_limits_are_never_closer_than_three_u():
    """Six sessions by luck alike: their moving range is nothing, the measurement's own uncertainty is not."""
    points = series([88.0] * 6 + [93.0])
    u = uncertainties(points)[-1]
    limits = control_limits(points)

    assert (limits.low, limits.high) == pytest.approx((88 - 3 * u, 88 + 3 * u))
    assert not individuals(points)[-1].is_outside
    assert individuals(series([88.0] * 6 + [88 + 3.1 * u]))[-1].is_outside


def test_without_session_uncertainty_only_the_moving_range_speaks():
    assert control_limits(series([88.0] * 7, u_between=None)).low == 88.0


def test_twelve_on_one_side_are_no_signal_by_themselves():
    points = individuals(series([88, 90, 88, 90, 88, 90] + [90] * 12))

    assert not any(one.is_outside for one in points)


def test_sessions_of_one_day_are_one_point_and_order_does_not_matter():
    points = [*series(FLOW_RATE), point(48, 14)]

    assert len(individuals(points)) == 10
    assert individuals(points[::-1]) == individuals(points)
