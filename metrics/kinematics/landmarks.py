"""Which marker is which: labels with or without prefix, in any case, by a room's own names; and the markers by name."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.vectors import Array

# Abbreviations of Wu et al. 2002 and 2005, or plain anatomical ones: acromion, lateral and medial epicondyle, radial
# and ulnar styloid, third metacarpal head; iliac spines, femoral epicondyles, malleoli, heel, second metatarsal head.
TRUNK: Final = ("C7", "T8", "IJ", "PX")
ARM: Final = ("AC", "EL", "EM", "RS", "US", "MC3")
LEG: Final = ("ASIS", "PSIS", "FLE", "FME", "LM", "MM", "CA", "MT2")
SIDES: Final = ("R", "L")
BALL: Final = "BALL"
HEAD: Final = ("HEAD_F", "HEAD_B", "R_HEAD", "L_HEAD")
MEDIAL: Final = {"EM": "elbow", "US": "wrist", "FME": "knee", "MM": "ankle"}
SIDED: Final = tuple(f"{side}_{name}" for side in SIDES for name in (*ARM, *LEG))
KNOWN: Final = (*TRUNK, *SIDED, *HEAD, BALL)

# Without these no throw can be found: trunk and pelvis, both wrists and elbows, knees and feet.
NEEDED: Final = (
    *TRUNK,
    *(f"{side}_{name}" for side in SIDES for name in ("AC", "EL", "RS", "ASIS", "PSIS", "FLE", "LM")),
)  # fmt: skip


SHOWN = 5  # unknown labels that a sentence names


def other_side(label: str) -> str:
    """R_EL ↔ L_EL; a label without a side is itself."""
    return {"R_": "L_", "L_": "R_"}.get(label[:2], label[:2]) + label[2:]


def find_columns(labels: Sequence[str], names: Mapping[str, str] | None = None, person: str = "") -> dict[str, int]:
    """Our label → the column of the file that holds it.

    ``names`` are the room's own names and win over ours; a prefix before ":" and case do not matter.
    The ball may carry any prefix. Raises NotMeasured: no_markers, no_known_labels, no_such_person, several_people,
    labels_missing.
    """
    people, balls = columns_by_person(labels, names)
    return _one_person(people, person, labels) | balls


def columns_by_person(
    labels: Sequence[str], names: Mapping[str, str] | None = None
) -> tuple[dict[str, dict[str, int]], dict[str, int]]:
    """Prefix before ":" → our label → column, for everybody in the file, and the same for balls of any prefix."""
    wanted = {label.upper(): label for label in KNOWN}
    wanted |= {name.upper(): label for name, label in (names or {}).items()}
    people: dict[str, dict[str, int]] = {}
    balls: dict[str, int] = {}
    for column, text in enumerate(text.strip() for text in labels):
        prefix, _, bare = text.rpartition(":")
        if label := wanted.get(text.upper()) or wanted.get(bare.upper()):
            columns = balls if label == BALL else people.setdefault(prefix, {})
            columns.setdefault(label, column)
    return people, balls


def _one_person(people: Mapping[str, dict[str, int]], person: str, labels: Sequence[str]) -> dict[str, int]:
    """The columns of the person that is wanted, or of the only one who has every marker that is needed."""
    if not labels:
        raise NotMeasured("no_markers")
    if not people:
        raise NotMeasured("no_known_labels", count=len(labels), labels=_some(labels))
    chosen = {prefix: columns for prefix, columns in people.items() if person.upper() in {"", prefix.upper()}}
    if not chosen:
        raise NotMeasured("no_such_person", person=person, people=", ".join(sorted(filter(None, people))) or "no name")
    complete = [prefix for prefix, columns in chosen.items() if not set(NEEDED) - set(columns)]
    if len(complete) > 1:
        raise NotMeasured("several_people", people=", ".join(sorted(complete)))
    columns = chosen[complete[0]] if complete else max(chosen.values(), key=len)
    missing = [label for label in NEEDED if label not in columns]
    if missing:
        raise NotMeasured("labels_missing", labels=", ".join(missing))
    return columns


def _some(labels: Sequence[str]) -> str:
    """The first few labels."""
    return ", ".join(labels[:SHOWN]) + (", …" if len(labels) > SHOWN else "")


@dataclass(frozen=True, slots=True, eq=False)
class Markers:
    """Positions by label: ``positions`` (frames, labels, 3), m. A label that is not there is NaN throughout.

    ``crossed``: R is what the file calls L, since the throwing side is R here.
    """

    labels: tuple[str, ...]
    positions: Array
    rate_hz: float
    crossed: bool = False

    def __len__(self) -> int:
        return len(self.positions)

    def __contains__(self, label: str) -> bool:
        return label in self.labels

    def __getitem__(self, label: str) -> Array:
        """One landmark, shape (frames, 3), m."""
        if label not in self.labels:
            return np.full((len(self.positions), 3), np.nan)
        return self.positions[:, self.labels.index(label)]

    def middle(self, first: str, second: str) -> Array:
        """Half way between two landmarks, shape (frames, 3), m."""
        return (self[first] + self[second]) / 2

    def moved(self, positions: Array) -> Markers:
        """The same labels at other positions, shape (frames, labels, 3)."""
        return replace(self, positions=positions)

    def in_file(self, label: str) -> str:
        """A label with the side that it has in the file."""
        return other_side(label) if self.crossed else label

    def unseen(self, labels: Sequence[str], first_s: float, last_s: float) -> list[str]:
        """Those of the labels, by the file's sides, that are missing in some frame between two times (s)."""
        span = slice(max(0, math.floor(first_s * self.rate_hz)), math.ceil(last_s * self.rate_hz) + 1)
        there = [label for label in labels if label in self]
        return [self.in_file(label) for label in there if np.isnan(self[label][span]).any()]

    def between(self, first: int, last: int) -> Markers:
        """Frames first to last (not included)."""
        return self.moved(self.positions[first:last])
