"""From a recording's bytes to all metrics, against the least that reading the same bytes takes.

The floor is the c3d library's own reading of every frame, which is what our reader is built on; for comparison a
second ratio takes a compiled reader of the same format as the floor.
"""

from __future__ import annotations

import io
import tempfile
import warnings
from pathlib import Path

import c3d
import ezc3d
import numpy as np

from bench.ratios import Ratio, compare
from metrics.kinematics import find_throws, measure_throw
from sessions.formats.c3d import read_c3d
from tests import synthesis

RATE_HZ, SECONDS, MARKERS = 300.0, 5.0, 45
HEIGHT_M, MASS_KG = 1.86, 88.0
RUNS = 15


def recorded_throw() -> bytes:
    """Five seconds of one throw: every marker that is known, and unlabelled ones up to 45."""
    delivery = synthesis.Delivery(synthesis.Body(height=HEIGHT_M, mass=MASS_KG), synthesis.style_of("college"))
    made = synthesis.record(delivery, synthesis.Room(rate_hz=RATE_HZ, unit="mm", head=True, ball=True, after=4.0))
    made = synthesis.cut(made, 0.0, SECONDS - 0.5 / RATE_HZ)
    made = synthesis.with_noise(made, 0.0003, np.random.default_rng(4))
    more = MARKERS - len(made.labels)
    labels = (*made.labels, *(f"unlabelled {number}" for number in range(more)))
    points = np.concatenate([made.points, made.points[:, :more] + 50.0], axis=1)
    return synthesis.c3d_bytes(made.but(labels=labels, points=points))


def measure() -> list[Ratio]:
    with warnings.catch_warnings(), tempfile.TemporaryDirectory() as folder:
        warnings.filterwarnings("ignore", module="c3d")
        data = recorded_throw()
        path = Path(folder) / "throw.c3d"
        path.write_bytes(data)

        def read_only() -> int:
            return len(list(c3d.Reader(io.BytesIO(data)).read_frames()))

        def compiled_read_only() -> int:
            return int(ezc3d.c3d(str(path))["data"]["points"].shape[2])

        def read_ours() -> int:
            return len(read_c3d(data).positions)

        def measured() -> int:
            recording = read_c3d(data)
            (throw,) = find_throws(recording)
            return len(measure_throw(recording, throw=throw, height_m=HEIGHT_M, mass_kg=MASS_KG, side="right").metrics)

        frames = read_only()
        assert frames == compiled_read_only() == read_ours() == round(RATE_HZ * SECONDS)
        name = f"a throw of {frames} × {MARKERS}"
        return [
            compare(f"{name}: bytes to all metrics", floor=read_only, work=measured, goal=2.5, runs=RUNS),
            compare(f"{name}: bytes to positions", floor=read_only, work=read_ours, goal=0.5, runs=RUNS),
            compare(f"{name}: the same, compiled floor", floor=compiled_read_only, work=measured, goal=4.0, runs=RUNS),
        ]
