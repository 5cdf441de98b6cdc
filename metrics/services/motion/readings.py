"""What was measured of a throw, written beside it: its readings and how they were made."""

from __future__ import annotations

from metrics.kinematics import ALGORITHM
from metrics.measuring.captured import CapturedThrow
from metrics.measuring.room import Thrower
from metrics.models import MotionReport, Reading
from metrics.services.imports.targets import checksum_of
from sessions.models import Throw

REPORTED = ("side", "axes", "rules", "gaps", "forearm_ratio", "noise_mm")


def write_readings(throw: Throw, captured: CapturedThrow, measured_for: Thrower) -> None:
    """The throw's readings from markers and the report beside them, in place of earlier ones."""
    Reading.objects.update_or_create(
        throw=throw,
        source=Reading.Source.MARKERS,
        defaults={"algorithm": ALGORITHM, "checksum": checksum_of(captured.values), "values": captured.values},
    )
    facts = {name: getattr(captured, name) for name in REPORTED}
    facts |= {
        name: [{"code": one.code, "sentence": one.sentence} for one in getattr(captured, name)]
        for name in ("notices", "questions")
    }
    MotionReport.objects.update_or_create(
        throw=throw,
        defaults={
            "algorithm": ALGORITHM,
            "measured_for": measured_for.to_json(),
            "events": captured.events,
            "automatic": captured.automatic,
            "facts": facts,
        },
    )
