"""One row of the match page: a column of the table (or a name in its metric column) with all that is said of it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from athletes.quantities import format_number, with_unit
from metrics.catalogue import Catalogue, Metric
from metrics.importing.cells import parse_number
from metrics.importing.units import Conversion, conversion, factor_between, parse_unit
from metrics.match.choices import (
    AS_IT_IS,
    BALL_SPEED_UNITS,
    METRIC_PREFIX,
    SIGNS,
    RowChoice,
    fitting_units,
    signs_for,
    suggested_choice,
    target_of,
)
from metrics.match.words import IGNORE, IGNORE_WORD, ROLE_WORDS, confidence_words

BODY_SIZE = re.compile(r"\b(height|stature|weight|mass|wingspan|arm span)\b", re.IGNORECASE)
LANDING_WORDS = {"": "as above", "fc": "first touch", "fp": "weight on it", "unknown": "not known"}
Option = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Source:
    """A column as the draft keeps it. `part` is its name in the form: c3 a column, n3 a name of a long table."""

    part: str
    key: str
    letter: str
    place: str
    title: str
    unit_text: str
    samples: tuple[str, ...]
    suggestion: Mapping[str, Any]

    @property
    def is_name(self) -> bool:
        """Whether this is a text of a long table's metric column, not a column."""
        return self.part.startswith("n")


@dataclass(frozen=True, slots=True)
class MatchRow:
    """Everything that one row shows."""

    source: Source
    choice: RowChoice
    likely: tuple[Option, ...]
    units: tuple[Option, ...] = ()
    signs: tuple[Option, ...] = ()
    landings: tuple[Option, ...] = ()
    confidence: str = ""
    conversion: str = ""
    sample: str = ""
    notes: tuple[str, ...] = ()
    remark: str = ""
    question: str = ""
    errors: tuple[str, ...] = field(default=())

    @property
    def asks(self) -> bool:
        """Whether a person should look here first."""
        return bool(self.errors or self.question or self.notes)


def sources_of(sheet: Mapping[str, Any]) -> list[Source]:
    """The sheet's columns, then in long shape the names of its metric column."""
    of_columns = [one for one in sheet["suggestions"] if not one["in_metric_column"]]
    of_names = [one for one in sheet["suggestions"] if one["in_metric_column"]]
    samples = sheet.get("name_samples", {})
    columns = [
        Source(f"c{i}", c["key"], c["letter"], c["place"], c["title"], c["unit_text"], _once(c["samples"]), suggestion)
        for i, (c, suggestion) in enumerate(zip(sheet["columns"], of_columns, strict=True))
    ]
    names = [
        Source(
            f"n{i}",
            n["key"],
            n["letter"],
            f"“{n['header']}”",
            n["header"],
            n["unit_text"],
            _once(samples.get(n["key"], ())),
            n,
        )
        for i, n in enumerate(of_names)
    ]
    return columns + names


def _once(samples: Sequence[str]) -> tuple[str, ...]:
    """A column that says the same in every row says it once."""
    return tuple(dict.fromkeys(samples))


def row_of(
    source: Source,
    choice: RowChoice | None,
    catalogue: Catalogue,
    *,
    columns: Mapping[str, str],
    errors: Sequence[str] = (),
) -> MatchRow:
    """The row for what was chosen, or as suggested. `columns`: key → how to name that column in a sentence."""
    chosen = choice or suggested_choice(source.suggestion)
    metric = chosen.metric(catalogue)
    row = MatchRow(
        source,
        chosen,
        _likely(source, chosen, catalogue),
        confidence=confidence_words(source.suggestion),
        notes=tuple(_notes(source, chosen, columns)),
        remark=_remark(source, chosen),
        errors=tuple(errors),
    )
    if metric is not None:
        return _with_metric(row, metric, catalogue)
    if chosen.what == "ball_speed":
        return _with_ball_speed(row)
    return row


def _likely(source: Source, choice: RowChoice, catalogue: Catalogue) -> tuple[Option, ...]:
    """The head of the list: what is chosen, what was suggested, what it might also be."""
    said = source.suggestion
    first = METRIC_PREFIX + said["metric"] if said["role"] == "metric" else said["role"]
    options = {choice.what: "", first: "" if choice.what == first else "suggested"}
    options |= {METRIC_PREFIX + other["metric"]: "or perhaps" for other in said["alternatives"]}
    options.setdefault(IGNORE, "")
    return tuple((what, _label(what, mark, catalogue)) for what, mark in options.items())


def _label(what: str, mark: str, catalogue: Catalogue) -> str:
    metric = catalogue.metrics.get(what.removeprefix(METRIC_PREFIX)) if what.startswith(METRIC_PREFIX) else None
    word = metric.name if metric else ROLE_WORDS.get(what, IGNORE_WORD)
    return f"{word} ({mark})" if mark and what != IGNORE else word


