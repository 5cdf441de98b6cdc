"""Cause links and interventions as data: what can lie upstream of what, and what there is to do about it.

Data (CSV) beside the code, read and checked once; no Django, no clock, no environment. docs/causes.md says how the
links were chosen and what was left out.
"""

from metrics.catalogue.causes.loading import (
    BadCauses,
    interventions_for,
    load_interventions,
    load_links,
    load_unanswered,
    read_interventions,
    read_links,
)
from metrics.catalogue.causes.model import NOTHING_IN_LIBRARY, STRENGTHS, Intervention, Link, Unanswered

__all__ = [
    "NOTHING_IN_LIBRARY",
    "STRENGTHS",
    "BadCauses",
    "Intervention",
    "Link",
    "Unanswered",
    "interventions_for",
    "load_interventions",
    "load_links",
    "load_unanswered",
    "read_interventions",
    "read_links",
]
