"""What the verdict's thresholds cost: how often they cannot tell, and how often they are wrong.

A population of true values, normal with SD 1, is held against a target of mean ± 1 SD and flag limits
at ± 2 SD after being measured with standard uncertainty u (normal, known). For each measured mean the
verdict is the package's; what is true given that mean follows from Bayes' rule, so the shares are
integrals on a fine grid, not draws, and come out the same on every run.

Rerun:  .venv/bin/python -m bench.thresholds            (the table of docs/numbers.md)
        .venv/bin/python -m bench.thresholds --flag 0.9 --in-range 0.75
"""

from __future__ import annotations

import argparse
import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from metrics.judging.severity import shrink
from metrics.judging.values import STARTING_THRESHOLDS, Limits, Thresholds
from metrics.judging.verdicts import CANT_TELL, FLAG, IN_RANGE, judge

LIMITS = Limits(-1.0, 1.0, -2.0, 2.0)
U_OVER_SD = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)
GRID = np.linspace(-8.0, 8.0, 64_001)  # SD; a finer grid changes no printed digit
COLUMNS = (
    "u / SD",
    "can't tell",
    "in range",
    "watch",
    "flag",
    "inside, called out",
    "inside, called flag",
    "true flag, called in range",
)


@dataclass(frozen=True, slots=True)
class Cost:
    """Shares of all findings, except the last three: shares of those of which it is true."""

    u_over_sd: float
    cant_tell: float
    in_range: float
    watch: float
    flag: float
    inside_called_out: float  # verdict watch or flag, among those truly inside the target
    inside_called_flag: float
    flag_called_in: float  # verdict in range, among those truly beyond a flag limit


def cost(u: float, thresholds: Thresholds = STARTING_THRESHOLDS) -> Cost:
    """The shares at one u (in units of the population's SD)."""
    verdicts = judge(GRID, u, math.inf, LIMITS, thresholds)
    spread = math.hypot(1.0, u)
    mass = np.exp(-0.5 * (GRID / spread) ** 2) / (spread * math.sqrt(2 * math.pi)) * (GRID[1] - GRID[0])
    centre, sd = shrink(GRID, u, 0.0, 1.0)
    inside = ndtr((1 - centre) / sd) - ndtr((-1 - centre) / sd)
    beyond = ndtr((-2 - centre) / sd) + ndtr((centre - 2) / sd)
    held = (verdicts.sure != CANT_TELL) & (verdicts.not_scored < 0)
    called_in, called_flag = held & (verdicts.zone == IN_RANGE), held & (verdicts.zone == FLAG)
    called_out = held & ~called_in

    def share(rows: np.ndarray, of: np.ndarray | float = 1.0) -> float:
        return float(np.sum(mass * of * rows) / np.sum(mass * of))

    return Cost(
        u,
        share(verdicts.sure == CANT_TELL),
        share(called_in),
        share(called_out & ~called_flag),
        share(called_flag),
        share(called_out, inside),
        share(called_flag, inside),
        share(called_in, beyond),
    )


def table(thresholds: Thresholds = STARTING_THRESHOLDS) -> list[str]:
    """The costs as rows of a Markdown table, percent."""
    rows = ["| " + " | ".join(COLUMNS) + " |", "|---" * len(COLUMNS) + "|"]
    for u in U_OVER_SD:
        one = cost(u, thresholds)
        coarse = (one.cant_tell, one.in_range, one.watch, one.flag, one.inside_called_out)
        fine = (one.inside_called_flag, one.flag_called_in)
        cells = [f"{u:.1f}", *(f"{100 * x:.1f}%" for x in coarse), *(f"{100 * x:.2f}%" for x in fine)]
        rows.append("| " + " | ".join(cells) + " |")
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for name in ("flag", "in_range", "watch"):
        parser.add_argument(f"--{name.replace('_', '-')}", type=float, default=getattr(STARTING_THRESHOLDS, name))
    print("\n".join(table(Thresholds(**vars(parser.parse_args())))))


if __name__ == "__main__":
    main()
