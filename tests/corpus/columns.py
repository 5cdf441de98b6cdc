"""How one metric is written in a table: header, unit, sign, decimals, and the way back to the storage unit."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from pathlib import Path

NAMES = Path(__file__).with_name("names.csv")

STORAGE_PER_WRITTEN: Mapping[str, float] = {
    "deg": 1.0,
    "rad": 180 / math.pi,
    "deg/s": 1.0,
    "rad/s": 180 / math.pi,
    "m/s": 1.0,
    "mph": 0.44704,
    "km/h": 1 / 3.6,
    "m": 1.0,
    "cm": 0.01,
    "in": 0.0254,
    "ft": 0.3048,
    "s": 1.0,
    "ms": 0.001,
    "N": 1.0,
    "N·m": 1.0,
    "%": 1.0,
    "% BW": 1.0,
    "BW": 100.0,
}
"""Exact by definition: the international inch, foot and mile; 180° = π rad; a body weight = 100 % of it."""

SIGNS = {"kept": (0.0, 1.0), "turned": (0.0, -1.0), "inner": (180.0, -1.0)}
"""written = first + second × kept: the same, the opposite direction, the angle inside the joint."""

DECIMALS = {"rad": 4, "rad/s": 3, "m": 3, "ft": 3, "s": 4, "BW": 3, "in": 2}

METRIC_UNITS = {
    "stride_length": "m",
    "fc_br_time": "s",
    "ball_speed": "m/s",
    "elbow_varus_torque_max": "N·m",
    "shoulder_distraction_force_max": "N",
    "lead_force_max": "% BW",
    "pelvis_velocity_max_time": "%",
    "trunk_velocity_max_time": "%",
}


@dataclass(frozen=True, slots=True)
class Column:
    """One metric as a table writes it. ``unit`` is the scale of the numbers, whether or not the table says so."""

    metric: str
    header: str
    unit: str
    event: str = ""
    bare: str = ""
    sign: str = "kept"

    def written(self, kept: float) -> Decimal:
        """The number as it stands in the table, rounded as the table rounds."""
        start, way = SIGNS[self.sign]
        shown = (start + way * kept) / STORAGE_PER_WRITTEN[self.unit]
        return Decimal(f"{shown:.{DECIMALS.get(self.unit, 1)}f}")

    def kept(self, written: Decimal | float) -> float:
        """The number that a right reading of the table keeps, in the metric's storage unit."""
        start, way = SIGNS[self.sign]
        return way * (float(written) * STORAGE_PER_WRITTEN[self.unit] - start)


def default_unit(metric: str) -> str:
    """The unit that a table in SI units writes this metric in."""
    return METRIC_UNITS.get(metric, "deg/s" if "_velocity_max" in metric else "deg")


def columns_named(language: str, *metrics: str, units: Mapping[str, str] | None = None) -> tuple[Column, ...]:
    """Columns with the headers of one language (en, short, snake, de, es, fr); every metric when none is named."""
    names = _names()
    chosen = metrics or tuple(names)
    return tuple(
        Column(
            metric,
            names[metric][language],
            (units or {}).get(metric, default_unit(metric)),
            names[metric]["event"],
            names[metric]["bare"],
        )
        for metric in chosen
    )


def with_headers(columns: Iterable[Column], *, form: str, symbols: Mapping[str, str] | None = None) -> list[Column]:
    """The same columns with the unit in the header; ``form`` as in ``"{name} ({unit})"``."""
    say = symbols or {}
    return [replace(one, header=form.format(name=one.header, unit=say.get(one.unit, one.unit))) for one in columns]


@cache
def _names() -> Mapping[str, Mapping[str, str]]:
    with NAMES.open(encoding="utf-8", newline="") as lines:
        return {row["metric"]: row for row in csv.DictReader(lines)}
