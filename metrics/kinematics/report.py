"""What is told about a measured throw beside its numbers: how it was read, what was assumed, what a person confirms."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from metrics.kinematics.events import NAMES, Events
from metrics.kinematics.filters import seen_in, stretches
from metrics.kinematics.landmarks import BALL, MEDIAL
from metrics.kinematics.preparing import AFTER_RELEASE_S, filled_markers
from metrics.kinematics.problems import Notice, notice, question
from metrics.kinematics.reading import Found
from metrics.kinematics.segments import YOUNG_AGE_YEARS
from metrics.kinematics.setup import FOOT_MARKER_HEIGHT_M, Setup
from metrics.kinematics.throws import PlacedThrow
from metrics.kinematics.vectors import Array
from sessions.formats.recording import Recording

STRONG_FILTER = 0.80  # least ratio of filtered to unfiltered forearm
ARM_RATE_HZ = 240.0  # below it arm values after maximum external rotation are uncertain
MS, CM, PERCENT = 1000.0, 100.0, 100.0


@dataclass(frozen=True, slots=True)
class Report:
    """How one throw was read.

    ``side``: "right" or "left", the arm that throws. ``axes``: the file's axes that point home and up. ``filter_hz``:
    None for no filter. ``gaps_filled``: label → frames. ``forearm_ratio``: least filtered over unfiltered forearm.
    ``noise_mm``: of the markers before the leg lift. ``automatic_events``: as found, s from the file's first frame;
    ``event_rules``: by which rule. ``notices`` to know, ``questions`` for a person before the throw is scored.
    """

    side: str
    axes: Mapping[str, str]
    rate_hz: float
    filter_hz: float | None
    gaps_filled: Mapping[str, int]
    forearm_ratio: float
    noise_mm: float
    automatic_events: Mapping[str, float]
    event_rules: Mapping[str, str]
    notices: tuple[Notice, ...] = field(default_factory=tuple)
    questions: tuple[Notice, ...] = field(default_factory=tuple)


@dataclass(frozen=True, slots=True, eq=False)
class Facts:
    """Everything that the report is made of."""

    recording: Recording
    placed: PlacedThrow
    automatic: Events
    doubted: tuple[str, ...]
    events: Events
    filled: Array
    filter_hz: float | None
    forearm_ratio: float
    noise_m: float
    plates_turned: bool
    age_years: float | None
    setup: Setup
    height_m: float
    found: Mapping[str, Found]
    ball_in_hand: bool


def make(facts: Facts, questions: list[Notice]) -> Report:
    """The report of one throw."""
    placed = facts.placed
    labels = [placed.markers.in_file(label) for label in placed.markers.labels]
    gaps = {label: int(count) for label, count in zip(labels, facts.filled, strict=True) if count}
    said = [*placed.notices, *_assumed(facts), *_warned(facts), *_gaps(facts, gaps)]
    return Report(
        placed.side,
        {"home": placed.lab.name(0), "up": placed.lab.name(2)},
        facts.recording.rate_hz,
        facts.filter_hz,
        gaps,
        facts.forearm_ratio,
        MS * facts.noise_m,
        facts.automatic.later(placed.start_s).times(),
        dict(facts.events.rules),
        tuple(one for one in said if not one.question),
        tuple(one for one in (*said, *questions) if one.question),
    )


def _assumed(facts: Facts) -> list[Notice]:
    markers, said = facts.placed.markers, []
    absent = {name for name in MEDIAL if not all(f"{side}_{name}" in markers for side in "RL")}
    if absent:
        widths = ", ".join(
            f"{MEDIAL[name]} {CM * facts.setup.half_width(MEDIAL[name], facts.height_m):.1f} cm"
            for name in sorted(absent)
        )
        said.append(notice("width_assumed", labels=", ".join(sorted(absent)), widths=widths))
    if "US" in absent:
        said.append(notice("wrist_by_knuckle"))
    if facts.setup.foot_marker_height_m is None:
        said.append(notice("floor_assumed", height=f"{CM * FOOT_MARKER_HEIGHT_M:g}"))
    if facts.events.rules.get("br") == "wrist" and BALL in markers:
        said.append(notice("ball_not_seen"))
    if facts.age_years is not None and facts.age_years < YOUNG_AGE_YEARS:
        said.append(notice("adult_proportions"))
    if not facts.ball_in_hand and any(
        key.startswith("elbow_varus") and one.measured for key, one in facts.found.items()
    ):
        said.append(notice("ball_at_knuckle"))
    return said


def _warned(facts: Facts) -> list[Notice]:
    said = []
    said += [question(f"{name}_unseen") for name in facts.doubted if facts.events.rules.get(name) != "person"]
    if not math.isfinite(facts.events.mer):
        said.append(notice("turn_unseen", event=NAMES["mer"]))
    if facts.forearm_ratio < STRONG_FILTER:
        said.append(notice("filter_strong", percent=round(PERCENT * facts.forearm_ratio)))
    if facts.recording.rate_hz < ARM_RATE_HZ:
        said.append(notice("low_rate", rate=f"{facts.recording.rate_hz:g}"))
    if facts.plates_turned:
        said.append(notice("plate_sign"))
    for foot, metric in (("rear", "drive_force_max@pkh-fp"), ("front", "lead_force_max@fp-br")):
        if facts.recording.plates and facts.found[metric].code == "no_plate":
            said.append(notice("no_plate_under", foot=foot))
    left_s = (len(facts.placed.markers) - 1) / facts.recording.rate_hz - facts.events.br
    if left_s < AFTER_RELEASE_S:
        said.append(notice("ends_early", milliseconds=round(MS * left_s)))
    return said


def _gaps(facts: Facts, gaps: Mapping[str, int]) -> list[Notice]:
    """How many gaps were filled and how long the longest was."""
    if not gaps:
        return []
    markers = facts.placed.markers
    before = seen_in(markers.positions)
    filled = seen_in(filled_markers(markers, facts.events)[0].positions) & ~before
    runs = [last - first for column in range(before.shape[1]) for first, last in stretches(filled[:, column])]
    longest = MS * max(runs) / markers.rate_hz
    return [notice("gaps_filled", count=len(runs), longest=f"{longest:.0f}", frames=sum(gaps.values()))]
