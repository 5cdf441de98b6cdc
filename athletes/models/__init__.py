from athletes.models.accounts import STAFF_ROLES, Facility, Role, Units, User
from athletes.models.base import Addressed, PresentManager, Withdrawable, WithdrawableQuerySet
from athletes.models.care import Availability, Clearance, Consent, ConsentText, Note, PainReport
from athletes.models.logs import ChangeLog, ViewLog, ViewLogSeal
from athletes.models.people import (
    Athlete,
    BodySize,
    Contact,
    ExternalId,
    Guardianship,
    Level,
    LevelPeriod,
    Referral,
    Side,
    Throws,
    TrainingGroup,
)

__all__ = [
    "STAFF_ROLES",
    "Addressed",
    "Athlete",
    "Availability",
    "BodySize",
    "ChangeLog",
    "Clearance",
    "Consent",
    "ConsentText",
    "Contact",
    "ExternalId",
    "Facility",
    "Guardianship",
    "Level",
    "LevelPeriod",
    "Note",
    "PainReport",
    "PresentManager",
    "Referral",
    "Role",
    "Side",
    "Throws",
    "TrainingGroup",
    "Units",
    "User",
    "ViewLog",
    "ViewLogSeal",
    "Withdrawable",
    "WithdrawableQuerySet",
]
