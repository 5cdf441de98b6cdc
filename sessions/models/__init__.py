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
from sessions.models.recordings import CaptureSetup, EventTime, ThrowRecording
from sessions.models.uploads import OriginalFile, Upload

__all__ = [
    "Ball",
    "CaptureSession",
    "CaptureSetup",
    "EventTime",
    "FilterKnowledge",
    "Intent",
    "Landing",
    "Method",
    "OriginalFile",
    "PitchType",
    "SessionExtract",
    "Surface",
    "Throw",
    "ThrowRecording",
    "Upload",
]
