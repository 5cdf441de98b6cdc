"""What changed from one version of an intervention to the next, as sentences that a coach reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from metrics.catalogue import load_catalogue
from plans.library.dose_words import span_words, tell_dose, tell_supervision
from plans.library.model import Dose, End, Intervention
from plans.library.words import BAND_WORDS, BANDS, BASES, PHASES, STATUS_WORDS

SWITCH_WORDS = {
    "has_throws": "has throws",
    "is_restraint": "asks for less",
    "is_return": "is the throwing of a return",
    "has_impact": "has hard landings",
    "needs_pain": "only where something hurts",
}


def tell_differences(then: Intervention, now: Intervention) -> list[str]:
    """One sentence a difference, in the order of the page; empty when both say the same."""
    return [sentence for compare in COMPARED for sentence in compare(then, now)]


def end_words(end: End) -> str:
    """ "Stride length at foot plant: short"; the key of a metric that the catalogue has no more."""
    metric = load_catalogue().metrics.get(end[0])
    if metric is None:
        return f"{end[0]} ({end[1]})"
    return f"{metric.name}: {metric.low_word if end[1] == 'low' else metric.high_word}"


def _texts(then: Intervention, now: Intervention) -> Iterator[str]:
    yield from _text("Name", then.name, now.name)
    for what in ("kind", "effort", "load"):
        yield from _text(what.capitalize(), getattr(then, what), getattr(now, what))


def _instructions(then: Intervention, now: Intervention) -> Iterator[str]:
    for what, before, after in (
        ("Instruction", then.instructions, now.instructions),
        ("Caution", then.cautions, now.cautions),
    ):
        yield from _list(what, before, after)
        if before != after and sorted(before) == sorted(after):
            yield f"{what}s: in another order."


def _purposes(then: Intervention, now: Intervention) -> Iterator[str]:
    yield from _list("For", [end_words(end) for end in then.answers], [end_words(end) for end in now.answers])


def _switches(then: Intervention, now: Intervention) -> Iterator[str]:
    for name, words in SWITCH_WORDS.items():
        if getattr(then, name) != getattr(now, name):
            yield f"{words.capitalize()}: {'yes' if getattr(now, name) else 'no'}."


def _phases(then: Intervention, now: Intervention) -> Iterator[str]:
    yield from _list("Not in season phase", list(_phase_lines(then.not_in)), list(_phase_lines(now.not_in)))


def _phase_lines(not_in: Mapping[str, str]) -> Iterator[str]:
    return (f"{PHASES.get(phase, phase)}, {why}" for phase, why in not_in.items())


def _doses(then: Intervention, now: Intervention) -> Iterator[str]:
    for band in BANDS:
        before, after = then.doses.get(band), now.doses.get(band)
        if before != after:
            yield from _text(f"Dose {BAND_WORDS[band]}", _dose_words(before), _dose_words(after))


def _dose_words(dose: Dose | None) -> str:
    return (
        f"{tell_dose(dose)}, {tell_supervision(dose)}, taken from {BASES[dose.basis]}" if dose else "not for this age"
    )


def _weeks_and_source(then: Intervention, now: Intervention) -> Iterator[str]:
    yield from _text("Looked at again after", _weeks(then), _weeks(now))
    yield from _text("Source", then.source, now.source)
    yield from _text("Status", STATUS_WORDS.get(then.status, then.status), STATUS_WORDS.get(now.status, now.status))


def _weeks(one: Intervention) -> str:
    return f"{span_words(one.recheck_weeks)} {'week' if one.recheck_weeks == (1, 1) else 'weeks'}"


def _text(what: str, then: str, now: str) -> Iterator[str]:
    if then != now:
        yield f"{what}: “{now}”, before “{then}”."


def _list(what: str, then: Sequence[str], now: Sequence[str]) -> Iterator[str]:
    yield from (f"{what} added: {text.rstrip('.')}." for text in _without(now, then))
    yield from (f"{what} taken away: {text.rstrip('.')}." for text in _without(then, now))


def _without(texts: Iterable[str], others: Sequence[str]) -> Iterator[str]:
    return (text for text in texts if text not in others)


COMPARED = (_texts, _instructions, _purposes, _switches, _phases, _doses, _weeks_and_source)
