"""Which marker is which landmark, suggested for a room whose names nobody has mapped yet: by names and by places.

A person confirms it. `sure` is a chance by house opinions, not one that was measured on rooms.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np
from scipy.optimize import linear_sum_assignment

from metrics.kinematics.landmarks import KNOWN, other_side
from metrics.kinematics.vectors import Array
from metrics.measuring.label_words import bare_label, name_chances, named, without_side
from metrics.measuring.places import Places, find_places
from metrics.measuring.standing import LEAST_MARKERS, Chosen
from sessions.formats.recording import Recording

SIDE_WORDS: Final = {"R": "right ", "L": "left ", None: ""}
Evidence = Literal["name", "place", "both", ""]
Side = Literal["R", "L", "middle"]
_UNNAMED = re.compile(r"\*\d*")
LEAST_SURE = 0.15  # under it nothing is suggested
LEAST_PLACE = 0.004  # chance that a place leaves to every landmark: people stand and place markers in odd ways
SIDES_DOUBTED = 0.6  # what remains of a chance when names and places disagree about all sides
CLEARLY_CROSSED = 2.0
MIRRORED: Final = np.array([*(KNOWN.index(other_side(landmark)) for landmark in KNOWN), len(KNOWN)])
SPEAKING = 3.0  # times as likely as by chance: from there a name or a place says something


@dataclass(frozen=True, slots=True)
class LabelSuggestion:
    """What one marker of a file probably is.

    ``label``: without prefix. ``landmark``: one of KNOWN, None for none of them. ``by``: what speaks for it.
    ``sure``: 0 to 1. ``height_share``: median height over the floor in shares of body height, while standing.
    ``side``: where it is then, None when not known. ``seen_share``: of the frames.
    """

    label: str
    landmark: str | None
    by: Evidence
    sure: float
    height_share: float | None
    side: Side | None
    seen_share: float


def suggest_labels(recording: Recording) -> tuple[LabelSuggestion, ...]:
    """One suggestion a marker, in the file's order; a landmark is suggested once at most."""
    if not recording.labels:
        return ()
    names = np.stack([name_chances(label) for label in recording.labels])
    mine = of_one_person(recording.labels)
    names[~mine] = np.eye(len(KNOWN) + 1)[-1]
    places = find_places(recording.positions, recording.rate_hz, mine)
    kept = places.chances
    doubt = 1.0
    if _crossed(names, kept):
        kept, doubt = kept[:, MIRRORED], SIDES_DOUBTED
    both = doubt * _together(names, kept)
    rows, columns = linear_sum_assignment(-np.log(_with_none(both)))
    landmarks = dict(zip(rows.tolist(), columns.tolist(), strict=True))
    seen = _seen_shares(recording.positions)
    return tuple(
        _suggestion(label, landmarks[row], both[row], (names[row], places.chances[row]), places, row, seen[row])
        for row, label in enumerate(recording.labels)
    )


def of_one_person(labels: Sequence[str]) -> Chosen:
    """Which labels belong to the person with the most markers, (labels,): prefixes name people.

    Few markers under another prefix are a ball or the like, and belong too.
    """
    prefixes = np.array([label.rpartition(":")[0].strip().upper() for label in labels])
    found, counts = np.unique(prefixes, return_counts=True)
    others = found[(counts >= LEAST_MARKERS) & (np.arange(len(found)) != np.argmax(counts))]
    return ~np.isin(prefixes, others)


def _crossed(names: Array, places: Array) -> bool:
    """Whether the names fit the places far better when right and left are exchanged.

    Either the names lie or the file's axes are mirrored. The names' sides are kept as a whole, and nothing is sure.
    """
    return float((names * places[:, MIRRORED]).sum()) > CLEARLY_CROSSED * float((names * places).sum())


def _seen_shares(positions: Array) -> Array:
    seen = np.isfinite(positions).all(axis=2).sum(axis=0)
    return seen / max(1, len(positions))


def _together(names: Array, places: Array) -> Array:
    """Chances by name and by place (markers, landmarks + 1), multiplied."""
    kept = LEAST_PLACE + (1 - LEAST_PLACE * places.shape[1]) * places
    product = names * kept
    return product / product.sum(axis=1, keepdims=True)


def _with_none(chances: Array) -> Array:
    """One "none of them" for each marker, so that any number of markers may be none."""
    count = len(chances)
    none = np.full((count, count), 1e-12)
    np.fill_diagonal(none, chances[:, -1])
    return np.maximum(np.hstack([chances[:, :-1], none]), 1e-12)


def _suggestion(
    label: str, column: int, both: Array, apart: tuple[Array, Array], places: Places, row: int, seen: float
) -> LabelSuggestion:
    landmark = KNOWN[column] if column < len(KNOWN) and both[column] >= LEAST_SURE else None
    column = column if landmark else len(KNOWN)
    by_name, by_place = (bool(one[column] > SPEAKING / len(one)) for one in apart)
    by: Evidence = "both" if by_name and by_place else "name" if by_name else "place" if by_place else ""
    height, side = places.height_of(row), places.side_of(row)
    return LabelSuggestion(
        bare_label(label), landmark, by if landmark else "", float(both[column]), height, side, float(seen)
    )


def label_set_fingerprint(labels: Iterable[str]) -> str:
    """SHA-256 (hex) of what a room calls its markers, whoever wears them: sorted, upper case, without prefix.

    Markers without name ("", "*12") do not count, since their number differs from file to file.
    """
    bare = {bare_label(label).upper() for label in labels}
    kept = sorted(label for label in bare if label and not _UNNAMED.fullmatch(label))
    return hashlib.sha256("\n".join(kept).encode()).hexdigest()


def landmark_words() -> Mapping[str, str]:
    """Each of KNOWN in plain English, for a list to choose from."""
    said = {}
    for landmark in KNOWN:
        name, side = without_side(landmark)
        said[landmark] = SIDE_WORDS[side] + named()[name].plain
    return MappingProxyType(said)
