"""A ratio: how much longer our work takes than the least that anybody could do for it, on this machine, now.

Seconds differ from machine to machine and from minute to minute; the ratio of two things measured in turn in one
process hardly does.
"""

from __future__ import annotations

import gc
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter

LEAST_RUNS = 5
FAILS_ABOVE = 2.0  # times the goal: beyond what a busy machine explains


class Goal:
    """What is measured has a `value` and a `goal`: over it is said, over twice it fails."""

    value: float
    goal: float

    @property
    def word(self) -> str:
        if self.value <= self.goal:
            return "good"
        return "FAILS" if self.fails else "over the goal"

    @property
    def fails(self) -> bool:
        return self.value > FAILS_ABOVE * self.goal


@dataclass(frozen=True)
class Limit(Goal):
    """One number that should stay under another one of the same unit, such as queries a page."""

    name: str
    value: float
    goal: float
    unit: str

    @property
    def line(self) -> str:
        number = f"{self.value:.0f}" if self.unit == "queries" else f"{self.value:.1f}"
        return f"{self.name:<52}{number + ' ' + self.unit:>30}{self.goal:>7g}  {self.word}"


@dataclass(frozen=True)
class Ratio(Goal):
    """Medians in milliseconds, and the ratio that the work should stay under."""

    name: str
    floor_ms: float
    work_ms: float
    goal: float

    @property
    def value(self) -> float:  # type: ignore[override]
        return self.work_ms / self.floor_ms

    @property
    def line(self) -> str:
        numbers = f"{self.floor_ms:>11.2f}{self.work_ms:>11.2f}{self.value:>8.2f}{self.goal:>7g}"
        return f"{self.name:<52}{numbers}  {self.word}"


def compare(
    name: str,
    *,
    floor: Callable[[], object],
    work: Callable[[], object],
    goal: float,
    runs: int = LEAST_RUNS,
) -> Ratio:
    """Measure both in turn, after one unmeasured run of each, and take the medians.

    floor: the least that the task needs, such as reading the bytes. work: what we do. goal: the ratio aimed at.
    """
    if runs < LEAST_RUNS:
        raise ValueError(f"{runs} runs are too few for a median; {LEAST_RUNS} are the least.")
    floor()
    work()
    floors, works = [], []
    for _ in range(runs):
        floors.append(_milliseconds(floor))
        works.append(_milliseconds(work))
    return Ratio(name, median(floors), median(works), goal)


def median_ms(task: Callable[[], object], runs: int = LEAST_RUNS) -> float:
    """The median time of a task by itself, after one unmeasured run."""
    task()
    return median([_milliseconds(task) for _ in range(runs)])


def _milliseconds(task: Callable[[], object]) -> float:
    gc.collect()
    started = perf_counter()
    task()
    return (perf_counter() - started) * 1000
