"""The same throw as other programs would write it: other byte orders, whole numbers, prefixes, units, axes."""

from __future__ import annotations

import ezc3d
import numpy as np
import pytest

from metrics.measuring import Asked, MeasuredFile, measure_bytes
from tests import synthesis
from tests.metrics.measuring.files import HEIGHT_M, MASS_KG, delivery, made, throw_file
from tests.sessions.formats.c3d_writer import DEC, MIPS, Written, c3d_file

Y_UP = np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]])  # home along X, up along Y, right-handed
BACKWARDS = np.array([[0.0, 1, 0], [-1, 0, 0], [0, 0, 1]])  # home along -Y


def by_ezc3d(recording: synthesis.Recording, folder, prefix: str = "") -> bytes:
    """The points as the compiled library writes them, with unlabelled extras between."""
    file = ezc3d.c3d()
    extra = recording.points[:, :2] + 30.0
    points = np.concatenate([extra, recording.points], axis=1)
    seen = np.isfinite(points).all(axis=-1)
    words = np.concatenate([points, np.ones((*points.shape[:2], 1))], axis=-1).transpose(2, 1, 0)
    names = ["*100", "*101", *(prefix + label for label in recording.labels)]
    for name, value in (("RATE", [recording.room.rate_hz]), ("LABELS", tuple(names)), ("UNITS", [recording.room.unit])):
        file["parameters"]["POINT"][name]["value"] = value
    file["data"]["points"] = words
    file["data"]["meta_points"]["residuals"] = np.where(seen, 0.1, -1.0).T[None]
    path = folder / "other.c3d"
    file.write(str(path))
    return path.read_bytes()


def written(recording: synthesis.Recording, **changes) -> bytes:
    about = {"labels": recording.labels, "rate_hz": recording.room.rate_hz, "unit": recording.room.unit}
    return c3d_file(Written(recording.points, **(about | changes)))


def in_room(**changes) -> synthesis.Recording:
    return synthesis.record([delivery()], synthesis.Room(**({"rate_hz": 240.0, "unit": "mm"} | changes)))


def with_gap(recording: synthesis.Recording) -> synthesis.Recording:
    return synthesis.with_gap(recording, ["R_EL"], 0.4, 0.41)


# name → the file's bytes
WRITERS = {
    "compiled library": lambda folder: by_ezc3d(with_gap(in_room()), folder),
    "compiled library, prefix": lambda folder: by_ezc3d(in_room(), folder, prefix="Sam:"),
    "compiled library, Y up, metres": lambda folder: by_ezc3d(in_room(axes=Y_UP, unit="m"), folder),
    "Y up, centimetres": lambda _: written(in_room(axes=Y_UP, unit="cm")),
    "thrown along -Y": lambda _: written(in_room(axes=BACKWARDS, shift=(4.0, -2.0, 0.1))),
    "DEC": lambda _: written(in_room(), processor=DEC),
    "MIPS": lambda _: written(in_room(), processor=MIPS),
    "whole numbers": lambda _: written(in_room(), scale=0.1),
    "whole numbers, MIPS": lambda _: written(in_room(), scale=0.1, processor=MIPS),
    "lower case": lambda _: written(in_room(), labels=[label.lower() for label in made().labels]),
    "late first frame": lambda _: written(in_room(), first_frame=4000),
}


@pytest.fixture(scope="module")
def known() -> MeasuredFile:
    return measured(throw_file(plates=False))


def measured(data: bytes) -> MeasuredFile:
    return measure_bytes(data, "other.c3d", Asked(HEIGHT_M, MASS_KG, "right"))


@pytest.mark.parametrize("name", WRITERS)
def test_the_same_throw_gives_the_same_numbers_whoever_wrote_it(name, known, tmp_path):
    other = measured(WRITERS[name](tmp_path))
    assert other.refusals == ()
    (throw,), (true,) = other.throws, known.throws
    for event, time in true.events.items():
        assert throw.events[event] == pytest.approx(time, abs=2e-3)
    for key, value in true.metrics.items():
        # Whole numbers of 0.1 mm are the coarsest: 0.03 mm of noise, a few tenths of a degree, 1% of a speed or load.
        if value.value is None:
            assert throw.metrics[key].value is None
        else:
            assert throw.metrics[key].value == pytest.approx(value.value, rel=0.01, abs=0.5), key
