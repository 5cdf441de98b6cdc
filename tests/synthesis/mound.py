"""The ground: a level rubber, then a slope toward home (1 inch per foot is the rule-book mound)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .curves import Array

RULE_BOOK_SLOPE = float(np.degrees(np.arctan(1 / 12)))
LEVEL_BEFORE = 0.20  # m in front of the rear ankle: the rubber's edge and the level part before it


@dataclass(frozen=True, slots=True)
class Mound:
    """Ground heights (m) over X (m from the rear ankle). `slope` in degrees, 0 for flat ground."""

    slope: float = RULE_BOOK_SLOPE

    def height(self, x: Array) -> Array:
        return -np.tan(np.radians(self.slope)) * np.maximum(np.asarray(x, dtype=float) - LEVEL_BEFORE, 0.0)
