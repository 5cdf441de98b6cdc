"""What measuring a capture room's file gives the application: plain values, and their JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from metrics.kinematics import FoundThrow
from metrics.measuring.suggesting import LabelSuggestion


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a file, or one throw of it, was not measured."""

    code: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Said:
    """A notice or a question."""

    code: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Trace:
    """Two curves to recognise a throw by, at ``rate_hz`` from the throw's first frame; None where not seen.

    ``lead_knee_m``: height of the lead knee; ``wrist_mps``: speed of the throwing wrist.
    """

    rate_hz: float
    lead_knee_m: tuple[float | None, ...]
    wrist_mps: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class CapturedThrow:
    """One measured throw. Times in s from the first kept frame, which is ``first_frame`` of the original.

    ``events``: as used; ``automatic``: as found; ``rules``: by which rule. ``values``: `Reading.values`. ``kept``: its
    array file in base64, "" when it was not asked for.
    """

    throw: FoundThrow
    first_frame: int
    side: str
    axes: dict[str, str]
    gaps: dict[str, int]
    forearm_ratio: float
    noise_mm: float
    events: dict[str, float]
    automatic: dict[str, float]
    rules: dict[str, str]
    values: dict[str, dict[str, Any]]
    notices: tuple[Said, ...]
    questions: tuple[Said, ...]
    trace: Trace
    kept: str = ""

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> CapturedThrow:
        return cls(
            **{
                **stored,
                "throw": FoundThrow(**stored["throw"]),
                "notices": tuple(Said(**one) for one in stored["notices"]),
                "questions": tuple(Said(**one) for one in stored["questions"]),
                "trace": Trace(**stored["trace"]),
            }
        )


@dataclass(frozen=True, slots=True)
class CapturedFile:
    """A whole file. ``label_set``: fingerprint of its names.

    ``known``: our label → the file's; ``seen``: our label → share of frames; ``missing``: labels that are needed.
    ``suggestions``: one a label, where the file's names are not known; ``people``: prefixes of labels; ``marked``:
    events that the file itself names, (name, s from its first frame).
    """

    labels: tuple[str, ...]
    label_set: str
    known: dict[str, str]
    missing: tuple[str, ...]
    seen: dict[str, float]
    people: tuple[str, ...]
    unit: str
    rate_hz: float
    frames: int
    plates: int
    marked: tuple[tuple[str, float], ...] = ()
    problems: tuple[str, ...] = ()
    throws: tuple[CapturedThrow, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    suggestions: tuple[LabelSuggestion, ...] = ()

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> CapturedFile:
        tuples = {name: tuple(stored[name]) for name in ("labels", "missing", "people", "problems")}
        return cls(
            **{
                **stored,
                **tuples,
                "marked": tuple((name, time) for name, time in stored["marked"]),
                "throws": tuple(CapturedThrow.from_json(one) for one in stored["throws"]),
                "refusals": tuple(Refusal(**one) for one in stored["refusals"]),
                "suggestions": tuple(LabelSuggestion(**one) for one in stored["suggestions"]),
            }
        )
