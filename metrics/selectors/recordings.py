"""What the page of an upload shows of a recording: how it was read, its throws, and its markers to match."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from metrics.drawing.trace import TraceEvent, throw_trace
from metrics.kinematics.landmarks import KNOWN, NEEDED
from metrics.measuring.captured import CapturedFile, CapturedThrow
from metrics.measuring.suggesting import landmark_words
from metrics.models import ImportDraft
from metrics.services.motion.reading import captured_of
from metrics.services.motion.rooms import setups_in_use
from sessions.models import CaptureSetup
from sessions.models.recordings import EVENTS

PERCENT = 100
SURE_WORDS = ((0.8, "likely"), (0.4, "perhaps"), (0.0, "a guess"))
BY_WORDS = {"name": "by its name", "place": "by where it sits", "both": "by name and place", "": ""}
SIDES = {"R": "right", "L": "left", "middle": "in the middle"}
SEEN_WELL = 0.98
SHORT = {"pkh": "knee lift", "fc": "contact", "fp": "plant", "mer": "layback", "br": "release", "mir": "turned in"}
"""Names of events for pictures in which they stand close together."""


@dataclass(frozen=True, slots=True)
class ThrowPreview:
    """One throw of a recording before it is accepted."""

    number: int
    words: str
    picture: str
    events: tuple[tuple[str, str], ...]
    gaps: str
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RecordingPreview:
    """`markers`: our landmark in words, the file's name, percent of frames in which it is seen."""

    facts: tuple[tuple[str, str], ...]
    throws: tuple[ThrowPreview, ...]
    markers: tuple[tuple[str, str, int], ...]
    missing: tuple[str, ...]
    setups: tuple[CaptureSetup, ...]
    setup_name: str
    people: tuple[str, ...]


def recording_preview(draft: ImportDraft) -> RecordingPreview:
    file, words = captured_of(draft), landmark_words()
    return RecordingPreview(
        facts=tuple(_facts(file)),
        throws=tuple(_throw(number, one, file.rate_hz) for number, one in enumerate(file.throws, 1)),
        markers=tuple(
            (words[landmark], file.known[landmark], round(PERCENT * file.seen[landmark]))
            for landmark in KNOWN
            if landmark in file.known
        ),
        missing=tuple(
            words[landmark] for landmark in KNOWN if landmark not in file.known and _is_worth_saying(landmark)
        ),
        setups=tuple(setups_in_use()),
        setup_name=draft.layouts[0]["recipe_name"] if draft.layouts else "",
        people=file.people if len(file.people) > 1 else (),
    )


def _is_worth_saying(landmark: str) -> bool:
    return not landmark.endswith("HEAD") and not landmark.startswith("HEAD")


def _facts(file: CapturedFile) -> Iterable[tuple[str, str]]:
    seconds = file.frames / file.rate_hz
    yield "Recording", f"{seconds:.1f} s at {file.rate_hz:g} frames a second"
    yield "Markers", f"{len(file.known)} of {len(file.labels)} known"
    hidden = [f"{file.known[one]} {share:.0%}" for one, share in file.seen.items() if share < SEEN_WELL]
    yield "Seen in", f"{', '.join(hidden)} of the frames" if hidden else "every frame, or nearly"
    yield "Unit of length", file.unit or "not named in the file"
    yield "Force plates", str(file.plates) if file.plates else "none"
    if file.throws:
        axes = file.throws[0].axes
        yield "Axes", f"{axes.get('up', '?')} up, {axes.get('home', '?')} to home plate"
        yield "Throwing arm", file.throws[0].side
    if file.marked:
        yield "Marked in the file", ", ".join(f"{name} {time:.2f} s" for name, time in file.marked[:6])


def _milliseconds(time_s: float) -> str:
    return f"{1000 * time_s:.0f} ms".replace("-", "−")


