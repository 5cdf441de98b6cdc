"""Force plates of recordings: all four types against a second library, and against a weight on a known spot."""

from __future__ import annotations

import numpy as np
import pytest

from sessions.formats.c3d import read_c3d
from sessions.formats.recording import Plate
from tests.sessions.formats.c3d_writer import DEC, INTEL, MIPS, Written, c3d_file
from tests.sessions.formats.test_c3d import LABELS, SCALES, by_the_other_library, walk

FRAMES, SAMPLES = 40, 5
# A plate of 600 × 400 mm, turned and slanted in the room: corners (4, 3), mm.
CORNERS = np.array([[600, 400, 10], [0, 400, 10], [0, 0, 0], [600, 0, 0]], float) @ np.array(
    [[0.8, 0.6, 0], [-0.6, 0.8, 0], [0, 0, 1]]
)
ORIGINS = {1: (0, 0, -40.0), 2: (3.0, -2.0, -41.0), 3: (240.0, 140.0, -44.0), 4: (1.0, 2.0, -38.0)}
WIDTHS = {1: 6, 2: 6, 3: 8, 4: 6}


def signals(kind: int) -> np.ndarray:
    """Something on every channel, (frames, samples, channels); one channel stands before the plate's.

    Never 0: the second library makes 1e37 of DEC's zero.
    """
    rng = np.random.default_rng(kind)
    values = rng.uniform(-800, 800, (FRAMES, SAMPLES, 1 + WIDTHS[kind]))
    values[..., 3] = rng.uniform(-1500, -300, (FRAMES, SAMPLES))
    values = np.round(values)
    return np.where(values == 0, 1.0, values)


def plate_groups(kind: int, **changes) -> dict:
    width = WIDTHS[kind]
    platform = {
        "USED": np.array(1, np.int16), "TYPE": np.array([kind], np.int16),
        "CORNERS": CORNERS[None].astype(np.float32), "ORIGIN": np.array([ORIGINS[kind]], np.float32),
        "CHANNEL": np.arange(2, 2 + width, dtype=np.int16)[None],
        "CAL_MATRIX": (np.eye(6) * 2 + np.arange(36).reshape(6, 6) / 100)[None].astype(np.float32),
    }  # fmt: skip
    return {"FORCE_PLATFORM": platform | changes}


def scaled_file(kind: int, processor: int, scale: float) -> bytes:
    """One plate whose channels have offsets and scales."""
    groups = plate_groups(kind)
    groups["ANALOG"] = {"GEN_SCALE": np.array(0.5, np.float32), "OFFSET": np.full(1 + WIDTHS[kind], 7, np.int16),
                        "SCALE": np.linspace(0.5, 2, 1 + WIDTHS[kind]).astype(np.float32)}  # fmt: skip
    return c3d_file(Written(walk(), LABELS, processor=processor, scale=scale, analogs=signals(kind), groups=groups))


@pytest.mark.parametrize("scale", SCALES.values(), ids=SCALES)
@pytest.mark.parametrize("processor", [INTEL, DEC], ids=["Intel", "DEC"])
@pytest.mark.parametrize("kind", [1, 2, 3, 4])
def test_forces_and_moments_are_those_of_a_second_library(kind, processor, scale, tmp_path):
    data = scaled_file(kind, processor, scale)
    (plate,) = read_c3d(data).plates
    (other,) = by_the_other_library(data, tmp_path, plates=True)["data"]["platform"]
    assert plate.rate_hz == 1500.0
    assert plate.forces.shape == plate.moments.shape == (FRAMES * SAMPLES, 3)
    np.testing.assert_allclose(plate.corners, other["corners"].T / 1000, atol=1e-6)
    np.testing.assert_allclose(plate.forces, other["force"].T, rtol=1e-5, atol=1e-2)
    if kind != 1:  # there the library takes moments with the other sign than for the rest: the next test decides
        np.testing.assert_allclose(plate.moments, other["moment"].T / 1000, rtol=1e-4, atol=1e-2)


@pytest.mark.parametrize("scale", SCALES.values(), ids=SCALES)
@pytest.mark.parametrize("kind", [1, 2, 3, 4])
def test_the_third_processor_gives_what_the_first_gives(kind, scale):
    """The second library does not read MIPS."""
    (plate,) = read_c3d(scaled_file(kind, MIPS, scale)).plates
    (same,) = read_c3d(scaled_file(kind, INTEL, scale)).plates
    np.testing.assert_array_equal(plate.forces, same.forces)
    np.testing.assert_array_equal(plate.moments, same.moments)


LEVEL = np.array([[300, 200, 0], [-300, 200, 0], [-300, -200, 0], [300, -200, 0]], float)
FORCE_UP = 800.0  # N, of the ground on somebody who stands still
SPOT = np.array([0.10, -0.05, 0.0])  # m from the plate's middle, in the room's axes


