"""From the synthesiser's recordings to the product's: metres, file axes, plates with moments about their middle."""

from __future__ import annotations

import numpy as np

from sessions.formats.recording import Plate, Recording
from tests import synthesis

METRES = {"m": 1.0, "cm": 1e-2, "mm": 1e-3}


def as_recording(made: synthesis.Recording) -> Recording:
    """What a reader would make of the synthesised file."""
    rate = made.room.rate_hz
    plates = tuple(
        Plate(
            plate.force,
            np.cross(plate.centre - plate.corners.mean(axis=0), plate.force),
            plate.corners,
            rate * made.room.analog_per_frame,
        )
        for plate in made.plates
    )
    positions = np.asarray(made.points, dtype=np.float64) * METRES[made.room.unit]
    return Recording(made.labels, positions, rate, made.room.unit, plates, "synthesised")
