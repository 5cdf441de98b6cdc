"""All throws on one clock: contact and release fall together, and nothing is made up in between."""

from __future__ import annotations

import numpy as np
import pytest

from metrics.measuring.curves import (
    AFTER_S,
    BEFORE_S,
    ThrowCurves,
    common_times,
    mean_and_sd,
    on_common_clock,
    plain,
    to_common,
)


def throw(release_s: float, slope: float = 100.0) -> ThrowCurves:
    """A curve that rises by `slope` a second on the throw's own clock."""
    times = np.arange(-300, 130) / 240.0
    return ThrowCurves(times, {"angle": slope * times}, release_s)


def test_one_throw_alone_keeps_its_own_clock():
    one = throw(0.15)
    times, release = common_times([one])
    drawn = on_common_clock(one, "angle", times, release)
    assert release == 0.15
    assert np.allclose(drawn, 100.0 * times, atol=1e-9)


def test_contact_and_release_of_all_fall_together():
    throws = [throw(0.13), throw(0.15), throw(0.17)]
    times, release = common_times(throws)
    assert release == pytest.approx(0.15)
    for one in throws:
        drawn = on_common_clock(one, "angle", np.array([0.0, release]), release)
        assert drawn == pytest.approx([0.0, 100.0 * one.release_s])
    assert times[0] == -BEFORE_S
    assert times[-1] == pytest.approx(release + AFTER_S, abs=0.005)


@pytest.mark.parametrize("own", [0.12, 0.15, 0.2])
def test_times_of_events_follow_the_same_clock(own):
    assert to_common(-0.9, own, 0.15) == -0.9
    assert to_common(0.0, own, 0.15) == 0.0
    assert to_common(own, own, 0.15) == pytest.approx(0.15)
    assert to_common(own + 0.04, own, 0.15) == pytest.approx(0.19)
    assert to_common(own / 2, own, 0.15) == pytest.approx(0.075)


def test_gap_and_what_lies_outside_the_recording_stay_empty():
    one = throw(0.15)
    one.values["angle"][200:205] = np.nan
    drawn = on_common_clock(one, "angle", np.array([-5.0, one.times[202], 0.05]), 0.15)
    assert np.isnan(drawn[:2]).all()
    assert np.isfinite(drawn[2])


def test_mean_and_spread_are_those_of_numpy_where_every_throw_is_seen():
    rows = np.array([[1.0, 2.0, np.nan], [3.0, 6.0, 5.0], [5.0, 1.0, 4.0]])
    mean, sd = mean_and_sd(rows)
    assert mean[:2] == pytest.approx([3.0, 3.0])
    assert sd[:2] == pytest.approx([2.0, np.std([2.0, 6.0, 1.0], ddof=1)])
    assert np.isnan(mean[2])


def test_one_throw_has_no_spread_and_none_has_no_mean():
    mean, sd = mean_and_sd(np.array([[1.0, 2.0]]))
    assert (mean == [1.0, 2.0]).all()
    assert np.isnan(sd).all()
    assert len(mean_and_sd(np.zeros((0, 0)))[0]) == 0


def test_json_has_no_number_that_is_none():
    assert plain(np.array([1.234, np.nan, -np.inf])) == [1.23, None, None]
