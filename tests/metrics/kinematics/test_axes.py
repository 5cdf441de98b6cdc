"""Axes and units: a file may lie in any of the 48 signed axis permutations and in several units of length."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from metrics.kinematics import Setup, find_throws
from metrics.kinematics.throws import place_throw
from sessions.formats.recording import Recording
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import HEIGHT_M, codes, delivery, made, measured, refused, values
from tests.synthesis import Room, signed_permutations

ALL_AXES = signed_permutations()
RIGHT_HANDED = [axes for axes in ALL_AXES if np.linalg.det(axes) > 0]
LEFT_HANDED = [axes for axes in ALL_AXES if np.linalg.det(axes) < 0]
NAMES = "XYZ"


def in_axes(axes: np.ndarray, side: str = "right") -> Recording:
    return as_recording(synthesis.record(delivery(), Room(axes=axes, side=side)))


def turned(recording: Recording, matrix: np.ndarray, factor: float = 1.0, units: str = "m") -> Recording:
    """The same file in other axes and with its numbers multiplied, plates too."""
    plates = tuple(
        replace(plate, forces=plate.forces @ matrix.T, corners=factor * plate.corners @ matrix.T)
        for plate in recording.plates
    )
    return replace(recording, positions=factor * recording.positions @ matrix.T, plates=plates, units=units)


def axis_name(direction: np.ndarray) -> str:
    index = int(np.abs(direction).argmax())
    return ("+" if direction[index] > 0 else "-") + NAMES[index]


@pytest.fixture(scope="module")
def upright() -> dict[str, float | None]:
    return values(measured(made()))


def test_there_are_24_rotations_and_24_mirrors():
    assert (len(RIGHT_HANDED), len(LEFT_HANDED)) == (24, 24)


@pytest.mark.parametrize("axes", ALL_AXES, ids=lambda axes: "".join(axis_name(column) for column in axes.T))
def test_all_48_axes_give_the_same_numbers_and_name_themselves(axes, upright):
    found = measured(in_axes(axes))
    # A signed permutation moves numbers without rounding them, so nothing may differ at all.
    assert values(found) == upright
    assert found.report.side == "right"
    assert found.report.axes == {"home": axis_name(axes[:, 0]), "up": axis_name(axes[:, 2])}
    assert ("axes_left_handed" in codes(found)) == (np.linalg.det(axes) < 0)


def test_left_hander_is_placed_exactly_like_the_right_hander_in_all_48_axes():
    right = as_recording(made())
    (throw,) = find_throws(right)
    expected = place_throw(right, throw, side="right", setup=Setup(), height_m=HEIGHT_M).markers
    for axes in ALL_AXES:
        file = turned(as_recording(made(side="left")), axes)
        (throw,) = find_throws(file)
        placed = place_throw(file, throw, side="left", setup=Setup(), height_m=HEIGHT_M)
        assert placed.side == "left"
        for label in expected.labels:
            assert np.array_equal(placed.markers[label], expected[label], equal_nan=True), label


def test_mirrored_file_of_an_unknown_side_is_taken_by_its_labels_and_asks():
    for side, axes in (("right", LEFT_HANDED[0]), ("left", LEFT_HANDED[7])):
        found = measured(in_axes(axes, side), side=None)
        assert found.report.side == side
        assert "mirrored_or_swapped" in {one.code for one in found.report.questions}


def test_mirrored_file_with_swapped_labels_is_refused_for_the_side_that_is_known():
    # A right-hander's two faults hide each other: it is a left-hander's faultless file, number for number.
    both = turned(as_recording(synthesis.with_sides_swapped(made())), np.diag([1.0, -1.0, 1.0]))
    assert refused(lambda: measured(both, side="right")).code == "other_arm"


def test_setup_of_a_mirrored_room_settles_which_hand_throws():
    for axes in LEFT_HANDED[:6]:
        setup = Setup(axes=axes.T)
        found = measured(in_axes(axes), side=None, setup=setup)
        assert found.report.side == "right"
        assert codes(found).isdisjoint({"mirrored_or_swapped", "all_labels_swapped", "axes_found"})


def test_setup_confirms_the_direction_to_home():
    assert "axes_found" in codes(measured(made()))
    assert "axes_found" not in codes(measured(made(), setup=Setup(axes=np.eye(3))))


def test_setup_that_contradicts_labels_and_side_is_refused():
    mirrored_setup = Setup(axes=np.diag([1.0, -1.0, 1.0]))
    problem = refused(lambda: measured(made(), setup=mirrored_setup))
    assert problem.code == "setup_mirrored"
    assert "direction to the left" in problem.sentence


def test_setup_with_another_up_is_refused():
    problem = refused(lambda: measured(made(), setup=Setup(axes=np.eye(3)[[1, 2, 0]])))
    assert problem.code == "setup_up"


def test_thrown_the_other_way_is_refused_with_a_setup_and_found_without_one(upright):
    back = turned(as_recording(made()), np.diag([-1.0, -1.0, 1.0]))
    assert values(measured(back)) == upright
    problem = refused(lambda: measured(back, setup=Setup(axes=np.eye(3))))
    assert problem.code == "thrown_other_way"
    assert "direction to home of the capture setup" in problem.sentence


@pytest.mark.parametrize("about", "xy")
@pytest.mark.parametrize(("degrees", "fits"), [(-18.0, False), (-12.0, True), (12.0, True), (18.0, False)])
def test_up_may_lean_15_degrees_off_an_axis(about, degrees, fits):
    leaning = turned(as_recording(made()), Rotation.from_euler(about, degrees, degrees=True).as_matrix())
    if fits:
        assert measured(leaning).report.axes["up"] == "+Z"
    else:
        assert refused(lambda: measured(leaning)).code == "up_unclear"


@pytest.mark.parametrize("degrees", [-26.0, 26.0])
def test_travel_may_lie_20_degrees_off_an_axis_and_a_setup_takes_it_further(degrees, upright):
    turn = Rotation.from_euler("z", degrees, degrees=True).as_matrix()
    askew = turned(as_recording(made()), turn)
    assert refused(lambda: measured(askew)).code == "forward_unclear"
    found = measured(askew, setup=Setup(axes=turn.T))
    assert found.report.axes["home"] == "own direction"
    for key, value in values(found).items():
        assert value == pytest.approx(upright[key], abs=1e-6), key


@settings(max_examples=12, deadline=None)
@given(yaw=st.floats(-180, 180), shift=st.tuples(*3 * [st.floats(-20, 20)]))
def test_turning_and_moving_the_room_under_its_setup_changes_nothing(yaw, shift):
    turn = Rotation.from_euler("z", yaw, degrees=True).as_matrix()
    file = turned(as_recording(made()), turn)
    moved = replace(file, positions=file.positions + np.array(shift))
    expected, found = values(measured(made())), values(measured(moved, setup=Setup(axes=turn.T)))
    for key, value in found.items():
        assert value == pytest.approx(expected[key], abs=1e-5), key  # rounding: 20 m away at 240 frames a second


@pytest.mark.parametrize(("unit", "units", "factor"), [("m", "m", 1.0), ("cm", "cm", 1e-2), ("mm", "mm", 1e-3)])
def test_unit_of_the_file_does_not_matter(unit, units, factor, upright):
    file = as_recording(synthesis.record(delivery(), Room(unit=unit)))
    assert file.units == units
    for key, value in values(measured(file)).items():
        assert value == pytest.approx(upright[key], abs=1e-6), key


@pytest.mark.parametrize(
    ("factor", "named", "fitting"),
    [(1000.0, "m", "millimetres"), (100.0, "m", "centimetres"), (1 / 0.3048, "m", "feet"), (1e-3, "mm", "metres"),
     (0.1, "mm", "centimetres")],
)  # fmt: skip
def test_wrong_unit_is_refused_and_the_fitting_one_is_named(factor, named, fitting):
    wrong = turned(as_recording(made()), np.eye(3), factor, named)
    problem = refused(lambda: measured(wrong))
    assert problem.code == "wrong_unit"
    assert f"{fitting} would fit" in problem.sentence


@pytest.mark.parametrize(
    ("factor", "name"), [(1.0, "metres"), (1000.0, "millimetres"), (100.0, "centimetres"), (1 / 0.0254, "inches")]
)
def test_unit_that_the_file_does_not_name_is_found_from_the_body(factor, name):
    plated = as_recording(made(plates=True))
    found = measured(turned(plated, np.eye(3), factor, units=""))
    assert f"names no unit of length; {name} fits" in " ".join(one.sentence for one in found.report.notices)
    expected = values(measured(plated))
    for key, value in values(found).items():
        assert value == pytest.approx(expected[key], abs=1e-6), key


def test_unit_of_a_setup_wins_over_the_files(upright):
    wrong = turned(as_recording(made()), np.eye(3), 1000.0, "m")
    found = values(measured(wrong, setup=Setup(scale=1e-3)))
    assert found == {key: pytest.approx(value, abs=1e-6) for key, value in upright.items()}


def test_height_that_is_far_from_the_body_is_asked_about():
    assert "size_differs" not in codes(measured(made()))
    assert "size_differs" in {one.code for one in measured(made(), height_m=1.30).report.questions}


def test_throw_without_a_stride_does_not_say_where_home_is():
    file = as_recording(made())
    hips = file.positions[:, [file.labels.index("R_ASIS")]]
    still = file.positions - (hips - hips[:1]) * np.array([1.0, 1.0, 0.0])
    assert refused(lambda: measured(replace(file, positions=still))).code == "no_travel"


@pytest.mark.parametrize("axes", [np.eye(3) * 2, np.ones((3, 3))])
def test_setup_takes_only_axes_at_right_angles(axes):
    with pytest.raises(ValueError, match="right angles"):
        Setup(axes=axes)
