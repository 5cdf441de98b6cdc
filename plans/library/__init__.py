"""The library of interventions: what there is to do, for whom, how much, and what to propose first.

Pure: no Django, no clock, no environment. `load_library` reads the shipped data; `suggest`, `rank` and `propose` work
on any interventions, so on an installation's own as well; `problems_of` says what an edited one must keep to. Nothing
here applies anything: people decide. docs/interventions.md lists the library and tells the rules.
"""

from plans.library.checks import MOST_MINUTES, problems_of
from plans.library.differences import end_words, tell_differences
from plans.library.dose_words import tell_dose, tell_supervision
from plans.library.errors import BadLibrary
from plans.library.fields import dose_from_fields, dose_to_fields, from_fields, to_fields
from plans.library.filters import hold, reasons_against, stops
from plans.library.loading import library_version, load_library, read_library
from plans.library.matching import (
    Answer,
    LeftOut,
    Need,
    Suggestion,
    Suggestions,
    Unmet,
    causes_by_effect,
    suggest,
)
from plans.library.model import Dose, Intervention, band_at
from plans.library.proposing import LeaveAlone, Proposal, follow_up_on, propose
from plans.library.ranking import Ranked, WorkedHere, rank
from plans.library.situation import Situation

__all__ = [
    "MOST_MINUTES",
    "Answer",
    "BadLibrary",
    "Dose",
    "Intervention",
    "LeaveAlone",
    "LeftOut",
    "Need",
    "Proposal",
    "Ranked",
    "Situation",
    "Suggestion",
    "Suggestions",
    "Unmet",
    "WorkedHere",
    "band_at",
    "causes_by_effect",
    "dose_from_fields",
    "dose_to_fields",
    "end_words",
    "follow_up_on",
    "from_fields",
    "hold",
    "library_version",
    "load_library",
    "problems_of",
    "propose",
    "rank",
    "read_library",
    "reasons_against",
    "stops",
    "suggest",
    "tell_differences",
    "tell_dose",
    "tell_supervision",
    "to_fields",
]
