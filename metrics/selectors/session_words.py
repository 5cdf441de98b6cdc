"""Words of the session page: moments, conditions, how often a flag was seen, the sentence under the title."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from athletes.words import number_word
from metrics.catalogue import Metric
from metrics.models import Finding, RuleStatus
from sessions.models import Ball, CaptureSession, FilterKnowledge, Intent, PitchType, Surface

MOMENTS = {
    "pkh": "peak knee lift",
    "fc": "first touch",
    "fp": "foot plant",
    "landing": "landing",
    "mer": "maximum external rotation",
    "br": "release",
    "mir": "maximum internal rotation",
}
SHORT_MOMENTS = {
    "pkh": "knee lift",
    "fc": "touch",
    "fp": "plant",
    "landing": "landing",
    "mer": "layback",
    "br": "release",
    "mir": "end of turn-in",
}
MOMENTS_IN_NAMES = (
    " from foot plant to ball release",
    " from peak knee lift to foot plant",
    " at foot plant",
    " at ball release",
    " at maximum external rotation",
)
CONDITION_WORDS: Mapping[str, Mapping[str, str]] = {
    "surface": dict(Surface.choices),
    "intent": dict(Intent.choices),
    "pitch_type": dict(PitchType.choices),
    "ball": dict(Ball.choices),
}
LANDING_WORDS = {
    "fc": "landing read at first touch",
    "fp": "landing read with weight on it",
    "unknown": "moment of landing not known",
}
STATUS_WORDS = dict(RuleStatus.choices)
NAMED_IN_SENTENCE = 3


def joined(words: Sequence[str]) -> str:
    """a, b and c."""
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def name_without_moment(metric: Metric) -> str:
    """The name alone: the moment stands beside it, and is the one that was judged."""
    ending = next((text for text in MOMENTS_IN_NAMES if metric.name.endswith(text)), "")
    alone = metric.name.removesuffix(ending)
    return alone if " " in alone else metric.name


def moment_words(moment: str) -> str:
    """foot plant; plant to release; nothing for a screen or the time of a peak."""
    parts = [part for part in moment.split("-") if part in MOMENTS]
    if len(parts) == 2:
        return f"{SHORT_MOMENTS[parts[0]]} to {SHORT_MOMENTS[parts[1]]}"
    return MOMENTS[parts[0]] if parts else ""


def confirmation_words(finding: Finding) -> str:
    """How often this flag was seen among comparable sessions."""
    record = finding.decision
    if finding.confirmation == Finding.Confirmation.RECURRING:
        return f"recurring, {record.get('flags_among_last', 2)} of {record.get('among_last', 3)}"
    if finding.confirmation == Finding.Confirmation.CONFIRMED:
        return "new, confirmed" if record.get("new") else "confirmed"
    if finding.confirmation == Finding.Confirmation.TO_CONFIRM:
        return "new, to confirm" if record.get("new") else "to confirm"
    return ""


def conditions_words(conditions: Mapping[str, str]) -> str:
    """mound, full effort, fastball, regulation ball."""
    return ", ".join(words.get(conditions.get(name, ""), "") for name, words in CONDITION_WORDS.items() if conditions)


def capture_words(capture: CaptureSession) -> str:
    """How it was measured: method, frames a second, moment of landing, filter."""
    if capture.method == "hands_on":
        return "Hands-on"
    rate = f"{capture.frame_rate_hz:g} Hz" if capture.frame_rate_hz else ""
    known = FilterKnowledge(capture.filter_knowledge)
    filtered = f"filter {capture.filter_hz:g} Hz" if known == FilterKnowledge.KNOWN else ""
    unfiltered = {FilterKnowledge.NONE: "not filtered", FilterKnowledge.UNKNOWN: "filter not known"}.get(known, "")
    method = str(capture.get_method_display()).capitalize()
    return ", ".join(part for part in (method, rate, LANDING_WORDS[capture.landing], filtered or unfiltered) if part)


def direction_words(metric: Metric, side: str) -> str:
    return {"low": metric.low_word, "high": metric.high_word}.get(side, "")


def summary_sentence(flags: Sequence[tuple[Metric, str]], watches: int, scored_words: str) -> str:
    """The one sentence: how many flags, the first of them by name, and how much was scored.

    flags: metric and side, most important first; scored_words: "11 of 12 first-look metrics scored".
    """
    if flags:
        count = f"{number_word(len(flags)).capitalize()} {'flag' if len(flags) == 1 else 'flags'}"
        named = joined([named_flag(metric, side) for metric, side in flags[:NAMED_IN_SENTENCE]])
        lead = ": " if len(flags) <= NAMED_IN_SENTENCE else ", first of all "
        return f"{count}{lead}{named}; {scored_words}."
    if watches:
        return f"No flag, {number_word(watches)} to watch; {scored_words}."
    return f"Nothing is flagged; {scored_words}."


def named_flag(metric: Metric, side: str) -> str:
    """elbow flexion (straight), as a sentence has it."""
    name = name_without_moment(metric)
    name = name[:1].lower() + name[1:]
    word = direction_words(metric, side)
    return f"{name} ({word})" if word else name


def list_words(names: Iterable[str], most: int = 2) -> str:
    """a, b and 3 more."""
    given = list(names)
    shown, more = given[:most], len(given) - most
    return joined([*shown, f"{more} more"]) if more > 0 else joined(shown)
