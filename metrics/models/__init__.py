from metrics.models.causes import CauseGraphVersion, CauseKind, CauseLink, Direction, LinkStrength
from metrics.models.imports import ImportDraft, ImportRecipe, ImportUnit, Reading, UnitPayload
from metrics.models.motion import MotionReport
from metrics.models.ranges import RangeProfile, RangeProfileVersion, RangeRule, RuleStatus, SizeBasis
from metrics.models.scores import Finding, Scoring, Standing
from metrics.models.screens import ScreenDraft, ScreenEntry
from metrics.models.shares import Share
from metrics.models.starting_points import StartingPointAnswer

__all__ = [
    "CauseGraphVersion",
    "CauseKind",
    "CauseLink",
    "Direction",
    "Finding",
    "ImportDraft",
    "ImportRecipe",
    "ImportUnit",
    "LinkStrength",
    "MotionReport",
    "RangeProfile",
    "RangeProfileVersion",
    "RangeRule",
    "Reading",
    "RuleStatus",
    "Scoring",
    "ScreenDraft",
    "ScreenEntry",
    "Share",
    "SizeBasis",
    "Standing",
    "StartingPointAnswer",
    "UnitPayload",
]