def _throw(number: int, throw: CapturedThrow, rate_hz: float) -> ThrowPreview:
    in_file = throw.first_frame / rate_hz + throw.events["br"]
    contact = throw.events["fc"]
    listed = [(key, name) for key, name in EVENTS if key in throw.events or key in throw.automatic]
    events = tuple(
        (name, _milliseconds(throw.events[key] - contact) if key in throw.events else "not found")
        for key, name in listed
    )
    marks = [TraceEvent(SHORT[key], throw.events[key]) for key, _ in listed if key in throw.events]
    frames = sum(throw.gaps.values())
    gaps = f"{frames} frames of gaps filled, in {', '.join(sorted(throw.gaps))}" if frames else "no gap to fill"
    return ThrowPreview(
        number=number,
        words=f"Throw {number}, {throw.side} arm, release at {in_file:.2f} s of the file",
        picture=throw_trace(throw.trace.rate_hz, throw.trace.lead_knee_m, throw.trace.wrist_mps, marks),
        events=events,
        gaps=gaps,
        questions=tuple(one.sentence for one in throw.questions),
    )


@dataclass(frozen=True, slots=True)
class LabelRow:
    """One marker of the file on the page where markers are matched."""

    label: str
    chosen: str
    why: str
    where: str
    is_sure: bool


@dataclass(frozen=True, slots=True)
class LabelsPage:
    """`options`: landmark and its words; `needed`: how many markers no throw can do without are matched."""

    rows: tuple[LabelRow, ...]
    options: tuple[tuple[str, str], ...]
    needed: tuple[str, ...]
    missing: tuple[str, ...]
    setups: tuple[CaptureSetup, ...]
    frames: int
    rate_hz: float


def labels_page(draft: ImportDraft, sent: Mapping[str, str] | None = None) -> LabelsPage:
    """The file's markers with what each probably is; `sent`: label → landmark as a person chose them."""
    file, words = captured_of(draft), landmark_words()
    rows = tuple(_label_rows(file, sent))
    matched = {row.chosen for row in rows}
    return LabelsPage(
        rows=rows,
        options=tuple(
            (landmark, f"{words[landmark]}{'' if landmark in NEEDED else ' (if there)'}") for landmark in KNOWN
        ),
        needed=NEEDED,
        missing=tuple(words[landmark] for landmark in NEEDED if landmark not in matched),
        setups=tuple(setups_in_use()),
        frames=file.frames,
        rate_hz=file.rate_hz,
    )


def _label_rows(file: CapturedFile, sent: Mapping[str, str] | None) -> Iterable[LabelRow]:
    known = {label: landmark for landmark, label in file.known.items()}
    for position, label in enumerate(file.labels):
        bare = label.rpartition(":")[2].strip()
        if not bare or bare.startswith("*"):
            continue
        suggestion = file.suggestions[position] if file.suggestions else None
        suggested = known.get(label) or (suggestion.landmark if suggestion else None) or ""
        chosen = sent.get(bare, "") if sent is not None else suggested
        is_known = label in known
        yield LabelRow(
            bare,
            chosen,
            "known" if is_known else _why(suggestion.sure, suggestion.by) if suggestion and suggestion.landmark else "",
            _where(suggestion.height_share, suggestion.side, suggestion.seen_share) if suggestion else "",
            is_known or bool(suggestion and suggestion.sure >= SURE_WORDS[0][0]),
        )


def _why(sure: float, by: str) -> str:
    return f"{next(word for least, word in SURE_WORDS if sure >= least)} {BY_WORDS[by]}".strip()


def _where(height_share: float | None, side: str | None, seen_share: float) -> str:
    parts = []
    if height_share is not None:
        parts.append(f"at {round(PERCENT * height_share)}% of the body’s height")
    if side:
        parts.append(SIDES[side])
    if seen_share < SEEN_WELL:
        parts.append(f"seen in {round(PERCENT * seen_share)}% of the frames")
    return ", ".join(parts)
