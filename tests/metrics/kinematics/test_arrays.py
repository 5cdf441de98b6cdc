"""Whole arrays at once, in float64, and a gap stays a gap: of every curve and of the loads."""

from __future__ import annotations

import sys
import tracemalloc
from dataclasses import fields
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from metrics import kinematics
from metrics.kinematics.dynamics import ArmLoads, throw_loads
from metrics.kinematics.joints import Sizes
from metrics.kinematics.landmarks import MEDIAL, Markers
from metrics.kinematics.movement import STANDS_ON, Movement
from metrics.kinematics.segments import BALL_KG, MEN
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording

PACKAGE = str(Path(kinematics.__file__).parent)
BODY = synthesis.Body(1.86, 88.0)
SIZES = Sizes(BODY.pelvis_width, BODY.pelvis_depth, BODY.length("biacromial"))
LOADS = tuple(field.name for field in fields(ArmLoads))
HIDDEN = slice(200, 210)  # frames of a recording at 120 Hz in which one marker is not seen
REACH = 3  # frames to either side that differences of differences look at


@cache
def recorded(rate_hz=120.0):
    return synthesis.record(synthesis.Delivery(BODY), synthesis.Room(rate_hz=rate_hz))


def markers_at(rate_hz=120.0):
    made = recorded(rate_hz)
    return Markers(made.labels, np.array(made.points), rate_hz)


def curves_of(markers):
    """Every curve by name, the loads without a ball in sight among them."""
    movement = Movement.of(markers, SIZES, BODY.half_width)
    found = {name: movement.curve(name) for name in STANDS_ON if name not in LOADS}
    loads = throw_loads(movement, np.full(3, np.nan), 3.0, BALL_KG, 88.0, MEN)
    return found | {name: getattr(loads, name) for name in LOADS}


def measured(recording):
    return kinematics.measure_throw(recording, height_m=1.86, mass_kg=88.0)


@cache
def whole_curves():
    return curves_of(markers_at())


def lines_run(work):
    """How many lines of the package a piece of work runs, once what it reads only the first time is read."""
    count = 0
    work()

    def each_line(frame, event, _):
        nonlocal count
        count += event == "line"
        return each_line

    def each_call(frame, event, argument):
        return each_line if frame.f_code.co_filename.startswith(PACKAGE) else None

    before = sys.gettrace()
    sys.settrace(each_call)
    try:
        work()
    finally:
        sys.settrace(before)
    return count


def test_curves_run_no_line_more_for_four_times_the_frames():
    few, many = (markers_at(rate_hz) for rate_hz in (120.0, 480.0))
    assert len(many) > 3.9 * len(few)
    assert lines_run(lambda: curves_of(many)) == lines_run(lambda: curves_of(few)) > 500


def test_measuring_a_throw_runs_hardly_a_line_more_for_four_times_the_frames():
    """The search for events tries more candidates where there are more frames to cross a limit in."""
    few, many = (as_recording(recorded(rate_hz)) for rate_hz in (240.0, 960.0))
    assert lines_run(lambda: measured(many)) < 1.05 * lines_run(lambda: measured(few))


@pytest.mark.parametrize("name", STANDS_ON)
def test_a_curve_is_one_float64_a_frame(name):
    curve = whole_curves()[name]
    assert curve.dtype == np.float64
    assert curve.shape == (len(markers_at()),)
    assert np.isfinite(curve[REACH:-REACH]).mean() > 0.9


@pytest.mark.parametrize("label", synthesis.REQUIRED)
def test_a_hidden_marker_leaves_a_gap_in_what_stands_on_it_and_nothing_else(label):
    markers = markers_at()
    markers.positions[HIDDEN, markers.labels.index(label)] = np.nan
    near = np.zeros(len(markers), dtype=bool)
    near[HIDDEN.start - REACH : HIDDEN.stop + REACH] = True
    for name, curve in curves_of(markers).items():
        expected = whole_curves()[name]
        np.testing.assert_allclose(curve[~near], expected[~near], rtol=1e-9, atol=1e-6, err_msg=name)
        if label in STANDS_ON[name]:
            assert np.isnan(curve[HIDDEN]).all(), name
        else:
            np.testing.assert_array_equal(curve, expected, err_msg=name)


def test_a_marker_that_is_not_in_the_file_gives_nan_and_no_error():
    kept = [label for label in synthesis.REQUIRED if label[2:] not in MEDIAL and label != "R_MC3"]
    markers = markers_at()
    columns = [markers.labels.index(label) for label in kept]
    curves = curves_of(Markers(tuple(kept), markers.positions[:, columns], 120.0))
    assert np.isnan(curves["elbow_varus_torque"]).all()
    assert np.isfinite(curves["trunk_rotation"]).any()


def test_measuring_again_and_again_keeps_no_memory():
    recording = as_recording(recorded(240.0))

    def measure_again(times):
        for _ in range(times):
            measured(recording)

    measure_again(2)
    tracemalloc.start()
    measure_again(2)
    settled = tracemalloc.get_traced_memory()[0]
    measure_again(6)
    grown = tracemalloc.get_traced_memory()[0] - settled
    tracemalloc.stop()
    assert grown < 100_000  # bytes; one curve of this throw is 7 kB, its positions 600 kB