def _notes(source: Source, choice: RowChoice, columns: Mapping[str, str]) -> list[str]:
    said, notes = source.suggestion, []
    if said["clashes_with"]:
        rivals = ", ".join(columns.get(key, key) for key in said["clashes_with"])
        notes.append(f"{rivals} is taken for the same. Choose which of the two is meant.")
    if said["misfit"] and choice == suggested_choice(said):
        notes.append(said["misfit"])
    return notes


def _remark(source: Source, choice: RowChoice) -> str:
    """What is good to know and asks for nothing."""
    is_body_size = choice.what == IGNORE and source.suggestion["role"] == IGNORE and BODY_SIZE.search(source.title)
    return "Body size is kept with the athlete, with its date, and is not taken from here." if is_body_size else ""


def _with_metric(row: MatchRow, metric: Metric, catalogue: Catalogue) -> MatchRow:
    source, choice = row.source, row.choice
    found = conversion(choice.unit, metric)
    fits = isinstance(found, Conversion)
    target = target_of(source.key, choice, catalogue)
    says_landing = bool(source.suggestion["landing"] or choice.landing) and metric.is_landing_dependent
    number = _first_number(source.samples)
    changes = (target.factor, target.offset) != (1.0, 0.0)
    return replace(
        row,
        units=_unit_options(source, choice.unit, metric),
        signs=tuple((key, sign.words) for key, sign in signs_for(metric).items()),
        landings=tuple(LANDING_WORDS.items()) if says_landing else (),
        conversion=_conversion_words(found, target.factor) if isinstance(found, Conversion) else "",
        sample=_sample(number, target.factor, target.offset, target.storage_unit, metric) if fits and changes else "",
        question=_question(row, metric),
    )


def _with_ball_speed(row: MatchRow) -> MatchRow:
    factor = factor_between(row.choice.unit, "m/s")
    number = _first_number(row.source.samples)
    known = row.choice.unit in ("", *BALL_SPEED_UNITS)
    options = [("", "not said"), *((unit, unit) for unit in BALL_SPEED_UNITS)]
    if not known:
        options.append((row.choice.unit, row.choice.unit))
    said = f"{row.choice.unit} → m/s" if factor and row.choice.unit != "m/s" else ""
    sample = f"{_plain(number)} → {with_unit(format_number(number * factor, 1), 'm/s')}" if number and factor else ""
    return replace(row, units=tuple(_guessed(row.source, options)), conversion=said, sample=sample)


def _unit_options(source: Source, chosen: str, metric: Metric) -> tuple[Option, ...]:
    """Units that fit. One that the file spells in its own way keeps that spelling: the recipe then knows it again."""
    spelt = {source.unit_text, source.suggestion["unit_text"], chosen} - {""}
    options: list[Option] = [("", f"not said: {metric.unit}")]
    for unit in fitting_units(metric.key):
        own = next((text for text in spelt if text != unit and _same(text, unit)), unit)
        options.append((own, unit))
    listed = {value for value, _ in options}
    options += [(text, f"{text}, does not fit") for text in sorted(spelt - listed) if text]
    return tuple(_guessed(source, options))


def _guessed(source: Source, options: Sequence[Option]) -> list[Option]:
    if not source.suggestion["unit_guessed"]:
        return list(options)
    guess = source.suggestion["unit_text"]
    return [(value, f"{label}, guessed" if value == guess and value else label) for value, label in options]


def _same(one: str, other: str) -> bool:
    first = parse_unit(one)
    return first is not None and first == parse_unit(other)


def _conversion_words(found: Conversion, factor: float) -> str:
    times = "" if abs(factor) == 1 else f", × {abs(factor):.4g}"
    return f"{found.words}{times}"


def _first_number(samples: Sequence[str]) -> float | None:
    parsed = (parse_number(text) for text in samples)
    return next((number for number in parsed if isinstance(number, float)), None)


def _sample(number: float | None, factor: float, offset: float, unit: str, metric: Metric) -> str:
    """ "1.53 → 88°", for the first value of the column."""
    if number is None:
        return ""
    decimals = 2 if unit == "m" else max(metric.decimals, 1)
    shown = format_number(factor * number + offset, decimals)
    return f"{_plain(number)} → {with_unit(shown, unit)}"


def _plain(number: float) -> str:
    return f"{number:g}".replace("-", "−")


def _question(row: MatchRow, metric: Metric) -> str:
    """What the numbers or the header ask about sign and zero, while it is not answered."""
    offers = row.source.suggestion["offers"]
    asked = row.source.suggestion["metric"] == metric.key and row.choice.sign == AS_IT_IS
    advised = next((offer for offer in offers if offer["advised"]), None) if asked else None
    if advised is None:
        return ""
    stored = advised["conversion"]
    words = next(sign.words for sign in SIGNS.values() if sign.factor < 0 and sign.offset == stored["offset"])
    why = advised["why"]
    return f"{why[:1].upper()}{why[1:]}. Is it “{words}”?"