def standing(kind: int) -> np.ndarray:
    """What each type of plate, level in the room, records of that weight: worked by hand.

    The corners make the plate's own axes X along the room's X, Y along its Y, Z = X × Y.
    """
    x, y, force = 1000 * SPOT[0], 1000 * SPOT[1], FORCE_UP
    a, b, _ = ORIGINS[3]
    share = [force / 4 * (1 + i * x / a) * (1 + j * y / b) for i, j in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
    rows = {
        1: (0, 0, force, x, y, 0),
        2: (0, 0, force, force * y, -force * x, 0),
        3: (0, 0, 0, 0, *share),
    }
    return np.tile(np.array((0, *rows[kind]), float), (FRAMES, SAMPLES, 1))


@pytest.mark.parametrize("kind", [1, 2, 3])
def test_weight_on_a_known_spot_gives_its_moment_about_the_middle(kind):
    groups = plate_groups(kind, CORNERS=LEVEL[None].astype(np.float32))
    if kind != 3:
        groups["FORCE_PLATFORM"]["ORIGIN"] = np.zeros((1, 3), np.float32)
    (plate,) = read_c3d(c3d_file(Written(walk(), LABELS, analogs=standing(kind), groups=groups))).plates
    np.testing.assert_allclose(plate.forces, [[0, 0, FORCE_UP]] * FRAMES * SAMPLES, atol=1e-3)
    np.testing.assert_allclose(plate.moments, [np.cross(SPOT, [0, 0, FORCE_UP])] * FRAMES * SAMPLES, atol=1e-3)


@pytest.mark.parametrize(("moment_unit", "metres"), [("Nmm", 1e-3), ("N.m", 1.0), ("N·m", 1.0), ("", 1e-3)])
def test_moments_go_by_the_unit_of_their_channels(moment_unit, metres):
    groups = plate_groups(2, CORNERS=LEVEL[None].astype(np.float32), ORIGIN=np.zeros((1, 3), np.float32))
    groups["ANALOG"] = {"UNITS": ["", *["N"] * 3, *[moment_unit] * 3]}
    values = signals(2)
    (plate,) = read_c3d(c3d_file(Written(walk(), LABELS, analogs=values, groups=groups))).plates
    np.testing.assert_allclose(plate.moments, values.reshape(-1, 7)[:, 4:] * metres, rtol=1e-5)


def test_unsigned_samples_are_read_so():
    groups = plate_groups(2, CORNERS=LEVEL[None].astype(np.float32))
    groups["ANALOG"] = {"FORMAT": ["UNSIGNED"], "OFFSET": np.full(7, -32768, np.int16)}
    values = np.full((FRAMES, SAMPLES, 7), -32768 + 500.0)  # 33268 without a sign, 500 above the offset
    (plate,) = read_c3d(c3d_file(Written(walk(), LABELS, scale=0.05, analogs=values, groups=groups))).plates
    np.testing.assert_allclose(plate.forces, 500.0)


def calibrated(matrix: np.ndarray) -> Plate:
    groups = plate_groups(4, CAL_MATRIX=matrix[None].astype(np.float32))
    (plate,) = read_c3d(c3d_file(Written(walk(), LABELS, analogs=signals(4), groups=groups))).plates
    return plate


def test_calibration_matrix_may_be_kept_larger_than_it_is():
    small = np.eye(6) * 2 + np.arange(36).reshape(6, 6) / 100
    large = np.zeros((8, 8))
    large[:6, :6] = small
    plates = [calibrated(matrix) for matrix in (small, large)]
    np.testing.assert_array_equal(plates[0].forces, plates[1].forces)
    np.testing.assert_array_equal(plates[0].moments, plates[1].moments)


LEFT_OUT = {
    "another type": ({"TYPE": np.array([7], np.int16)}, "it is of type 7"),
    "channels beyond the file's": ({"CHANNEL": np.full((1, 6), 99, np.int16)}, "its channels are not in the file"),
    "no corners": ({"CORNERS": np.zeros((0, 4, 3), np.float32)}, "its corners are not in the file"),
    "corners on a line": ({"CORNERS": np.ones((1, 4, 3), np.float32)}, "its corners make no plane"),
    "volts": ({"UNITS": ["V"]}, "its forces are in “V”"),
    "no calibration": ({"TYPE": np.array([4], np.int16), "CAL_MATRIX": np.zeros((0, 6, 6), np.float32)},
                       "it needs a calibration matrix"),
}  # fmt: skip


@pytest.mark.parametrize("name", LEFT_OUT)
def test_plate_that_cannot_be_read_is_told_and_the_markers_stay(name):
    changes, piece = LEFT_OUT[name]
    groups = plate_groups(2, **changes)
    recording = read_c3d(c3d_file(Written(walk(), LABELS, analogs=signals(2), groups=groups)))
    assert recording.plates == ()
    assert recording.positions.shape == (FRAMES, 4, 3)
    (problem,) = recording.problems
    assert problem.sentence.startswith(f"Force plate 1 was left out: {piece}")


def test_plates_with_more_samples_than_any_room_records_are_left_out_unread(monkeypatch):
    """The same channels can be named for plate after plate: what they need is not bounded by the file's size."""
    monkeypatch.setattr("sessions.formats.limits.PLATE_SAMPLES", FRAMES * SAMPLES - 1)
    recording = read_c3d(c3d_file(Written(walk(), LABELS, analogs=signals(2), groups=plate_groups(2))))
    assert recording.plates == ()
    assert "all plates together have more than 199 samples" in recording.problems[0].sentence
