"""How often the first root is what was planted, and how much of the flagged weight would clear, against simple rules.

Rerun:  .venv/bin/python -m bench.upstream            (the tables of docs/tracing.md; 1,000 athletes)
        .venv/bin/python -m bench.upstream --athletes 200 --seed 5
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from bench.planted import VARIETY_SD, Athlete, World, athlete, shipped_graph
from metrics.catalogue import load_catalogue
from metrics.catalogue.causes.moments import place_of
from metrics.tracing import Node, trace

ATHLETES, SEED = 1_000, 6
METHODS = ("tracing", "earliest flag first", "worst flag first")
BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
DRAWS = 4_000


@dataclass
class Course:
    """What one way of choosing did to each athlete: (planted first, among three, source first, weight that cleared)."""

    first: list[bool] = field(default_factory=list)
    three: list[bool] = field(default_factory=list)
    source: list[bool] = field(default_factory=list)
    cleared: list[float] = field(default_factory=list)


@dataclass
class Results:
    """``flagged``: flagged weight of each athlete; ``predicted``: rows (athlete, predicted, cleared or not).

    ``started``: weight that the starting point clears; ``most``: that the best of all true sources would clear.
    """

    courses: dict[str, Course]
    flagged: list[float] = field(default_factory=list)
    predicted: list[tuple[int, float, bool]] = field(default_factory=list)
    without_flags: int = 0
    without_start: int = 0
    started: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)

    def share(self, method: str) -> float:
        return float(np.sum(self.courses[method].cleared) / np.sum(self.flagged))

    @property
    def better_rule(self) -> str:
        return max(METHODS[1:], key=self.share)

    def margin(self) -> tuple[float, float, float]:
        """Tracing less the better rule, share of the flagged weight, with a 95% interval over athletes (bootstrap)."""
        gained = np.subtract(self.courses["tracing"].cleared, self.courses[self.better_rule].cleared)
        return ratio_interval(gained, np.array(self.flagged))


def ratio_interval(top: np.ndarray, bottom: np.ndarray) -> tuple[float, float, float]:
    """Σ top / Σ bottom and its 95% percentile interval, athletes drawn with replacement."""
    picks = np.random.default_rng(1).integers(len(top), size=(DRAWS, len(top)))
    drawn = top[picks].sum(axis=1) / bottom[picks].sum(axis=1)
    low, high = np.quantile(drawn, [0.025, 0.975])
    return float(top.sum() / bottom.sum()), float(low), float(high)


def wilson(hits: int, of: int) -> tuple[float, float, float]:
    """Share and 95% interval. Source: Wilson 1927, J Am Stat Assoc 22:209-212 (from memory)."""
    z, share = 1.959964, hits / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return share, middle - half, middle + half


def run(athletes: int = ATHLETES, seed: int = SEED, variety: float = VARIETY_SD) -> Results:
    """So many athletes who have a flag with weight; one without any is drawn again and counted."""
    world, rng = World(shipped_graph(), variety), np.random.default_rng(seed)
    catalogue = load_catalogue()
    place = {
        key: place_of(catalogue.metric(key), catalogue)[0] for key in world.metrics if world.kinds[key] != "context"
    }
    results = Results({method: Course() for method in METHODS})
    while len(results.flagged) < athletes:
        one = athlete(world, rng)
        weight = sum(flag.weight for flag in one.flags)
        if not weight:
            results.without_flags += 1
            continue
        results.flagged.append(weight)
        results.most.append(max((_weight_cleared(one, root) for root in one.sources), default=0.0))
        workable = [flag for flag in one.flags if flag.may_be_root]
        worst = sorted(workable, key=lambda flag: (-flag.weight * flag.severity, flag.node))
        earliest = sorted(worst, key=lambda flag: place[flag.node.metric])
        _note(results.courses["worst flag first"], one, [flag.node for flag in worst])
        _note(results.courses["earliest flag first"], one, [flag.node for flag in earliest])
        _traced(results, world, one)
    return results


def _traced(results: Results, world: World, one: Athlete) -> None:
    found = trace(world.graph, one.evidence)
    _note(results.courses["tracing"], one, [root.node for root in found.roots])
    results.without_start += found.starting_point is None
    results.started.append(_weight_cleared(one, found.starting_point))
    if found.roots:
        root = found.roots[0]
        cleared = one.cleared_by(root.node)
        number = len(results.flagged)
        results.predicted += [(number, root.p_root * need, flag in cleared) for flag, need in root.clears.items()]


def _note(course: Course, one: Athlete, chosen: Sequence[Node]) -> None:
    first = chosen[0] if chosen else None
    course.first.append(first in one.planted)
    course.three.append(bool(one.planted & set(chosen[:3])))
    course.source.append(first in one.sources)
    course.cleared.append(_weight_cleared(one, first))


def _weight_cleared(one: Athlete, root: Node | None) -> float:
    if root is None:
        return 0.0
    cleared = one.cleared_by(root)
    return sum(flag.weight for flag in one.flags if flag.node in cleared)


def table(results: Results) -> list[str]:
    """What each way of choosing comes to, as rows of a Markdown table."""
    rows = ["| | flagged weight that would clear | planted first | among the first three | a true source first |"]
    rows.append("|---|---|---|---|---|")
    for method in METHODS:
        course = results.courses[method]
        cells = [_percent(ratio_interval(np.array(course.cleared), np.array(results.flagged)))]
        cells += [_percent(wilson(sum(hits), len(hits))) for hits in (course.first, course.three, course.source)]
        rows.append(f"| {method} | " + " | ".join(cells) + " |")
    return rows


def calibration(results: Results) -> list[str]:
    """Of what the first root was said to clear: said, and what cleared, by bins."""
    rows = ["| said | flags | mean said | cleared |", "|---|---|---|---|"]
    for low, high in pairwise(BINS):
        found = [one for one in results.predicted if low < one[1] <= high]
        if not found:
            continue
        hits = np.zeros(len(results.flagged) + 1)
        count = np.zeros(len(results.flagged) + 1)
        np.add.at(hits, [one[0] for one in found], [float(one[2]) for one in found])
        np.add.at(count, [one[0] for one in found], 1.0)
        kept = count > 0
        said = float(np.mean([one[1] for one in found]))
        share = _percent(ratio_interval(hits[kept], count[kept]))
        rows.append(f"| {low * 100:.0f} to {high * 100:.0f}% | {len(found)} | {said * 100:.0f}% | {share} |")
    return rows


def _percent(found: tuple[float, float, float]) -> str:
    share, low, high = found
    return f"{share * 100:.0f}% ({low * 100:.0f} to {high * 100:.0f})"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--athletes", type=int, default=ATHLETES)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--variety", type=float, default=VARIETY_SD, help="SD of what is not off")
    options = parser.parse_args()
    results = run(options.athletes, options.seed, options.variety)
    share, low, high = results.margin()
    started = ratio_interval(np.array(results.started), np.array(results.flagged))
    print("\n".join(table(results)), "", "\n".join(calibration(results)), "", sep="\n")
    print(f"Beyond {results.better_rule}: {share * 100:.1f} points ({low * 100:.1f} to {high * 100:.1f}).")
    print(f"Starting point only: {_percent(started)}; none: {results.without_start} of {len(results.flagged)}.")
    most = ratio_interval(np.array(results.most), np.array(results.flagged))
    print(f"The best single source would clear {_percent(most)}.")
    print(f"Drawn again because nothing was flagged: {results.without_flags}.")


if __name__ == "__main__":
    main()
