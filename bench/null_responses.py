"""How often a response is called better, or worse, of athletes who did not change: tables of docs/responses.md.

One metric of simulated athletes. Their true means are normal around the middle of the range with SD 1 by construction
of the range: target ± 1 SD, flag limits ± 2 SD, as published rules are made. Each session adds an offset of SD u_b,
each throw one of the athlete's own SD; own SDs vary as the steadying assumes. Only athletes whose first session is
flagged (p_flag ≥ 0.80) get work. Reliability is SD²/(SD² + u²) of one session's mean. Words are worked out in arrays,
so that many athletes take a second; a test holds them against `respond_finding`, athlete by athlete.

Rerun:  .venv/bin/python -m bench.null_responses
        .venv/bin/python -m bench.null_responses --athletes 200000 --number 7
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from scipy.special import stdtr

from bench.null_changes import as_assumed
from metrics.change.values import LEVEL
from metrics.judging.findings import PRIOR_DEGREES, steadied_spread
from metrics.judging.sides import chance_beyond
from metrics.judging.values import STARTING_THRESHOLDS, BoolArray, FloatArray
from plans.responding.baseline import SHARE_OF_UNIT
from plans.responding.response import ENOUGH_THROWS, LEVELS

THROWS = (1, 2, 3, 5, 10)
BETWEEN = (0.0, 0.5, 1.0)
RELIABILITY = (0.6, 0.8)
CHUNK = 500_000


@dataclass(frozen=True, slots=True)
class Setting:
    """Throws a session, u_b as a multiple of s0 = 1, and how well one session's mean tells athletes apart.

    `moved`: a true change toward the middle after the baseline, in u of one session's mean; `width`: the range's limits
    as a multiple of those that the athletes' SD would give.
    """

    throws: int
    between: float
    reliability: float
    moved: float = 0.0
    width: float = 1.0

    @property
    def u(self) -> float:
        """Of one session's mean, for an athlete who scatters as the catalogue says."""
        return math.sqrt(1.0 / self.throws + self.between**2)

    @property
    def people_sd(self) -> float:
        """SD of the athletes' true means."""
        return self.u * math.sqrt(self.reliability / (1.0 - self.reliability))

    @property
    def edge(self) -> float:
        """Where the target ends on either side of 0; the flag limit lies twice as far out."""
        return self.width * self.people_sd


@dataclass(frozen=True, slots=True)
class Sessions:
    """Means and throws' SDs, shape (athletes,), of the first session, of a second one, and of the re-measurement.

    The first is flagged; `second_is_flag` says of whom the second is too, on the same side.
    """

    first: FloatArray
    first_sd: FloatArray
    second: FloatArray
    second_sd: FloatArray
    now: FloatArray
    now_sd: FloatArray
    second_is_flag: BoolArray

    def of(self, chosen: BoolArray) -> Sessions:
        """Some of the athletes."""
        return Sessions(**{one.name: getattr(self, one.name)[chosen] for one in fields(self)})

    def turned(self) -> Sessions:
        """As if the second session had been the first."""
        return replace(self, first=self.second, first_sd=self.second_sd, second=self.first, second_sd=self.first_sd)


def flagged_athletes(setting: Setting, *, athletes: int, number: int) -> Sessions:
    """Of so many athletes those who are flagged at their first session; drawn anew by the number."""
    code = [
        number,
        setting.throws,
        *(round(100 * one) for one in (setting.between, setting.reliability, setting.width)),
    ]
    chance = np.random.default_rng(code)
    parts = [_flagged(setting, chance, min(CHUNK, athletes - done)) for done in range(0, athletes, CHUNK)]
    return Sessions(**{f.name: np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(Sessions)})


