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
from athletes.facts.growth import Growth, growing_fast_on, growth_on
from athletes.facts.header import AthleteHeader, header_of, headers_of
from athletes.facts.levels import level_on
from athletes.facts.sizes import SizeOn, SizesOn, body_size_on

__all__ = [
    "Age",
    "AthleteHeader",
    "AvailabilityOn",
    "Growth",
    "SizeOn",
    "SizesOn",
    "Stopped",
    "age_on",
    "availability_of",
    "availability_on",
    "body_size_on",
    "growing_fast_on",
    "growth_on",
    "has_consent",
    "header_of",
    "headers_of",
    "is_minor",
    "level_on",
    "open_pain_reports",
    "stopped_by",
    "stopped_on",
]
