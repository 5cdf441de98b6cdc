"""What filter and marker noise cost each metric, as measured on synthesised throws: data/filter_cost.csv.

The table is made by tests/metrics/kinematics/filter_cost.py on marker positions, never invented. ``low_by``: how much
lower the metric reads through the default filter than without any (median over throws). ``noise_sd``: standard
deviation that 1 mm of white noise on every marker brings through the default filter, moments of events included.
Loads have no ``low_by``: how sharp a real arm's peaks of load are, no synthesised arm can tell. Nor has the speed of
turning in, which reads low of an elbow that stays bent and high of one that straightens.
"""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

FILE = "filter_cost.csv"
FILTER_HZ = 13.4
"""Design cut-off of the filter that the table was made with."""


@dataclass(frozen=True, slots=True)
class Cost:
    """In the unit that the reading is stored in. ``low_by`` None: not known, as for loads."""

    low_by: float | None
    noise_sd: float


@cache
def load_costs() -> Mapping[tuple[str, int], Cost]:
    """(reading key, frames a second) → cost."""
    text = (files("metrics.catalogue") / "data" / FILE).read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {(row["reading"], int(row["rate_hz"])): _cost(row["low_by"], row["noise_sd"]) for row in rows}


def _cost(low_by: str, noise_sd: str) -> Cost:
    return Cost(float(low_by) if low_by else None, float(noise_sd))


def cost_of(reading_key: str, rate_hz: float) -> Cost | None:
    """The cost at the nearest frame rate of the table (by ratio); None for a reading that is not in it."""
    rates = _rates().get(reading_key)
    if not rates:
        return None
    return load_costs()[reading_key, min(rates, key=lambda rate: abs(math.log(rate / rate_hz)))]


@cache
def _rates() -> Mapping[str, list[int]]:
    """Reading key → the frame rates that the table has it at."""
    found: defaultdict[str, list[int]] = defaultdict(list)
    for key, rate in load_costs():
        found[key].append(rate)
    return dict(found)
