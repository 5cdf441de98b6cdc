"""Pitchers who are not all built, set and marked alike, and what a room calls their markers."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import numpy as np

from sessions.formats.recording import Recording
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.synthesis import Body, Delivery, Room
from tests.synthesis.body import FRACTIONS, HALF_WIDTHS
from tests.synthesis.curves import Array
from tests.synthesis.pose import Pose

STYLES = Path(__file__).parent / "label_styles.csv"
RIGHT_HANDED = [axes for axes in synthesis.signed_permutations() if np.linalg.det(axes) > 0]


def both(**amounts: float) -> dict[str, float]:
    """Amounts for both arms."""
    return {f"{arm}_{name}": amount for name, amount in amounts.items() for arm in ("throwing", "glove")}


# How a pitcher stands before the leg lift, as amounts (deg, m) to add to the synthesiser's set position, in which he
# stands sideways with his hands at the belly (invented; common practice, no published source).
SETS: dict[str, dict[str, float]] = {
    "hands_at_the_belly": {},
    "hands_at_the_chin": both(elbow_flexion=28.0, external_rotation=12.0, abduction=4.0),
    "hands_at_the_belt": both(elbow_flexion=-25.0, abduction=-10.0),
    "arms_hanging": both(elbow_flexion=-85.0, abduction=-22.0, horizontal_abduction=25.0),
    "elbows_high": both(abduction=22.0),
    "wide_stance": {"lead_ankle_x": 0.30, "pelvis_x": 0.15, "pelvis_z": -0.06},
    "faces_home": {
        **dict.fromkeys(("pelvis_rotation", "trunk_rotation", "rear_knee_heading", "lead_knee_heading"), -80.0),
        **dict.fromkeys(("rear_foot_angle", "lead_foot_angle"), 80.0),
        **{"lead_ankle_x": -0.18, "lead_ankle_y": 0.20, "pelvis_x": -0.09, "pelvis_y": 0.10},
    },
    "leans_and_looks_in": {"trunk_forward_tilt": 3.0, "trunk_lateral_tilt": -14.0, "trunk_rotation": 20.0},
}


@dataclass(frozen=True)
class OtherBody(Body):
    """A body whose lengths are those of the synthesiser times factors by name (1 when not named)."""

    factors: Mapping[str, float] = field(default_factory=dict)

    def length(self, name: str) -> float:
        return super().length(name) * self.factors.get(name, 1.0)

    def half_width(self, joint: str) -> float:
        return super().half_width(joint) * self.factors.get(joint, 1.0)


@dataclass(frozen=True)
class OtherSet(Delivery):
    """A delivery that begins in another set position; from peak knee lift on it is the same."""

    changes: Mapping[str, float] = field(default_factory=dict)

    def pose(self, times: Array) -> Pose:
        pose = super().pose(times)
        share = np.clip((self.moments.pkh - np.asarray(times, dtype=float)) / 0.5, 0.0, 1.0)
        eased = share**2 * (3 - 2 * share)
        return pose.with_channels({name: pose[name] + amount * eased for name, amount in self.changes.items()})


@cache
def pitched(number: int, side: str = "right", spread: float = 0.035, placed: float = 0.006) -> Recording:
    """One pitch of the person of that number, in a room of its own axes and unit, with true labels.

    ``spread``: standard deviation of every length's factor. ``placed``: of where each marker sits on the skin, m.
    """
    rng = np.random.default_rng(number)
    names = (*(name for name in FRACTIONS if name != "leg"), *HALF_WIDTHS)
    factors = {name: 1 + spread * float(rng.standard_normal()) for name in names}
    body = OtherBody(float(rng.uniform(1.42, 2.02)), float(rng.uniform(40, 105)), factors)
    levels, habits, sets = list(synthesis.LEVELS), list(synthesis.HABITS), list(SETS.values())
    style = synthesis.style_of(levels[number % len(levels)], habits[number % len(habits)])
    room = Room(
        rate_hz=(120.0, 240.0, 300.0)[number % 3],
        unit=("m", "mm")[number % 2],
        axes=RIGHT_HANDED[5 * number % len(RIGHT_HANDED)],
        side=side,
        ball=number % 4 == 1,
        shift=tuple(rng.uniform(-2, 2, 3)),
    )
    made = synthesis.record(OtherSet(body, style, changes=sets[number % len(sets)]), room)
    recording = as_recording(synthesis.with_noise(made, 0.0015, rng))
    skin = placed * rng.standard_normal((1, len(recording.labels), 3))
    return replace(recording, positions=recording.positions + skin)


def called(recording: Recording, names: Mapping[str, str]) -> Recording:
    """The same file with each landmark called by another name; its own when there is none."""
    return replace(recording, labels=tuple(names.get(label, label) for label in recording.labels))


def numbered(recording: Recording) -> Recording:
    """The same file with names that say nothing."""
    return replace(recording, labels=tuple(f"M{index:03d}" for index in range(len(recording.labels))))


def kept(recording: Recording, wanted: set[str] | frozenset[str]) -> Recording:
    """Only those markers."""
    columns = [column for column, label in enumerate(recording.labels) if label in wanted]
    return replace(
        recording,
        labels=tuple(recording.labels[column] for column in columns),
        positions=recording.positions[:, columns],
    )


@cache
def name_styles() -> dict[str, tuple[bool, dict[str, str]]]:
    """Style → whether it was held out, and what it calls each landmark."""
    rows = list(csv.DictReader(line for line in STYLES.read_text().splitlines() if not line.startswith("#")))
    use, sides, rows = rows[0], rows[1], rows[2:]
    found = {}
    for style in list(use)[1:]:
        names = {}
        for row in rows:
            for letter, word in zip("RL", sides[style].split("|"), strict=True):
                landmark = f"{letter}_{row['landmark']}" if "@" in row[style] else row["landmark"]
                names[landmark] = row[style].replace("@", word)
        found[style] = (use[style] == "held_out", names)
    return found
