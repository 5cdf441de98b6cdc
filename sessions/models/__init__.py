from sessions.models.captures import (
    Ball,
    CaptureSession,
    FilterKnowledge,
    Intent,
    Landing,
    Method,
    PitchType,
    SessionExtract,
    Surface,
    Throw,
)
from sessions.models.uploads import OriginalFile, Upload

__all__ = [
    "Ball",
    "CaptureSession",
    "FilterKnowledge",
    "Intent",
    "Landing",
    "Method",
    "OriginalFile",
    "PitchType",
    "SessionExtract",
    "Surface",
    "Throw",
    "Upload",
]
