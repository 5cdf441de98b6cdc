"""Which marker is which: a room's file of 200 markers, most of them nothing, suggested while somebody waits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bench.ratios import Limit, median_ms
from metrics.measuring.suggesting import suggest_labels
from sessions.formats.recording import Recording
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import made

MARKERS, GOAL_MS = 200, 1_000.0
LONG = 60  # times the pitch: 200 s


def measure() -> list[Limit]:
    return [
        Limit(f"suggesting {name}", median_ms(lambda file=file: suggest_labels(file)), GOAL_MS, "ms")  # type: ignore[misc]
        for name, file in (
            ("a pitch's 32 markers", pitch()),
            (f"{MARKERS} markers, all moving", crowded()),
            ("32 markers of 200 s", replace(pitch(), positions=np.tile(pitch().positions, (LONG, 1, 1)))),
        )
    ]


def pitch() -> Recording:
    """Without names."""
    file = as_recording(made())
    return replace(file, labels=tuple(f"M{index}" for index in range(len(file.labels))))


def crowded() -> Recording:
    """A pitch among markers that go along with it and mean nothing."""
    file, rng = pitch(), np.random.default_rng(7)
    ridden = rng.integers(len(file.labels), size=MARKERS - len(file.labels))
    others = file.positions[:, ridden] + rng.uniform(-0.5, 0.5, (1, len(ridden), 3))
    return replace(
        file,
        labels=tuple(f"M{index}" for index in range(MARKERS)),
        positions=np.concatenate([file.positions, others], axis=1),
    )
