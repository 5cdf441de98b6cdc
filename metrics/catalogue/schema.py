"""From one raw entry of a data file to a checked Metric: which fields, of which type, within which limits."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Mapping
from typing import Any

from metrics.catalogue import words
from metrics.catalogue.errors import BadCatalogue
from metrics.catalogue.model import Metric

KEY_PATTERN = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")

TEXTS = (
    "key", "name", "short_name", "plain_name", "unit", "kind",
    "low_word", "high_word", "low_sentence", "high_sentence", "why",
)  # fmt: skip
OPTIONAL_TEXTS = ("moment", "family", "view", "side", "how_measured", "rate_status", "formula")
NUMBERS = ("weight",)
OPTIONAL_NUMBERS = ("plausible_low", "plausible_high", "landing_rate", "event_rate")
FLAGS = ("first_look", "projected", "filter_dependent", "context_cause")
LISTS = ("synonyms", "definitions", "derived_from", "reference_keys")
KNOWN_FIELDS = frozenset((*TEXTS, *OPTIONAL_TEXTS, *NUMBERS, *OPTIONAL_NUMBERS, *FLAGS, *LISTS, "decimals"))


def normalise_name(text: str) -> str:
    """Letters and digits only, case folded: what two spellings of one header have in common."""
    folded = unicodedata.normalize("NFKC", text).casefold()
    return "".join(character for character in folded if character.isalnum())


def metric_from(entry: Mapping[str, Any], lane: str, where: str) -> Metric:
    """A checked Metric from the raw table of one entry. ``where`` names the file; raises BadCatalogue."""
    where = f"{where}, {entry.get('key', 'an entry without key')}"
    unknown = sorted(set(entry) - KNOWN_FIELDS)
    if unknown:
        raise BadCatalogue(f"{where}: unknown field {', '.join(unknown)}; remove or correct it")
    values: dict[str, Any] = {"lane": lane}
    for names, read in _READERS:
        for name in names:
            if name in entry or read in (_text, _number, _count):
                values[name] = read(entry.get(name), f"{where}, {name}")
    metric = Metric(**{"moment": "", "synonyms": (), **values})
    for rule in _RULES:
        problem = rule(metric)
        if problem:
            raise BadCatalogue(f"{where}: {problem}")
    return metric


def _text(value: object, where: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise BadCatalogue(f"{where}: text is missing")
    if value != value.strip():
        raise BadCatalogue(f"{where}: text begins or ends with a space")
    return value


def _optional_text(value: object, where: str) -> str:
    return "" if value == "" else _text(value, where)


def _number(value: object, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise BadCatalogue(f"{where}: a finite number is needed, got {value!r}")
    return float(value)


def _optional_number(value: object, where: str) -> float:
    return _number(value, where)


def _count(value: object, where: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 4:
        raise BadCatalogue(f"{where}: a whole number from 0 to 4 is needed, got {value!r}")
    return value


def _flag(value: object, where: str) -> bool:
    if not isinstance(value, bool):
        raise BadCatalogue(f"{where}: true or false is needed, got {value!r}")
    return value


def _list(value: object, where: str) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise BadCatalogue(f"{where}: a list of texts is needed, got {value!r}")
    items = tuple(_text(item, where) for item in value)
    if len({normalise_name(item) for item in items}) < len(items):
        raise BadCatalogue(f"{where}: the same text stands twice, spaces and case aside")
    return items


_READERS: tuple[tuple[tuple[str, ...], Callable[[object, str], Any]], ...] = (
    (TEXTS, _text),
    (OPTIONAL_TEXTS, _optional_text),
    (NUMBERS, _number),
    (("decimals",), _count),
    (OPTIONAL_NUMBERS, _optional_number),
    (FLAGS, _flag),
    (LISTS, _list),
)


def _key_is_plain(metric: Metric) -> str | None:
    return None if KEY_PATTERN.fullmatch(metric.key) else "the key is lower-case words joined by underscores"


def _words_are_known(metric: Metric) -> str | None:
    lists = (
        ("unit", metric.unit, words.UNITS),
        ("lane", metric.lane, words.LANES),
        ("kind", metric.kind, words.KINDS),
        ("side", metric.side, words.SIDES),
        ("view", metric.view, words.VIEWS),
    )
    for name, value, known in lists:
        if value not in known:
            return f"{name} {value!r} is not one of {', '.join(word or 'nothing' for word in known)}"
    return None


def _moment_is_known(metric: Metric) -> str | None:
    if metric.moment in ("", "screen"):
        return None
    parts = metric.moment.split("-")
    places = [words.EVENTS.index(part) if part in words.EVENTS else -1 for part in parts]
    if len(parts) > 2 or -1 in places:
        return f"moment {metric.moment!r} is no event or interval of {', '.join(words.EVENTS)}"
    if len(places) == 2 and places[0] >= places[1]:
        return f"moment {metric.moment!r} runs backward"
    return None


def _short_name_fits(metric: Metric) -> str | None:
    length = len(metric.short_name)
    if length <= words.SHORT_NAME_LENGTH:
        return None
    return f"short_name has {length} characters, at most {words.SHORT_NAME_LENGTH} fit"


def _weight_is_sane(metric: Metric) -> str | None:
    if not 0 <= metric.weight <= words.GREATEST_WEIGHT:
        return f"weight {metric.weight:g} lies outside 0 to {words.GREATEST_WEIGHT:g}"
    if metric.kind in ("outcome", "style", "context") and metric.weight:
        return f"a metric of kind {metric.kind} has weight 0: it never counts in the score"
    return None


def _span_is_ordered(metric: Metric) -> str | None:
    low, high = metric.plausible_low, metric.plausible_high
    return "plausible_low is not below plausible_high" if low is not None and high is not None and low >= high else None


def _has_synonyms(metric: Metric) -> str | None:
    few = len(metric.synonyms) < words.LEAST_SYNONYMS
    return f"at least {words.LEAST_SYNONYMS} synonyms are needed, got {len(metric.synonyms)}" if few else None


def _rates_are_given(metric: Metric) -> str | None:
    if metric.is_screen:
        return None
    if metric.event_rate is None or not metric.rate_status:
        return "event_rate and rate_status are missing"
    if metric.is_landing_dependent and metric.landing_rate is None:
        return "landing_rate is missing for a metric that hangs on the landing moment"
    if metric.event_rate < 0 or (metric.landing_rate or 0) < 0:
        return "a rate is the size of a change and cannot be negative"
    return None


def _screen_is_whole(metric: Metric) -> str | None:
    if metric.is_screen != (metric.lane == "screen") or metric.is_screen != (metric.moment == "screen"):
        return "a screen has kind, lane and moment screen, and nothing else has any of them"
    if metric.is_screen and not (metric.how_measured and metric.reference_keys):
        return "a screen says how it is measured (how_measured) and which reference_keys it stands for"
    return None


def _formula_fits_its_parts(metric: Metric) -> str | None:
    if metric.formula == words.PERSON:
        from_person = metric.is_screen and metric.context_cause and not metric.derived_from
        return None if from_person else "what is worked out from the person is a screen, context, and has no parts"
    if not metric.formula and not metric.derived_from:
        return None
    if metric.formula not in words.FORMULAS:
        return f"formula {metric.formula!r} is not one of {', '.join((*words.FORMULAS, words.PERSON))}"
    return None if len(metric.derived_from) == 2 else f"a {metric.formula} has two parts in derived_from"


def _side_is_in_key(metric: Metric) -> str | None:
    if metric.side and not metric.key.endswith(f"_{metric.side}"):
        return f"the key must end with its side, _{metric.side}"
    return None


_RULES: tuple[Callable[[Metric], str | None], ...] = (
    _key_is_plain,
    _words_are_known,
    _moment_is_known,
    _short_name_fits,
    _weight_is_sane,
    _span_is_ordered,
    _has_synonyms,
    _rates_are_given,
    _screen_is_whole,
    _side_is_in_key,
    _formula_fits_its_parts,
)
