"""What a person says about the athlete and the filter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from metrics.kinematics import DEFAULT_FILTER_HZ

SIDES: Final = ("right", "left")
HEIGHTS_M: Final = (0.8, 2.5)
MASSES_KG: Final = (15.0, 250.0)
FILTERS_HZ: Final = (1.0, 500.0)
NO_FILTER: Final = "none"


@dataclass(frozen=True, slots=True)
class Asked:
    """Height (m), mass (kg), the throwing side, and the filter's design cut-off (Hz), None for no filter.

    Raises ValueError with a sentence for a person.
    """

    height_m: float
    mass_kg: float
    side: str
    filter_hz: float | None = DEFAULT_FILTER_HZ

    def __post_init__(self) -> None:
        _within("The height is in metres, such as 1.86", self.height_m, HEIGHTS_M)
        _within("The mass is in kilograms, such as 88", self.mass_kg, MASSES_KG)
        if self.filter_hz is not None:
            _within("The filter is in hertz, such as 13.4, or none", self.filter_hz, FILTERS_HZ)
        if self.side not in SIDES:
            raise ValueError(f"The throwing side is right or left, not {self.side}.")


def parse_filter(text: str) -> float | None:
    """A number of hertz, or "none". Raises ValueError for anything else."""
    return None if text.strip().lower() == NO_FILTER else float(text)


def _within(what: str, value: float, span: tuple[float, float]) -> None:
    low, high = span
    if not low <= value <= high:
        raise ValueError(f"{what}; {low:g} to {high:g} is expected, not {value:g}.")
