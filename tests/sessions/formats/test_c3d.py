"""Recordings: what the file says, as two other readers say it."""

from __future__ import annotations

import io
import warnings

import c3d
import ezc3d
import numpy as np
import pytest

from sessions.formats.c3d import METRES, read_c3d
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.sessions.formats.c3d_writer import DEC, INTEL, PROCESSORS, Written, c3d_file

LABELS = ("C7", "R_EL", "L_EL", "Ball 1")
SCALES = {"floating": -1.0, "whole": 0.05}
EVERY_KIND = pytest.mark.parametrize("scale", SCALES.values(), ids=SCALES)
EVERY_PROCESSOR = pytest.mark.parametrize("processor", PROCESSORS.values(), ids=PROCESSORS)


def walk(frames: int = 40, markers: int = len(LABELS)) -> np.ndarray:
    """Points (frames, markers, 3) in mm with a gap in the second marker."""
    rng = np.random.default_rng(5)
    points = np.cumsum(rng.normal(0, 8, (frames, markers, 3)), axis=0) + rng.uniform(-900, 900, (markers, 3))
    points[7:11, 1] = np.nan
    return points


def by_the_pure_library(data: bytes) -> np.ndarray:
    """Points (frames, markers, 3) in file units; NaN where the residual is negative."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        rows = np.stack([points for _, points, _ in c3d.Reader(io.BytesIO(data)).read_frames()])
    return np.where(rows[..., 3:4] < 0, np.nan, rows[..., :3])


def by_the_other_library(data: bytes, folder, *, plates: bool = False) -> ezc3d.c3d:
    path = folder / "written.c3d"
    path.write_bytes(data)
    return ezc3d.c3d(str(path), extract_forceplat_data=plates)


@EVERY_KIND
@EVERY_PROCESSOR
def test_positions_are_those_that_another_reader_finds(processor, scale):
    data = c3d_file(Written(walk(), LABELS, processor=processor, scale=scale))
    recording = read_c3d(data, "walk.c3d")
    assert recording.labels == LABELS
    assert recording.rate_hz == 300.0
    assert recording.units == "mm"
    assert recording.problems == ()
    assert np.isnan(recording.positions).sum() == 4 * 3
    # 32-bit numbers of a metre: 6e-8.
    np.testing.assert_allclose(recording.positions, by_the_pure_library(data) / 1000, atol=3e-7)


@EVERY_KIND
@pytest.mark.parametrize("processor", [INTEL, DEC], ids=["Intel", "DEC"])
def test_positions_are_those_that_a_library_of_another_kind_finds(processor, scale, tmp_path):
    """In C++, and it does not read MIPS."""
    data = c3d_file(Written(walk(), LABELS, processor=processor, scale=scale))
    recording, other = read_c3d(data), by_the_other_library(data, tmp_path)
    assert recording.labels == tuple(other["parameters"]["POINT"]["LABELS"]["value"])
    assert recording.rate_hz == other["parameters"]["POINT"]["RATE"]["value"][0]
    np.testing.assert_allclose(recording.positions, other["data"]["points"][:3].transpose(2, 1, 0) / 1000, atol=3e-7)


def test_dec_numbers_are_the_published_bit_patterns():
    """VAX F_floating of 1.0 is 00004080 (hexadecimal longword), of -2.5 is 0000C120: VAX manuals, from memory."""
    from sessions.formats.c3d_parameters import as_floats

    raw = np.array([0x00004080, 0x0000C120, 0x00000000], "<u4").tobytes()
    assert as_floats(raw, DEC).tolist() == [1.0, -2.5, 0.0]


def test_synthesised_throw_comes_back_as_it_was_made(tmp_path):
    delivery = synthesis.Delivery(synthesis.Body(height=1.86, mass=88.0), synthesis.style_of("college"))
    made = synthesis.record(delivery, synthesis.Room(rate_hz=200.0, unit="mm", ball=True, plates=True))
    made = synthesis.with_gap(made, ["R_EL"], 1.0, 1.1)
    data = synthesis.c3d_bytes(made, events=True)
    recording, expected = read_c3d(data), as_recording(made)
    assert recording.labels == expected.labels
    np.testing.assert_allclose(recording.positions, expected.positions, atol=3e-7)
    for plate, true in zip(recording.plates, expected.plates, strict=True):
        assert plate.rate_hz == true.rate_hz == 1000.0
        np.testing.assert_allclose(plate.forces, true.forces, atol=1e-3)
        np.testing.assert_allclose(plate.moments, true.moments, atol=1e-3)
        np.testing.assert_allclose(plate.corners, true.corners, atol=1e-6)
    times = made.throw.events.as_dict()
    assert [name for name, _ in recording.events] == sorted(times, key=times.__getitem__)
    np.testing.assert_allclose([time for _, time in recording.events], sorted(times.values()), atol=1e-5)


def test_several_throws_stay_one_recording():
    delivery = synthesis.Delivery(synthesis.Body(), synthesis.style_of("college"))
    made = synthesis.record([delivery, delivery], synthesis.Room(rate_hz=100.0))
    assert read_c3d(synthesis.c3d_bytes(made)).positions.shape == made.points.shape


@pytest.mark.parametrize(("named", "metres"), [*METRES.items(), ("MM", 1e-3), ("Meters", 1.0), ("", 1.0)])
def test_positions_are_metres_whatever_the_unit(named, metres):
    points = walk() / 1000
    recording = read_c3d(c3d_file(Written(points / metres, LABELS, unit=named)))
    assert recording.units == named
    assert recording.problems == ()
    np.testing.assert_allclose(recording.positions, points, atol=3e-7)


def test_unknown_unit_is_told_and_taken_as_metres():
    recording = read_c3d(c3d_file(Written(walk() / 1000, LABELS, unit="furlong")))
    (problem,) = recording.problems
    assert problem.sentence.startswith("The file gives its positions in “furlong”")
    assert recording.units == ""
    assert np.nanmax(np.abs(recording.positions)) < 2


def test_points_at_zero_not_a_number_or_out_of_reach_are_not_seen():
    points = walk()
    points[3, 0] = 0.0
    points[4, 0] = [1e30, 0.0, 0.0]
    data = bytearray(c3d_file(Written(points, LABELS)))
    start = len(data) - (-(-points[..., 0].size * 16 // 512)) * 512
    data[start + 5 * 64 : start + 5 * 64 + 4] = np.array([np.inf], "<f4").tobytes()
    data[start + 6 * 64 : start + 6 * 64 + 4] = np.array([np.nan], "<f4").tobytes()
    recording = read_c3d(bytes(data))
    assert np.flatnonzero(np.isnan(recording.positions[:, 0]).all(axis=-1)).tolist() == [3, 4, 5, 6]
    assert [problem.code for problem in recording.problems] == ["recording_far_off"]
    assert recording.problems[0].sentence.startswith("3 positions lie more than 1,000 m from the origin")


def test_more_labels_than_one_parameter_holds_are_read_on():
    markers = 300
    labels = [f"M{number}" for number in range(markers)]
    groups = {"POINT": {"LABELS": labels[:255], "LABELS2": labels[255:]}}
    recording = read_c3d(c3d_file(Written(walk(3, markers), groups=groups)))
    assert recording.labels == tuple(labels)


def test_markers_without_a_name_are_numbered():
    recording = read_c3d(c3d_file(Written(walk(), ["C7", ""])))
    assert recording.labels == ("C7", "*2", "*3", "*4")
    assert recording.problems[0].sentence.startswith("3 markers have no name")


LONG = 70_000
LONG_COUNTS = {
    "trial fields": {"TRIAL": {"ACTUAL_START_FIELD": np.array([1, 0], np.int16),
                               "ACTUAL_END_FIELD": np.array([LONG - 65536, 1], np.int16)}},
    "a floating count": {"POINT": {"FRAMES": np.array(LONG, np.float32)}},
    "long frames": {"POINT": {"LONG_FRAMES": np.array(LONG, np.float32)}},
}  # fmt: skip


@pytest.mark.parametrize("last", [65535, LONG - 65536], ids=["full", "wrapped"])
@pytest.mark.parametrize("groups", LONG_COUNTS.values(), ids=LONG_COUNTS)
def test_more_frames_than_the_header_can_count(groups, last):
    points = np.ones((LONG, 1, 3)) * np.arange(1, LONG + 1)[:, None, None] / 100
    recording = read_c3d(c3d_file(Written(points, ["C7"], rate_hz=1000.0, groups=groups, header={"last": last})))
    assert len(recording.positions) == LONG
    assert recording.positions[-1, 0, 0] == pytest.approx(LONG / 1e5, rel=1e-6)


def test_event_times_count_from_the_files_first_frame():
    """EVENT:TIMES are minutes and seconds on the trial's clock, in which frame 1 is at 0 s."""
    groups = {"EVENT": {"USED": np.array(2, np.int16), "LABELS": ["Release", "Foot strike"],
                        "TIMES": np.array([[1, 2.5], [1, 2.0]], np.float32)}}  # fmt: skip
    recording = read_c3d(c3d_file(Written(walk(), LABELS, rate_hz=100.0, groups=groups, first_frame=6001)))
    assert recording.events == (("Foot strike", pytest.approx(2.0)), ("Release", pytest.approx(2.5)))
    assert recording.positions.shape == (40, 4, 3)


def test_header_that_spells_its_rates_otherwise_is_read_all_the_same():
    """The library would refuse the file: 29.97 in the header, 29.970030 in the parameter."""
    groups = {"POINT": {"RATE": np.array(29.97003, np.float32)}}
    data = c3d_file(Written(walk(), LABELS, rate_hz=29.97, groups=groups))
    with pytest.raises(AssertionError, match="inconsistent"):
        c3d.Reader(io.BytesIO(data))
    assert read_c3d(data).rate_hz == pytest.approx(29.97003)


def test_rubbish_where_the_header_has_old_events_hurts_nobody():
    data = bytearray(c3d_file(Written(walk(), LABELS)))
    data[298:512] = b"\xff" * 214
    with pytest.raises(IndexError):
        c3d.Reader(io.BytesIO(bytes(data)))
    assert read_c3d(bytes(data)).labels == LABELS
