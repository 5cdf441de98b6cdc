"""Mass, centre and inertia of the arm's segments: de Leva 1996, J Biomech 29:1223-1230, Table 4.

Adjusted from Zatsiorsky's young adults. Masses are fractions of body mass; centres (from the proximal end) and radii of
gyration are fractions of the segment's length, the hand's of wrist centre to third metacarpal head. The tests hold them
against a copy of the table, and that copy's hand and forearm against their alternate end points.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

BALL_KG = 0.145  # a regulation baseball, the middle of 5 to 5.25 oz
GRAVITY = 9.80665  # m/s², standard gravity
YOUNG_AGE_YEARS = 16
YOUNG_UNCERTAINTY = 0.15  # standard uncertainty of an adult's mass fractions on a child's arm (house estimate)


@dataclass(frozen=True, slots=True)
class Segment:
    """``radii``: of gyration about the segment's X (forward), Y (long axis) and Z (to the right)."""

    mass: float
    centre: float
    radii: tuple[float, float, float]


MEN: Mapping[str, Segment] = MappingProxyType(
    {
        "upper_arm": Segment(0.0271, 0.5772, (0.285, 0.158, 0.269)),
        "forearm": Segment(0.0162, 0.4574, (0.276, 0.121, 0.265)),
        "hand": Segment(0.0061, 0.7900, (0.628, 0.401, 0.513)),
    }
)
WOMEN: Mapping[str, Segment] = MappingProxyType(
    {
        "upper_arm": Segment(0.0255, 0.5754, (0.278, 0.148, 0.260)),
        "forearm": Segment(0.0138, 0.4559, (0.261, 0.094, 0.257)),
        "hand": Segment(0.0056, 0.7474, (0.531, 0.335, 0.454)),
    }
)
BY_SEX: Mapping[str, Mapping[str, Segment]] = MappingProxyType({"male": MEN, "female": WOMEN})


def segments_for(sex: str | None) -> Mapping[str, Segment]:
    """The table of "female" or "male"; men's when it is not known. Raises KeyError for another word."""
    return BY_SEX[sex or "male"]
