"""Four kinds of athlete and what the page says of each: the matrix of docs/change.md.

One metric in centimetres, read in `SESSIONS` sessions three to five weeks apart, five throws each. Own SDs vary as the
steadying assumes, u_b is as told. The kinds:

improves truly   the true mean moves in a straight line from below the target into it, by 3 to 6 u (u: the standard
                 uncertainty of one of this athlete's session means, his own SD and u_b)
only wobbles     the true mean stays
grows 9 cm       the true mean stays, height goes from 165 to 174 cm, and the rule's limits move with it
changes level    the true mean stays; from the middle session on the rule of the next level applies

Limits come from metrics/judging/ranges.py, as on the page. Rerun:  .venv/bin/python -m bench.four_kinds
"""

from __future__ import annotations

import argparse
import datetime
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bench.null_changes import as_assumed
from metrics.change.answer import Moved, really_changing, who_moved
from metrics.change.values import Measurement, Word
from metrics.judging.ranges import resolve_rule
from metrics.judging.values import Applied, BodySize, Conditions, Limits, Rule

TYPICAL_SD, BETWEEN, THROWS, SESSIONS = 4.0, 2.0, 5, 16
COUNTS = (2, 4, 5, 6, 8, 10, 12, 16, 20, 24)
FIRST = datetime.date(2025, 1, 6)
MIDDLE = 140.0  # the target's middle at 165 cm in high school
RULES = (
    Rule(
        "high school", "stride", level="high_school",
        size_basis="height", size_ref=165.0, size_low=150.0, size_high=190.0,
        flag_low=115.0, target_low=125.0, target_high=155.0, flag_high=165.0,
        slope_flag_low=0.7, slope_target_low=0.8, slope_target_high=0.9, slope_flag_high=1.0,
    ),
    Rule("college", "stride", level="college", flag_low=125.0, target_low=135.0, target_high=165.0, flag_high=175.0),
)  # fmt: skip
IMPROVES, WOBBLES, GROWS, RISES = "improves truly", "only wobbles", "grows 9 cm", "changes level"
RIGHT = {
    IMPROVES: (Word.BETTER, Moved.ATHLETE),
    WOBBLES: (Word.NO_REAL_CHANGE, Moved.NEITHER),
    GROWS: (Word.NO_REAL_CHANGE, Moved.RANGE),
    RISES: (Word.NO_REAL_CHANGE, Moved.RANGE),
}

SHAPES: dict[str, Callable[[np.ndarray], np.ndarray]] = {
    "straight line": lambda share: share,
    "soon most of it": lambda share: 1.0 - np.exp(-4.0 * share),
    "jump midway": lambda share: (share >= 0.5).astype(float),
    "jump after the first session": lambda share: (share > 0.0).astype(float),
}
"""How an improvement comes about, as its share that is reached when a share of the time has gone by."""

Said = tuple[Word, Moved]


@dataclass(frozen=True, slots=True)
class Life:
    """What is true of one athlete at each session: arrays of shape (sessions,)."""

    day: np.ndarray
    true_mean: np.ndarray
    height_cm: np.ndarray
    level: list[str]


