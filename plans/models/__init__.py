from plans.models.library import Intervention, InterventionMedia, InterventionVersion
from plans.models.prescriptions import FollowUp, Prescription, PrescriptionReason, Response, WorkTick
from plans.models.reminders import CalendarAddress, Digest, DigestChoice
from plans.models.throwing import ThrowCount

__all__ = [
    "CalendarAddress",
    "Digest",
    "DigestChoice",
    "FollowUp",
    "Intervention",
    "InterventionMedia",
    "InterventionVersion",
    "Prescription",
    "PrescriptionReason",
    "Response",
    "ThrowCount",
    "WorkTick",
]
