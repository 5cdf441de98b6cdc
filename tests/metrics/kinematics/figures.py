"""Prints how well recordings are measured, against what: the figures of docs/measurement.md.

.venv/bin/python -m tests.metrics.kinematics.figures    (about a minute)

Nothing is computed here that the tests of this folder do not hold; this says the numbers where they say "enough".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from metrics.catalogue import load_catalogue
from metrics.catalogue.filter_costs import load_costs
from metrics.kinematics import DEFAULT_FILTER_HZ
from metrics.measuring.output import what_the_filter_takes
from tests.metrics.kinematics import test_against_library as library
from tests.metrics.kinematics.between_frames import WAYS, missed
from tests.metrics.kinematics.library_angles import ANGLES, ONLY_OURS
from tests.metrics.kinematics.noise import repeats, trials
from tests.metrics.kinematics.test_angles import errors
from tests.metrics.kinematics.test_events import spread_errors
from tests.metrics.kinematics.test_straightening import AT_RELEASE_DEG, turning_in
from tests.metrics.kinematics.trials import EVENTS, RATES_HZ

MS = 1000.0
REPEATS = 40
COSTS_AT_HZ = 240
SHOWN_COSTS = (
    "shoulder_external_rotation_max", "elbow_flexion_max", "lead_knee_flexion_br", "trunk_velocity_max",
    "pelvis_velocity_max", "elbow_extension_velocity_max",
)  # fmt: skip


def truth() -> Iterator[str]:
    """Angles, lengths and speeds at the true moments, without filter and noise."""
    for rate in RATES_HZ:
        parts = []
        for unit in ("deg", "m", "deg/s"):
            rows = [(error, true) for r, _, u, error, true in errors() if (r, u) == (rate, unit)]
            off = [abs(error / true) if unit == "deg/s" else abs(error) for error, true in rows]
            scale, said = {"deg": (1, "°"), "m": (MS, " mm"), "deg/s": (100, "% of a peak speed")}[unit]
            parts.append(f"{scale * np.median(off):.2g}{said} (median), {scale * max(off):.2g} (worst)")
        yield f"{rate:6.0f} Hz   {'; '.join(parts)}"


def between_frames() -> Iterator[str]:
    """The true curves themselves, sampled 100 times a second and read between."""
    for way in WAYS:
        yield f"{way}: " + ", ".join(f"{name} {worst:.2f}°" for name, worst in missed(way).items())


def moments() -> Iterator[str]:
    """Events found less true, ms, without noise."""
    for event in EVENTS:
        worst = [max(abs(MS * found[event]) for rate, found in spread_errors() if rate == each) for each in RATES_HZ]
        yield f"{event:>8}   worst {_at_rates(worst)}"


def _at_rates(numbers: Iterable[float]) -> str:
    return ", ".join(f"{number:.1f} at {rate:.0f} Hz" for number, rate in zip(numbers, RATES_HZ, strict=True))


def noise() -> Iterator[str]:
    """1 mm on every marker behind the default filter, against the same throw without."""
    for name in trials():
        found = repeats(name, REPEATS)
        medians, tails = [], []
        for changes in found.of_unit("deg", found.at_same_events).values():
            size = np.abs(changes)
            medians.append(np.median(size))
            tails.append(np.percentile(size, 95))
        errors = {event: MS * found.errors_s[event] for event in EVENTS}
        spreads = ", ".join(f"{event} {np.mean(off):+.1f} ± {np.std(off, ddof=1):.1f}" for event, off in errors.items())
        angles = f"{np.median(medians):.2f}° (median over angles), {max(medians):.2f}° (worst angle)"
        yield f"{name}: an angle at the same moment {angles}, 95% of throws within {max(tails):.2f}°"
        yield f"  events, mean error ± SD in ms: {spreads}"
        moved = {key: np.abs(changes) for key, changes in found.of_unit("deg", found.at_found_events).items()}
        worst = max(moved, key=lambda key: float(np.median(moved[key])))
        over = sum(float(np.median(changes)) > 1.0 for changes in moved.values())
        yield (
            f"  at the events found in the noise: {over} of {len(moved)} angles over 1° in the median; worst {worst}, "
            f"{np.median(moved[worst]):.1f}° (median), {np.percentile(moved[worst], 95):.1f}° (95%)"
        )


def filter_takes() -> Iterator[str]:
    """Unfiltered less filtered, and the spread by 1 mm, at one frame rate."""
    metrics = load_catalogue().metrics
    for key in SHOWN_COSTS:
        cost = load_costs()[metrics[key].reading_key("fp"), COSTS_AT_HZ]
        taken = what_the_filter_takes(cost.low_by or 0.0, 1) or "reads as without one"
        yield f"{metrics[key].name}: {taken} {metrics[key].storage_unit}, SD {cost.noise_sd:.2g}"


def straightening() -> Iterator[str]:
    """The greatest speed of turning in by how far the elbow is bent at release, all else the same."""
    for bent in AT_RELEASE_DEG:
        plain, smooth = turning_in(bent, None), turning_in(bent, DEFAULT_FILTER_HZ)
        yield (
            f"bent {bent:.0f}° at release: {plain.speed:.0f} deg/s unfiltered, {smooth.speed:.0f} filtered; "
            f"straightest {plain.least_flexion:.0f}° and {smooth.least_flexion:.0f}°"
        )


def libraries() -> Iterator[str]:
    """The general-purpose library on random deliveries."""
    worst = {name: float(np.nanmax(np.abs(off))) for name, off in library.compared(0.0).items()}
    furthest = max(worst, key=worst.__getitem__)
    yield f"{len(ANGLES)} angles on {library.DELIVERIES} deliveries: worst {worst[furthest]:.1g}° ({furthest})"
    yield f"only ours: {', '.join(sorted(ONLY_OURS))}"


PARTS = {
    "Against the synthesiser's truth, no filter, no noise": truth,
    "True curves of 100 frames a second read between frames, worst": between_frames,
    "Events against the truth, no noise, ms": moments,
    "1 mm of noise on every marker": noise,
    f"What the default filter takes at {COSTS_AT_HZ} Hz": filter_takes,
    "Turning in through the default filter": straightening,
    "Against a general-purpose library of biomechanics": libraries,
}

if __name__ == "__main__":
    for title, part in PARTS.items():
        print(f"\n{title}")
        for line in part():
            print(f"  {line}")
