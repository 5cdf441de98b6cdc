"""What is known of an athlete on a date. Every function takes the date; none reads a clock.

A list of athletes loaded by `Athlete.objects.with_facts()` answers all of them without another query.
"""

from athletes.facts.ages import Age, age_on, is_minor
from athletes.facts.care import (
    AvailabilityOn,
    Stopped,
    availability_of,
    availability_on,
    has_consent,
    open_pain_reports,
    stopped_by,
    stopped_on,
)
from athletes.facts.check_ins import CheckInOn, came_at, check_in_on, needs_height_on
from athletes.facts.growth import Growth, growing_fast_on, growth_on
from athletes.facts.header import AthleteHeader, header_of, headers_of
from athletes.facts.known import know
from athletes.facts.levels import level_on
from athletes.facts.season import PhaseOn, group_phase_on, season_phase_on
from athletes.facts.sizes import SIZE_FIELDS, SizeOn, SizesOn, body_size_on, sizes_by

__all__ = [
    "SIZE_FIELDS",
    "Age",
    "AthleteHeader",
    "AvailabilityOn",
    "CheckInOn",
    "Growth",
    "PhaseOn",
    "SizeOn",
    "SizesOn",
    "Stopped",
    "age_on",
    "availability_of",
    "availability_on",
    "body_size_on",
    "came_at",
    "check_in_on",
    "group_phase_on",
    "growing_fast_on",
    "growth_on",
    "has_consent",
    "header_of",
    "headers_of",
    "is_minor",
    "know",
    "level_on",
    "needs_height_on",
    "open_pain_reports",
    "season_phase_on",
    "sizes_by",
    "stopped_by",
    "stopped_on",
]
