"""The numbers of a visit: drawn around the athlete's own centre, moved by the story.

Metrics are drawn independently of each other: this is material to try the program with, not a model of the body.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from hashlib import sha256

import numpy as np

from desk.demo.cast import Off, Story
from desk.demo.days import Visit
from metrics.catalogue import Metric, load_catalogue
from metrics.catalogue.profiles import load_starting_profile
from metrics.judging.ranges import index_rules, resolve_rule
from metrics.judging.values import Applied, BodySize, Conditions, Rule

ROOM_FILTER_HZ = 13.4
OWN_SPREAD = 0.5
"""SD of athletes' own centres, in half widths of the target."""

# Shown but not judged, or judged by no rule of the profile: middle and SD between athletes (house, for the demo).
UNJUDGED = {
    "peak_knee_lift": (58.0, 5.0),
    "arm_slot_br": (52.0, 12.0),
    "release_height": (95.0, 4.0),
    "release_extension": (88.0, 5.0),
}
# Screens that no rule judges and others are worked out from: middle and SD between athletes (house, for the demo).
PARTS = {
    "shoulder_horizontal_adduction_throwing": (10.0, 4.0),
    "shoulder_horizontal_adduction_other": (15.0, 4.0),
    "shoulder_flexion_throwing": (174.0, 3.0),
    "shoulder_flexion_other": (175.0, 3.0),
    "elbow_extension_throwing": (1.0, 1.0),
    "elbow_extension_other": (0.0, 1.0),
    "leg_strength_front": (22.0, 3.0),
    "leg_strength_back": (20.0, 3.0),
    "grip_strength_throwing": (48.0, 4.0),
    "grip_strength_other": (44.0, 4.0),
}
# How much further the other side turns where no rule judges it, degrees (house, for the demo).
OTHER_SIDE = {
    "shoulder_ir_90_other": ("shoulder_ir_90_throwing", 8.0),
    "shoulder_er_90_other": ("shoulder_er_90_throwing", -10.0),
}
STEADY_HAND = 0.5
"""Share of the usual round-to-round spread that the demo's examiner has: chance alone makes few flags of side
differences (house, for the demo)."""
# m/s, full effort, by level (house, for the demo).
BALL_SPEED = {"youth": 27.5, "high_school": 35.0, "college": 38.5, "professional": 41.5}
COURSES = {
    "stays": lambda progress, ordinal: 1.0,
    "clears": lambda progress, ordinal: max(0.0, 1.0 - 1.2 * progress),
    "appears": lambda progress, ordinal: 1.0 if progress >= 0.75 else 0.0,
    "comes_and_goes": lambda progress, ordinal: 1.0 if ordinal % 2 else 0.1,
}


@dataclass(frozen=True, slots=True)
class Centre:
    """Where a metric of this athlete lies on average, and how wide half its target is."""

    middle: float
    half_width: float


def height_on(story: Story, visit: Visit, days_to_today: int) -> float:
    """The true height on the day of the visit, cm."""
    return story.height_cm + story.grows_cm * (273 - days_to_today) / 365.25


@cache
def _rules() -> dict[str, tuple[Rule, ...]]:
    starting = load_starting_profile("house_starting")
    return dict(index_rules(Rule(id=number, **values) for number, values in enumerate(starting.rules)))  # type: ignore[arg-type]


def metrics_of(method: str, level: str) -> list[Metric]:
    """What the room of this method writes: everything that a rule judges there, and a little more.

    Of a screen that is worked out from others its parts; nothing that is worked out from the person.
    """
    keys: set[str] = set()
    for metric in load_catalogue().metrics.values():
        judged = any(
            rule.method in {None, method} and rule.level in {None, level} for rule in _rules().get(metric.key, ())
        )
        if metric.can_be_given_by(method) and (judged or (metric.key in UNJUDGED and method == "motion_capture")):
            keys |= _written_for(metric)
    return [metric for key, metric in load_catalogue().metrics.items() if key in keys and not metric.is_from_person]


def _written_for(metric: Metric) -> set[str]:
    parts = (load_catalogue().metric(part) for part in metric.derived_from)
    return set().union(*map(_written_for, parts)) if metric.derived_from else {metric.key}


