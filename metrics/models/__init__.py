from metrics.models.imports import ImportDraft, ImportRecipe, ImportUnit, Reading, UnitPayload
from metrics.models.motion import MotionReport
from metrics.models.ranges import RangeProfile, RangeProfileVersion, RangeRule, RuleStatus, SizeBasis
from metrics.models.scores import Finding, Scoring, Standing
from metrics.models.screens import ScreenDraft, ScreenEntry

__all__ = [
    "Finding",
    "ImportDraft",
    "ImportRecipe",
    "ImportUnit",
    "MotionReport",
    "RangeProfile",
    "RangeProfileVersion",
    "RangeRule",
    "Reading",
    "RuleStatus",
    "Scoring",
    "ScreenDraft",
    "ScreenEntry",
    "SizeBasis",
    "Standing",
    "UnitPayload",
]
