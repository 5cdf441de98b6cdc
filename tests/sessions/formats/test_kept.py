"""The array file of a throw: what goes in comes out, and damage is known as such."""

from __future__ import annotations

import numpy as np
import pytest

from sessions.formats.kept import KeptFileBroken, cut, kept_bytes, read_kept
from sessions.formats.recording import Plate, Recording

RATE = 240.0


@pytest.fixture
def recording() -> Recording:
    rng = np.random.default_rng(4)
    positions = rng.normal(size=(480, 5, 3))
    positions[100:110, 2] = np.nan
    plate = Plate(rng.normal(size=(1920, 3)), rng.normal(size=(1920, 3)), rng.normal(size=(4, 3)), 960.0)
    return Recording(("a", "b", "c", "d", "ball"), positions, RATE, "mm", (plate,), "throw.c3d")


def test_cut_is_those_frames_columns_and_plate_samples(recording):
    kept = cut(recording, 120, 240, {4, 0, 2})
    assert kept.labels == ("a", "c", "ball")
    assert np.allclose(kept.positions, recording.positions[120:240][:, [0, 2, 4]], atol=1e-6, equal_nan=True)
    assert np.allclose(kept.plates[0].forces, recording.plates[0].forces[480:960], atol=1e-6)


def test_what_is_kept_comes_back_to_the_bit(recording):
    kept = cut(recording, 50, 400)
    back = read_kept(kept_bytes(kept))
    assert (back.labels, back.rate_hz, back.units, back.source) == (kept.labels, RATE, "mm", "throw.c3d")
    assert np.array_equal(back.positions, kept.positions, equal_nan=True)
    for name in ("forces", "moments", "corners"):
        assert np.array_equal(getattr(back.plates[0], name), getattr(kept.plates[0], name))
    assert back.plates[0].rate_hz == 960.0


def test_rounding_costs_under_a_thousandth_of_a_millimetre_within_ten_metres(recording):
    far = Recording(recording.labels, 10.0 * np.ones((4, 5, 3)) / 3.0, RATE)
    assert np.abs(cut(far, 0, 4).positions - far.positions).max() < 1e-6


def test_damage_of_any_kind_is_said_and_nothing_else_is_raised(recording):
    data = kept_bytes(cut(recording, 0, 48))
    rng = np.random.default_rng(9)
    refused = 0
    for length in range(0, len(data), max(1, len(data) // 60)):
        with pytest.raises(KeptFileBroken):
            read_kept(data[:length])
    for _ in range(150):
        damaged = bytearray(data)
        for place in rng.integers(0, len(data), 20):
            damaged[place] = int(rng.integers(256))
        try:
            read_kept(bytes(damaged))
        except KeptFileBroken:
            refused += 1
    assert refused > 100


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"\x93NUMPY", b"{}"])
def test_what_is_no_array_file_is_said(data):
    with pytest.raises(KeptFileBroken):
        read_kept(data)