def _flagged(setting: Setting, chance: np.random.Generator, athletes: int) -> Sessions:
    truth, own = setting.people_sd * chance.standard_normal(athletes), as_assumed(chance, athletes)
    first, first_sd = _measured(setting, chance, truth, own)
    chosen = is_flag(setting, first, first_sd) != 0
    truth, own, first, first_sd = truth[chosen], own[chosen], first[chosen], first_sd[chosen]
    second, second_sd = _measured(setting, chance, truth, own)
    now, now_sd = _measured(setting, chance, truth - np.sign(first) * setting.moved * setting.u, own)
    again = is_flag(setting, second, second_sd) == np.sign(first)
    return Sessions(first, first_sd, second, second_sd, now, now_sd, again)


def _measured(
    setting: Setting, chance: np.random.Generator, truth: FloatArray, own: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Mean and SD of a session. The SD of n normal throws is drawn as such: own SD · √(chi-square(n-1)/(n-1))."""
    mean = truth + setting.between * chance.standard_normal(truth.shape)
    mean = mean + own / math.sqrt(setting.throws) * chance.standard_normal(truth.shape)
    degrees = setting.throws - 1
    sd = own * np.sqrt(chance.chisquare(degrees, truth.shape) / degrees) if degrees else np.zeros(truth.shape)
    return mean, sd


def variance(setting: Setting, sd: FloatArray) -> tuple[FloatArray, FloatArray]:
    """u² of a session's mean and its degrees of freedom."""
    spread, degrees = steadied_spread(sd, setting.throws, 1.0)
    within = np.square(spread) / setting.throws
    square = within + setting.between**2
    return square, np.square(square) / (np.square(within) / degrees)


def is_flag(setting: Setting, mean: FloatArray, sd: FloatArray) -> FloatArray:
    """-1 flag low, +1 flag high, 0 no flag."""
    square, nu = variance(setting, sd)
    shown = chance_beyond(np.abs(mean) - 2.0 * setting.edge, np.sqrt(square), nu) >= STARTING_THRESHOLDS.flag
    return np.where(shown, np.sign(mean), 0.0)


@dataclass(frozen=True, slots=True)
class Compared:
    """Chance p of a change as large, and whether it leads nearer to the target or farther; shape (athletes,)."""

    p: FloatArray
    nearer: BoolArray
    farther: BoolArray


def compared(
    setting: Setting, then: FloatArray, then_sd: FloatArray, sessions: Sessions, kept: FloatArray | float = 1.0
) -> Compared:
    """`change_between(then, now, kept=…)` of many athletes at once."""
    own = setting.throws - 1
    degrees = PRIOR_DEGREES + 2 * own
    spread = (PRIOR_DEGREES + own * (np.square(then_sd) + np.square(sessions.now_sd))) / degrees
    within = spread * (np.asarray(kept) + 1.0) / setting.throws
    square = within + (np.asarray(kept) + 1.0) * setting.between**2
    p = 2.0 * stdtr(np.square(square) / (np.square(within) / degrees), -np.abs(sessions.now - then) / np.sqrt(square))
    before, after = (np.maximum(np.abs(mean) - setting.edge, 0.0) for mean in (then, sessions.now))
    inside = (before == 0.0) & (after == 0.0)
    return Compared(p, after < before, (after >= before) & ~inside)


def words(setting: Setting, sessions: Sessions, route: str) -> tuple[BoolArray, BoolArray]:
    """Of whom the response is better, and of whom worse. Routes: see `ROUTES`."""
    enough = setting.throws >= ENOUGH_THROWS
    if route == "measured":
        found = compared(setting, sessions.second, sessions.second_sd, sessions)
        level = LEVELS[False, enough]
        return (found.p <= level) & found.nearer, (found.p <= level) & found.farther
    square, _ = variance(setting, sessions.first_sd)
    people = setting.people_sd if route == "estimated" else SHARE_OF_UNIT * setting.edge
    kept = people**2 / (people**2 + square)
    level = LEVELS[True, enough]
    found = compared(setting, kept * sessions.first, sessions.first_sd, sessions, kept)
    own = compared(setting, sessions.first, sessions.first_sd, sessions)
    own_worse = (own.p <= level) & ~own.nearer
    return (found.p <= level) & found.nearer, (found.p <= level) & found.farther & own_worse


def shares(setting: Setting, sessions: Sessions, route: str) -> tuple[float, float]:
    """Share better and share worse.

    Routes: *measured*, *estimated*, *range* are what the package does. *Own session* is what would be if the flag's own
    mean were the baseline, at 5%; *second flag* if a second flagged session were, of those who have one. *Recurring* is
    what the package does of those: an estimate from the second.
    """
    if route in ("second flag", "recurring"):
        sessions = sessions.of(sessions.second_is_flag).turned()
    if route in ("own session", "second flag"):
        found = compared(setting, sessions.first, sessions.first_sd, sessions)
        better, worse = (found.p <= LEVEL) & found.nearer, (found.p <= LEVEL) & found.farther
    else:
        better, worse = words(setting, sessions, "estimated" if route == "recurring" else route)
    return float(better.mean()), float(worse.mean())


def margin(flagged: int, share: float = 0.03, deviations: float = 3.0) -> float:
    """Monte Carlo error of a share of so many flagged athletes: so many standard deviations."""
    return deviations * math.sqrt(share * (1.0 - share) / flagged)


ROUTES = ("measured", "estimated", "range", "recurring", "own session", "second flag")


def cells(setting: Setting, athletes: int, number: int, routes: Sequence[str] = ROUTES) -> list[str]:
    """*better / worse* of each route, in percent."""
    sessions = flagged_athletes(setting, athletes=athletes, number=number)
    found = [shares(setting, sessions, route) for route in routes]
    return [f"{100 * better:.1f} / {100 * worse:.1f}" for better, worse in found]


def print_row(*printed: object) -> None:
    print("| " + " | ".join(map(str, printed)) + " |", flush=True)


def print_unchanged(athletes: int, number: int) -> None:
    print_row("n", "u_b / s0", "reliability", *ROUTES)
    print("|---" * (len(ROUTES) + 3) + "|")
    for throws in THROWS:
        for between in BETWEEN:
            for reliability in RELIABILITY:
                row = cells(Setting(throws, between, reliability), athletes, number)
                print_row(throws, f"{between:g}", f"{reliability:g}", *row)


def print_reliability(athletes: int, number: int) -> None:
    print()
    print_row("reliability, five throws", *ROUTES)
    print("|---" * (len(ROUTES) + 1) + "|")
    for reliability in (0.5, 0.6, 0.7, 0.8, 0.9, 0.95):
        print_row(reliability, *cells(Setting(5, 0.5, reliability), athletes, number))


def print_widths(athletes: int, number: int) -> None:
    print()
    print_row("limits as wide as", "estimated", "range", "flagged")
    print("|---" * 4 + "|")
    for width in (0.7, 1.0, 1.4, 1.8):
        setting = Setting(5, 0.5, 0.8, width=width)
        flagged = flagged_athletes(setting, athletes=athletes, number=number).first.size
        print_row(width, *cells(setting, athletes, number, ("estimated", "range")), f"{100 * flagged / athletes:.2f}%")


def print_moved(athletes: int, number: int) -> None:
    print()
    print_row("truly moved, in u", *ROUTES[:4])
    print("|---" * 5 + "|")
    for moved in (0, 2, 3, 4, 5, 6):
        setting = Setting(5, 0.5, 0.8, moved=float(moved))
        sessions = flagged_athletes(setting, athletes=athletes, number=number)
        print_row(moved, *(f"{100 * shares(setting, sessions, route)[0]:.0f}%" for route in ROUTES[:4]))


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--athletes", type=int, default=4_000_000, help="of whom some are flagged")
    arguments.add_argument("--number", type=int, default=1, help="repeats the same draws")
    asked = arguments.parse_args()
    for table in (print_unchanged, print_reliability, print_widths, print_moved):
        table(asked.athletes, asked.number)


if __name__ == "__main__":
    main()
