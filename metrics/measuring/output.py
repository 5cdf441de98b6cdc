"""Measured files for programs, and for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any, Final

from metrics.catalogue import Metric, load_catalogue
from metrics.catalogue.words import UNIT_SYMBOLS
from metrics.measuring.measured import MeasuredFile, MeasuredThrow, MeasuredValue

LANES: Final = {"lower_half": "Lower half", "trunk": "Trunk", "arm": "Arm", "sequence": "Sequence"}
EVENTS: Final = {
    "pkh": "Peak knee lift",
    "fc": "Foot contact",
    "fp": "Foot plant",
    "load": "Load on the front foot",
    "mer": "Maximum external rotation",
    "br": "Ball release",
    "mir": "Maximum internal rotation",
}
NAMES_WIDE: Final = 66
IN_JSON: Final = ("value", "unit", "uncertainty", "reason")
MINUS: Final = "−"
NOT_KNOWN: Final = "?"
UNCERTAINTY: Final = "± is the standard uncertainty of this one throw's value, ? where it is not known."


def as_json(files: Sequence[MeasuredFile]) -> list[dict[str, Any]]:
    """`[{"file", "throws": [{"events": {"fp": s, …}, "metrics": {key: {"value", "unit", "uncertainty", "reason"}}}]}]`.

    Times are seconds from the file's first frame; an event that was not found is left out. What is not known of a
    metric is None.
    """
    return [{"file": one.file, "throws": [_throw_json(throw) for throw in one.throws]} for one in files]


def _throw_json(throw: MeasuredThrow) -> dict[str, Any]:
    metrics = {key: asdict(value) for key, value in throw.metrics.items()}
    return {
        "events": dict(throw.events),
        "metrics": {key: {name: value[name] for name in IN_JSON} for key, value in metrics.items()},
    }


def as_text(file: MeasuredFile) -> str:
    """The throws of one file as tables of events and, by lane, metrics; "" when it has none."""
    return "\n".join(line.rstrip() for line in _lines(file))


def _lines(file: MeasuredFile) -> Iterator[str]:
    for number, throw in enumerate(file.throws, 1):
        release = f", release at {throw.events['br']:.3f} s" if "br" in throw.events else ""
        yield f"{file.file}: throw {number} of {len(file.throws)}, {throw.side} arm{release}, {_filter(throw)}"
        yield ""
        yield from _events(throw)
        for lane, title in LANES.items():
            yield from _lane(title, lane, throw)
        yield f"  {UNCERTAINTY}"
        yield ""
        yield from _said("To confirm", throw.questions)
        yield from _said("To know", (*file.problems, *throw.notices))


def _filter(throw: MeasuredThrow) -> str:
    through = "no filter" if throw.filter_hz is None else f"filter of {throw.filter_hz:g} Hz"
    return f"{through} at {throw.rate_hz:g} frames a second"


def _events(throw: MeasuredThrow) -> Iterator[str]:
    yield "  Events, seconds from the first frame"
    for key, name in EVENTS.items():
        if key in throw.events:
            yield f"  {name:<{NAMES_WIDE}}{throw.events[key]:>12.3f}"
        elif key != "load":
            yield f"  {name:<{NAMES_WIDE}}{'not found':>12}"
    yield ""


def _lane(title: str, lane: str, throw: MeasuredThrow) -> Iterator[str]:
    catalogue = load_catalogue()
    rows = [(catalogue.metric(key), value) for key, value in throw.metrics.items()]
    yield f"  {title}"
    for metric, value in rows:
        if metric.lane == lane:
            yield f"  {metric.name:<{NAMES_WIDE}}{_cells(metric, value)}"
    yield ""


def _cells(metric: Metric, value: MeasuredValue) -> str:
    """Value ± uncertainty, unit and what the filter takes; or the reason why there is no value."""
    if value.value is None:
        return f"{'–':>12}  {value.reason}"
    number = _number(value.value, metric.decimals)
    doubt = NOT_KNOWN if value.uncertainty is None else _number(value.uncertainty, metric.decimals + 1)
    taken = what_the_filter_takes(value.low_by or 0.0, metric.decimals)
    return f"{number:>12} ± {doubt:<8} {UNIT_SYMBOLS.get(value.unit, value.unit)}{taken and '  ' + taken}"


def what_the_filter_takes(low_by: float, decimals: int) -> str:
    """ "reads low by about 2"; "" where it would not show in as many decimals."""
    if abs(low_by) < 10.0**-decimals:
        return ""
    return f"reads {'low' if low_by > 0 else 'high'} by about {_number(abs(low_by), decimals)}"


def _number(value: float, decimals: int) -> str:
    """With a true minus, and never a minus before zero."""
    text = f"{value:.{decimals}f}"
    negative = text.startswith("-") and text.strip("-0.") != ""
    return (MINUS if negative else "") + text.removeprefix("-")


def _said(title: str, sentences: Sequence[str]) -> Iterator[str]:
    if sentences:
        yield f"  {title}"
        yield from (f"  - {sentence}" for sentence in sentences)
        yield ""