def centre_of(metric: Metric, story: Story, method: str, level: str, height_cm: float) -> Centre | None:
    """None for a metric that no rule judges for this athlete and that has no middle of its own."""
    applied = resolve_rule(
        _rules(),
        metric=metric.key,
        method=method,
        level=level,
        conditions=Conditions(),
        body_size=BodySize(height_cm=height_cm, mass_kg=story.mass_kg),
        available_landings=("fc",) if metric.is_landing_dependent else (),
        default_definition=metric.definition_default or None,
        filter_hz=ROOM_FILTER_HZ,
        filter_dependent=metric.filter_dependent,
        landing_dependent=metric.is_landing_dependent,
        landing_rate=metric.landing_rate,
    )
    if isinstance(applied, Applied):
        return _centre_of_limits(applied)
    if metric.key in OTHER_SIDE:
        key, further = OTHER_SIDE[metric.key]
        throwing = centre_of(load_catalogue().metric(key), story, method, level, height_cm)
        return throwing and Centre(throwing.middle + further, throwing.half_width)
    middle, spread = (UNJUDGED | PARTS).get(metric.key, (math.nan, math.nan))
    return None if math.isnan(middle) else Centre(middle, spread)


def _centre_of_limits(applied: Applied) -> Centre:
    """The middle of the target; beside an open side, one watch zone (or half the edge) inside the edge."""
    low, high = float(applied.limits.target_low), float(applied.limits.target_high)
    if math.isfinite(low) and math.isfinite(high):
        return Centre((low + high) / 2, (high - low) / 2)
    edge, flag = (high, applied.limits.flag_high) if math.isfinite(high) else (low, applied.limits.flag_low)
    watch = abs(float(flag) - edge) if math.isfinite(float(flag)) else 0.0
    width = watch or abs(edge) / 4 or 1.0
    return Centre(edge - width if math.isfinite(high) else edge + width, width)


def generator_for(*words: object) -> np.random.Generator:
    """Numbers that depend on these words alone, so that every run, on whatever day, writes the same ones."""
    digest = sha256("·".join(map(str, words)).encode()).digest()
    return np.random.default_rng(int.from_bytes(digest[:8], "big"))


def values_of(metric: Metric, visit: Visit, level: str, height_cm: float, throws: int) -> list[float] | None:
    """One number a throw, in the metric's own unit."""
    story = visit.story
    centre = _centre_on(metric, visit, level, height_cm)
    if centre is None:
        return None
    if (metric.unit == "count" and not metric.is_screen) or metric.unit in ("yes/no", "0-10"):
        return [0.0] * throws
    both_sides = metric.key.removesuffix(f"_{metric.side}") if metric.side else metric.key
    own = float(np.clip(generator_for(story.full_name, both_sides).normal(0, OWN_SPREAD), -1.1, 1.1))
    shift = sum(_shift(off, visit) for off in story.off if off.metric == metric.key)
    spread = metric.spread(visit.method, level)
    draw = generator_for(story.full_name, metric.key, visit.ordinal, visit.method)
    of_day = generator_for(story.full_name, both_sides, visit.ordinal) if metric.side else draw
    day = of_day.normal(0, spread.session_sd or 0.0)
    mean = centre.middle + centre.half_width * (shift or own) + day
    within = (spread.within_sd or centre.half_width / 4) * (STEADY_HAND if metric.side else 1.0)
    tired = centre.half_width * story.tires.get(metric.key, 0.0) * np.linspace(0, 1, throws)
    numbers = mean + tired + draw.normal(0, within, throws)
    low = -math.inf if metric.plausible_low is None else metric.plausible_low
    high = math.inf if metric.plausible_high is None else metric.plausible_high
    return [float(number) for number in np.clip(numbers, low, high)]


def _centre_on(metric: Metric, visit: Visit, level: str, height_cm: float) -> Centre | None:
    """By the range of the day; who holds still keeps the centre of the level and height that the story begins with."""
    story = visit.story
    if story.holds_still:
        first = centre_of(metric, story, visit.method, story.level_before or story.level, story.height_cm)
        if first is not None:
            return first
    return centre_of(metric, story, visit.method, level, height_cm)


def _shift(off: Off, visit: Visit) -> float:
    return off.half_widths * COURSES[off.course](visit.progress, visit.ordinal)


def ball_speeds(visit: Visit, level: str, throws: int) -> list[float]:
    """m/s, one a throw."""
    own = generator_for(visit.story.full_name, "ball speed").normal(0, 1.2)
    draw = generator_for(visit.story.full_name, "ball speed", visit.ordinal)
    share = 0.6 if visit.story.controlled else 1.0
    return [float(share * (BALL_SPEED[level] + own) + number) for number in draw.normal(0, 0.4, throws)]
