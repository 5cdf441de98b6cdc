from athletes.models.accounts import STAFF_ROLES, Facility, Role, Units, User
from athletes.models.base import Addressed, PresentManager, Withdrawable, WithdrawableQuerySet
from athletes.models.care import Availability, Clearance, Consent, ConsentText, Note, PainReport
from athletes.models.daily import CheckIn, Feeling, SeasonPhase
from athletes.models.invitations import Invitation
from athletes.models.logs import ChangeLog, ViewLog, ViewLogSeal
from athletes.models.mail import OutgoingMail
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
    of_readable,
    of_visible,
)
from athletes.models.sign_ins import SignIn

__all__ = [
    "STAFF_ROLES",
    "Addressed",
    "Athlete",
    "Availability",
    "BodySize",
    "ChangeLog",
    "CheckIn",
    "Clearance",
    "Consent",
    "ConsentText",
    "Contact",
    "ExternalId",
    "Facility",
    "Feeling",
    "Guardianship",
    "Invitation",
    "Level",
    "LevelPeriod",
    "Note",
    "OutgoingMail",
    "PainReport",
    "PresentManager",
    "Referral",
    "Role",
    "SeasonPhase",
    "Side",
    "SignIn",
    "Throws",
    "TrainingGroup",
    "Units",
    "User",
    "ViewLog",
    "ViewLogSeal",
    "Withdrawable",
    "WithdrawableQuerySet",
    "of_readable",
    "of_visible",
]