def life_of(
    kind: str, chance: np.random.Generator, own_sd: float, sessions: int, uncertainties: float | None, shape: str
) -> Life:
    """The truth of one athlete of a kind; `uncertainties`: the improvement in u, None to draw it from 3 to 6."""
    day = np.cumsum(chance.integers(21, 36, sessions))
    share = (day - day[0]) / (day[-1] - day[0])
    true_mean = np.full(sessions, MIDDLE + chance.normal(0.0, 6.0))
    height = np.full(sessions, 165.0)
    level = ["high_school"] * sessions
    if kind == IMPROVES:
        u = np.hypot(own_sd / np.sqrt(THROWS), BETWEEN)
        gain = (chance.uniform(3.0, 6.0) if uncertainties is None else uncertainties) * u
        true_mean = 125.0 - 0.75 * gain + gain * SHAPES[shape](share)
    if kind == GROWS:
        height = 165.0 + 9.0 * share
    if kind == RISES:
        level = ["high_school" if place < sessions // 2 else "college" for place in range(sessions)]
    return Life(day, true_mean, height, level)


def limits_on(level: str, height_cm: float) -> Limits:
    applied = resolve_rule(
        RULES,
        metric="stride",
        method="motion_capture",
        level=level,
        conditions=Conditions(),
        body_size=BodySize(height_cm=height_cm),
    )
    assert isinstance(applied, Applied)
    return applied.limits


def measured(life: Life, chance: np.random.Generator, own_sd: float) -> list[Measurement]:
    """What the sessions of this life would have stored."""
    sessions = life.day.size
    throws = chance.normal(0.0, BETWEEN, (sessions, 1)) + chance.normal(0.0, own_sd, (sessions, THROWS))
    throws = throws + life.true_mean[:, None]
    return [
        Measurement(
            FIRST + datetime.timedelta(int(life.day[place])),
            float(throws[place].mean()),
            THROWS,
            float(throws[place].std(ddof=1)),
            TYPICAL_SD,
            BETWEEN,
            limits_on(life.level[place], float(life.height_cm[place])),
        )
        for place in range(sessions)
    ]


def said_of(
    kind: str,
    *,
    athletes: int,
    number: int,
    sessions: int = SESSIONS,
    uncertainties: float | None = None,
    shape: str = "straight line",
) -> Counter[Said]:
    """What the page says of so many athletes of one kind: word, and who moved."""
    chance = np.random.default_rng([number, list(RIGHT).index(kind), sessions])
    said: Counter[Said] = Counter()
    for own_sd in TYPICAL_SD * as_assumed(chance, athletes):
        points = measured(life_of(kind, chance, own_sd, sessions, uncertainties, shape), chance, own_sd)
        answer = really_changing(points)
        said[answer.word, who_moved(points, answer)] += 1
    return said


def share_right(kind: str, said: Counter[Said]) -> float:
    return said[RIGHT[kind]] / said.total()


def called_changed(said: Counter[Said]) -> float:
    """Share of whom the word says that the athlete really changed."""
    return sum(count for (_, moved), count in said.items() if moved in (Moved.ATHLETE, Moved.BOTH)) / said.total()


def matrix(*, athletes: int, number: int) -> dict[str, Counter[Said]]:
    """Every kind with a quarter of the athletes."""
    return {kind: said_of(kind, athletes=athletes // len(RIGHT), number=number) for kind in RIGHT}


def print_matrix(athletes: int, number: int) -> None:
    found = matrix(athletes=athletes, number=number)
    heads = sorted({said for of_kind in found.values() for said in of_kind}, key=str)
    print(f"{athletes} athletes, {SESSIONS} sessions each\n")
    print("| truth | " + " | ".join(f"{word}, {moved}" for word, moved in heads) + " | right |")
    print("|---" * (len(heads) + 2) + "|")
    for kind, said in found.items():
        counts = " | ".join(str(said[head]) for head in heads)
        print(f"| {kind} | {counts} | {100 * share_right(kind, said):.0f}% |")


def print_draws(number: int, draws: int = 10, athletes: int = 400) -> None:
    """What one matrix of 400 can look like: from the least to the greatest of ten."""
    found = [matrix(athletes=athletes, number=number + draw) for draw in range(draws)]
    right = {kind: [100 * share_right(kind, one[kind]) for one in found] for kind in RIGHT}
    wobbling = [100 * called_changed(one[WOBBLES]) for one in found]
    print(
        f"\n{draws} draws of {athletes}, right: "
        + "; ".join(f"{k} {min(v):.0f} to {max(v):.0f}%" for k, v in right.items())
    )
    print(f"wobblers called changed: {min(wobbling):.0f} to {max(wobbling):.0f}%, mean {np.mean(wobbling):.1f}%")


def print_by_sessions(athletes: int, number: int) -> None:
    """How the share of right answers grows with the sessions, by size and by shape of the true improvement."""
    line = "straight line"
    cases = [(size, line) for size in (3.0, 4.0, 5.0, 6.0, None)] + [(4.0, shape) for shape in SHAPES if shape != line]
    print(f"\nimproves truly, {athletes} athletes a cell, called better\n")
    print("| true change | " + " | ".join(f"{sessions} sessions" for sessions in COUNTS) + " |")
    print("|---" * (len(COUNTS) + 1) + "|")
    for size, shape in cases:
        asked = {"athletes": athletes, "number": number, "uncertainties": size, "shape": shape}
        cells = [share_right(IMPROVES, said_of(IMPROVES, sessions=sessions, **asked)) for sessions in COUNTS]
        change = "3 to 6 u" if size is None else f"{size:g} u"
        print(f"| {change}, {shape} | " + " | ".join(f"{100 * cell:.0f}%" for cell in cells) + " |", flush=True)


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument(
        "--athletes",
        type=int,
        default=1600,
        help="of the matrix, a quarter of each kind; a quarter in each cell by sessions",
    )
    arguments.add_argument("--number", type=int, default=1, help="repeats the same draws")
    asked = arguments.parse_args()
    print_matrix(asked.athletes, asked.number)
    print_draws(asked.number)
    print_by_sessions(max(asked.athletes // 4, 40), asked.number)


if __name__ == "__main__":
    main()
