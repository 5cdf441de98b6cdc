"""Factories for the models of every room: a plain row is a valid, ordinary one.

The ordinary day of the tests is 14 April 2026 (`DAY`); rows that carry a date stand around it.
"""

from tests.factories.captures import CaptureSessionFactory, OriginalFileFactory, ThrowFactory, UploadFactory
from tests.factories.causes import CauseGraphVersionFactory, CauseLinkFactory
from tests.factories.daily import CheckInFactory, SeasonPhaseFactory
from tests.factories.days import DAY, LONG_AGO, NOON
from tests.factories.people import (
    FAMILY_NAMES,
    GIVEN_NAMES,
    AthleteFactory,
    AvailabilityFactory,
    BodySizeFactory,
    ClearanceFactory,
    ConsentFactory,
    ConsentTextFactory,
    ExternalIdFactory,
    FacilityFactory,
    GuardianshipFactory,
    LevelPeriodFactory,
    NoteFactory,
    PainReportFactory,
    ReferralFactory,
    TrainingGroupFactory,
    UserFactory,
)
from tests.factories.scores import (
    FindingFactory,
    ImportDraftFactory,
    ImportRecipeFactory,
    ImportUnitFactory,
    RangeProfileFactory,
    RangeProfileVersionFactory,
    RangeRuleFactory,
    ReadingFactory,
    ScoringFactory,
    StandingFactory,
    publish,
)
from tests.factories.shares import ShareFactory, shared_point
from tests.factories.starting import starting_profiles

__all__ = [
    "DAY",
    "FAMILY_NAMES",
    "GIVEN_NAMES",
    "LONG_AGO",
    "NOON",
    "AthleteFactory",
    "AvailabilityFactory",
    "BodySizeFactory",
    "CaptureSessionFactory",
    "CauseGraphVersionFactory",
    "CauseLinkFactory",
    "CheckInFactory",
    "ClearanceFactory",
    "ConsentFactory",
    "ConsentTextFactory",
    "ExternalIdFactory",
    "FacilityFactory",
    "FindingFactory",
    "GuardianshipFactory",
    "ImportDraftFactory",
    "ImportRecipeFactory",
    "ImportUnitFactory",
    "LevelPeriodFactory",
    "NoteFactory",
    "OriginalFileFactory",
    "PainReportFactory",
    "RangeProfileFactory",
    "RangeProfileVersionFactory",
    "RangeRuleFactory",
    "ReadingFactory",
    "ReferralFactory",
    "ScoringFactory",
    "SeasonPhaseFactory",
    "ShareFactory",
    "StandingFactory",
    "ThrowFactory",
    "TrainingGroupFactory",
    "UploadFactory",
    "UserFactory",
    "publish",
    "shared_point",
    "starting_profiles",
]
