"""How often *really changing* is said of athletes who did not change: two tables of docs/change.md.

One metric of simulated athletes whose true means never move. Each session adds an offset of SD u_b, each throw one of
the athlete's own SD; sessions hold n throws. The catalogue's typical SD s0 is 1. Two sessions are judged in arrays, so
that a million athletes a cell take a second (a test holds each of them against `change_between`); more sessions by
the package itself.

Rerun:  .venv/bin/python -m bench.null_changes
        .venv/bin/python -m bench.null_changes --athletes 20000 --number 7
"""

from __future__ import annotations

import argparse
import datetime
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr

from metrics.change.answer import really_changing
from metrics.change.values import LEVEL, Measurement
from metrics.judging.findings import PRIOR_DEGREES
from metrics.judging.values import BoolArray, FloatArray, Limits

THROWS = (1, 2, 3, 5, 10)
BETWEEN = (0.0, 0.5, 1.0)
SESSIONS = (2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 20, 40)
LIMITS = Limits(-1.0, 1.0, -2.0, 2.0)
FIRST = datetime.date(2026, 1, 5)

OwnSpread = Callable[[np.random.Generator, int], FloatArray]


def as_assumed(chance: np.random.Generator, athletes: int) -> FloatArray:
    """Own SDs as the steadying takes them to vary: 8·s0²/σ² is chi-square with 8 degrees."""
    return np.sqrt(PRIOR_DEGREES / chance.chisquare(PRIOR_DEGREES, athletes))


def always(sd: float) -> OwnSpread:
    """Every athlete throws with this SD, whatever the catalogue says."""
    return lambda _chance, athletes: np.full(athletes, sd)


@dataclass(frozen=True, slots=True)
class Case:
    """How true SDs come about, and the u_b that the package is told, as a multiple of the true one."""

    spread: OwnSpread
    told: float = 1.0


CASES = {
    "SDs vary as assumed": Case(as_assumed),
    "all equal s0": Case(always(1.0)),
    "all half s0": Case(always(0.5)),
    "all twice s0": Case(always(2.0)),
    "as assumed, u_b told at half": Case(as_assumed, 0.5),
    "as assumed, u_b told twice": Case(as_assumed, 2.0),
}


@dataclass(frozen=True, slots=True)
class Unchanged:
    """Athletes who never change: means and throws' SDs of their sessions, shape (athletes, sessions).

    `told_between` is the u_b that the package is told.
    """

    mean: FloatArray
    sd: FloatArray
    throws: int
    told_between: float

    def measurements(self) -> Iterator[list[Measurement]]:
        """Each athlete's sessions, a week apart."""
        days = [FIRST + datetime.timedelta(weeks=week) for week in range(self.mean.shape[1])]
        for means, sds in zip(self.mean.tolist(), self.sd.tolist(), strict=True):
            yield [
                Measurement(day, mean, self.throws, sd if self.throws > 1 else None, 1.0, self.told_between, LIMITS)
                for day, mean, sd in zip(days, means, sds, strict=True)
            ]


def unchanged(
    case: Case, throws: int, between: float, *, sessions: int, athletes: int, number: int, memory: float = 0.0
) -> Unchanged:
    """Drawn anew by the number. The SD of n normal throws is drawn as such: own SD · √(chi-square(n-1)/(n-1)).

    memory: the correlation of a session's offset with the one before; 0 as the package assumes.
    """
    chance = np.random.default_rng([number, throws, round(10 * between), sessions])
    own = case.spread(chance, athletes)[:, None]
    shape = (athletes, sessions)
    offset = chance.standard_normal(shape)
    for place in range(1, sessions):
        offset[:, place] = memory * offset[:, place - 1] + math.sqrt(1.0 - memory**2) * offset[:, place]
    mean = between * offset + own / math.sqrt(throws) * chance.standard_normal(shape)
    degrees = throws - 1
    sd = own * np.sqrt(chance.chisquare(degrees, shape) / degrees) if degrees else np.zeros(shape)
    return Unchanged(mean, sd, throws, case.told * between)


def called_changed(two: Unchanged) -> BoolArray:
    """`change_between(…).is_real` for two sessions of many athletes at once."""
    degrees = PRIOR_DEGREES + 2 * (two.throws - 1)
    spread = (PRIOR_DEGREES + (two.throws - 1) * np.sum(two.sd**2, axis=1)) / degrees
    within = 2.0 * spread / two.throws
    square = within + 2.0 * two.told_between**2
    nu = square**2 / (within**2 / degrees)
    difference = two.mean[:, 1] - two.mean[:, 0]
    return np.asarray(2.0 * stdtr(nu, -np.abs(difference) / np.sqrt(square)) <= LEVEL)


def false_changes(case: Case, throws: int, between: float, *, athletes: int, number: int) -> float:
    """Share of unchanged athletes of whom two sessions are called really different."""
    two = unchanged(case, throws, between, sessions=2, athletes=athletes, number=number)
    return float(called_changed(two).mean())


def false_answers(sessions: int, *, athletes: int, number: int, memory: float = 0.0) -> float:
    """Share of unchanged athletes with so many sessions of whom the page's one word says that they changed.

    Five throws a session, u_b half of s0.
    """
    asked = {"sessions": sessions, "athletes": athletes, "number": number}
    drawn = unchanged(CASES["SDs vary as assumed"], 5, 0.5, memory=memory, **asked)
    return sum(really_changing(points).is_real for points in drawn.measurements()) / athletes


def margin(athletes: int, deviations: float = 3.0) -> float:
    """Monte Carlo error of a share near 5%: so many standard deviations."""
    return deviations * math.sqrt(0.05 * 0.95 / athletes)


def print_pairs(athletes: int, number: int) -> None:
    print("| n | u_b / s0 | " + " | ".join(CASES) + " |")
    print("|---" * (len(CASES) + 2) + "|")
    for throws in THROWS:
        for between in BETWEEN:
            cells = [false_changes(case, throws, between, athletes=athletes, number=number) for case in CASES.values()]
            print(f"| {throws} | {between:g} | " + " | ".join(f"{100 * cell:.1f}%" for cell in cells) + " |")
    print(f"\n{athletes:,} athletes a cell, ± {100 * margin(athletes):.2f} percentage points (three SD)\n")


def print_sessions(athletes: int, number: int) -> None:
    print("| sessions | " + " | ".join(map(str, SESSIONS)) + " |")
    print("|---" * (len(SESSIONS) + 1) + "|")
    for memory in (0.0, 0.5):
        cells = [false_answers(sessions, athletes=athletes, number=number, memory=memory) for sessions in SESSIONS]
        print(f"| memory {memory:g} | " + " | ".join(f"{100 * cell:.1f}%" for cell in cells) + " |", flush=True)
    print(f"\n{athletes:,} athletes a cell, ± {100 * margin(athletes):.2f} percentage points (three SD)")


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--athletes", type=int, default=1_000_000, help="of two sessions; of more a 200th")
    arguments.add_argument("--number", type=int, default=1, help="repeats the same draws")
    asked = arguments.parse_args()
    print_pairs(asked.athletes, asked.number)
    print_sessions(max(asked.athletes // 200, 100), asked.number)


if __name__ == "__main__":
    main()
