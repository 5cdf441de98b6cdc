"""Makes metrics/catalogue/data/filter_cost.csv: what the default filter and 1 mm of noise cost each reading.

.venv/bin/python -m tests.metrics.kinematics.filter_cost    (about two minutes; the same numbers every time)

On marker positions of synthesised throws, never on angles: each throw is measured without a filter, through the
default one, and through it again with noise on every marker and its events found in that noise.
"""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from metrics import catalogue
from metrics.catalogue import load_catalogue
from metrics.kinematics.uncertainty import LOAD_UNITS
from tests.metrics.kinematics.trials import HEIGHTS_M, SLOPES_DEG, Trial, trial
from tests.synthesis import LEVELS

TABLE = Path(catalogue.__file__).parent / "data" / "filter_cost.csv"
RATES_HZ = (100, 150, 200, 240, 300, 400, 500)
NOISE_M = 0.001
REPEATS = 8
DIGITS = 3
TURNING_IN = "shoulder_internal_rotation_velocity_max@mer-mir"
NAMES = ("reading", "rate_hz", "low_by", "noise_sd")


def throws(rate_hz: float) -> Iterator[Trial]:
    """Two throws a level: of several bodies, mounds and landings, their frames falling differently beside events."""
    landings = ("heel", "toe", "flat")
    for k, level in enumerate((*LEVELS, *LEVELS)):
        yield trial(
            level, height=HEIGHTS_M[k % len(HEIGHTS_M)] if level == "youth" else HEIGHTS_M[2 + k % 4],
            slope=SLOPES_DEG[k % len(SLOPES_DEG)], rate_hz=rate_hz, landing=landings[k % 3], phase=(k * 0.382) % 1.0,
        )  # fmt: skip


def values(one: Trial, **given: object) -> dict[str, float]:
    found = one.measured(**given)  # type: ignore[arg-type]
    return {key: np.nan if value.value is None else value.value for key, value in found.metrics.items()}


def costs(rate_hz: float, repeats: int = REPEATS) -> dict[str, tuple[float, float]]:
    """Reading key → (how much lower it reads through the filter, standard deviation by noise), at one frame rate.

    Medians over throws of the first; of the second the root of the mean variance within throws.
    """
    low: defaultdict[str, list[float]] = defaultdict(list)
    spread: defaultdict[str, list[float]] = defaultdict(list)
    for one in throws(rate_hz):
        plain, smooth = values(one, filter_hz=None), values(one)
        noisy = [values(one, noise_m=NOISE_M, number=number) for number in range(repeats)]
        for key in smooth:
            low[key].append(plain[key] - smooth[key])
            spread[key].append(float(np.var([each[key] for each in noisy], ddof=1)))
    with np.errstate(invalid="ignore"):
        return {
            key: (float(np.median(_finite(low[key]))), float(np.sqrt(np.mean(_finite(spread[key])))))
            for key in low
            if len(_finite(low[key])) and len(_finite(spread[key]))
        }


def _finite(numbers: list[float]) -> np.ndarray:
    found = np.array(numbers)
    return found[np.isfinite(found)]


def hangs_on_the_arm(key: str) -> bool:
    """What no one number of the filter is true of.

    Torques and forces of the arm: their peaks are as sharp as the synthesiser's curves happen to be. The speed of
    turning in: high or low by how far the elbow straightens (test_straightening).
    """
    return load_catalogue().parse_reading_key(key)[0].unit in LOAD_UNITS or key == TURNING_IN


def rounded(number: float) -> str:
    """To DIGITS significant digits, and no minus before nought."""
    return f"{number:.{DIGITS}g}" if abs(number) > 1e-9 else "0"


def table() -> str:
    text = io.StringIO()
    text.write("# Made by tests/metrics/kinematics/filter_cost.py; units are those that readings are stored in.\n")
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(NAMES)
    for rate in RATES_HZ:
        for key, (low_by, noise_sd) in sorted(costs(float(rate)).items()):
            rows.writerow((key, rate, "" if hangs_on_the_arm(key) else rounded(low_by), rounded(noise_sd)))
    return text.getvalue()


if __name__ == "__main__":
    TABLE.write_text(table(), encoding="utf-8")
    print(f"{TABLE.name} is written.")
