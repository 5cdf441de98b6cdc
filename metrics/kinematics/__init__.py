"""Kinematics: marker positions in, events and every metric out. Pure: no Django, no clock, no environment.

The road of one throw: `throws` finds it and places it in working axes, `preparing` fills, filters and finds the
events, `movement` makes joint centres, frames, angles and speeds, `measure` reads the catalogue's metrics off them.
docs/measurement.md explains it with what it costs. Positions are metres, times seconds, angles degrees at the surface.
"""

from metrics.kinematics.filters import DEFAULT_FILTER_HZ
from metrics.kinematics.measure import ThrowMeasurement, measure_throw
from metrics.kinematics.problems import Notice, NotMeasured
from metrics.kinematics.report import Report
from metrics.kinematics.setup import Setup
from metrics.kinematics.throws import FoundThrow, find_throws
from metrics.kinematics.uncertainty import MetricValue

ALGORITHM = "kinematics 2"
"""Stored with every reading. Raise it when a number can change; see algorithm_log.toml."""

__all__ = [
    "ALGORITHM",
    "DEFAULT_FILTER_HZ",
    "FoundThrow",
    "MetricValue",
    "NotMeasured",
    "Notice",
    "Report",
    "Setup",
    "ThrowMeasurement",
    "find_throws",
    "measure_throw",
]
