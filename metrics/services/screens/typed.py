"""What was typed into the form, field by field, as readings; what cannot be is said in a sentence at its field.

Field names: `v-<metric>-<round>` a value, `not-<metric>` why there is none, `technique-<screen>` how it was measured.
Numbers are typed in the reader's units (`units`: us or metric) and kept in the catalogue's.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from athletes.quantities import convert, format_quantity
from metrics.catalogue import Metric, load_catalogue
from metrics.catalogue.screen_form import EnteredScreen, load_screen_form

MOST_ROUNDS = 3
PAIN, NOT_TESTED = "pain", "not_tested"
REASONS = {NOT_TESTED: "not tested", PAIN: "not tested: pain"}
"""Reason codes of a reading without a value, and how the form says them."""

KEPT_FIELDS = re.compile(r"^(v|not|technique)-[a-z0-9_]{1,80}(-[1-9])?$|^(date|arm|own|units|rounds)$")
LONGEST_TEXT = 40
NUMBER = re.compile(r"^[-−]?\d+([.,]\d*)?$|^[-−]?[.,]\d+$", re.ASCII)

Reading = Mapping[str, object]
"""{"value": number} or {"reason": code}."""


@dataclass(frozen=True, slots=True)
class Typed:
    """`rounds`: reading key → reading, a mapping a round; `techniques`: metric → definition, other than the usual.

    `errors`: field name → sentence; with any, nothing is stored.
    """

    rounds: tuple[Mapping[str, Reading], ...]
    techniques: Mapping[str, str]
    errors: Mapping[str, str]

    @property
    def count(self) -> int:
        return sum(len(one) for one in self.rounds)


def value_field(key: str, number: int = 1) -> str:
    return f"v-{key}-{number}"


def reason_field(key: str) -> str:
    return f"not-{key}"


def technique_field(screen: str) -> str:
    return f"technique-{screen}"


def kept_fields(sent: Mapping[str, str]) -> dict[str, str]:
    """The fields of the form that a draft keeps, none of them empty or longer than any value is."""
    return {name: text[:LONGEST_TEXT] for name, text in sent.items() if text and KEPT_FIELDS.match(name)}


def values_in(sent: Mapping[str, str]) -> int:
    """How many values and reasons were typed."""
    return sum(1 for name, text in sent.items() if text and name.startswith(("v-", "not-")))


def read_typed(sent: Mapping[str, str]) -> Typed:
    """Every screen of the form that was filled in; other fields are no concern of this function."""
    rounds: list[dict[str, Reading]] = [{} for _ in range(MOST_ROUNDS)]
    errors: dict[str, str] = {}
    techniques: dict[str, str] = {}
    system = sent.get("units", "metric")
    for screen in load_screen_form().screens:
        before = sum(map(len, rounds))
        for key in screen.keys:
            _read_side(load_catalogue().metric(key), sent, system, rounds, errors)
        if sum(map(len, rounds)) > before:
            _read_technique(screen, sent, techniques, errors)
    return Typed(tuple(one for one in rounds if one), techniques, errors)


def _read_side(
    metric: Metric, sent: Mapping[str, str], system: str, rounds: list[dict[str, Reading]], errors: dict[str, str]
) -> None:
    reason, key = sent.get(reason_field(metric.key), ""), metric.reading_key("unknown")
    typed = {number: sent.get(value_field(metric.key, number), "").strip() for number in range(1, MOST_ROUNDS + 1)}
    if reason and reason not in REASONS:
        errors[reason_field(metric.key)] = f"{metric.name}: choose why it was not tested from the list."
    elif reason and any(typed.values()):
        errors[reason_field(metric.key)] = (
            f"{metric.name} has a value and says {REASONS[reason]}. Take one of them away."
        )
    elif reason:
        rounds[0][key] = {"reason": reason}
    for number, text in typed.items():
        if not text or reason:
            continue
        value = number_of(text, metric, system)
        wrong = not_a_number(metric) if value is None else sentence_for(metric, value, system)
        if wrong:
            errors[value_field(metric.key, number)] = wrong
        elif value is not None:
            rounds[number - 1][key] = {"value": value}


def _read_technique(
    screen: EnteredScreen, sent: Mapping[str, str], techniques: dict[str, str], errors: dict[str, str]
) -> None:
    """The usual technique is not written down, so that it compares with sessions whose file says nothing."""
    metrics = [load_catalogue().metric(key) for key in screen.keys]
    said = sent.get(technique_field(screen.screen), "")
    if not said or not metrics[0].definitions:
        return
    if said not in metrics[0].definitions:
        errors[technique_field(screen.screen)] = f"{screen.title}: choose the technique from the list."
    elif said != metrics[0].definition_default:
        techniques.update({metric.key: said for metric in metrics if said in metric.definitions})


def number_of(text: str, metric: Metric, system: str) -> float | None:
    """The typed number in the catalogue's unit; None when it is none. Takes a comma, a true minus, a written unit."""
    bare, unit = _without_unit(text.strip(), metric, system)
    if not NUMBER.match(bare):
        return None
    number = float(bare.replace("−", "-").replace(",", "."))
    return number if unit == metric.unit else number / convert(1.0, metric.unit, "us")[0]


def _without_unit(text: str, metric: Metric, system: str) -> tuple[str, str]:
    """The number as text, and its unit: the one written behind it, else the reader's."""
    for known in dict.fromkeys((convert(1.0, metric.unit, "us")[1], metric.unit, "°")):
        if known and text.endswith(known):
            return text.removesuffix(known).strip(), metric.unit if known == "°" else known
    return text, convert(1.0, metric.unit, system)[1]


def not_a_number(metric: Metric) -> str:
    example = f"{((metric.plausible_low or 0) + (metric.plausible_high or 2)) / 2:.0f}"
    return f"{metric.name}: type a number, for example {example}."


def sentence_for(metric: Metric, value: float, system: str) -> str | None:
    """What is wrong with a value in the catalogue's unit, in the reader's units; None when nothing is."""
    if metric.unit in ("yes/no", "class", "0-10") and value != int(value):
        return f"{metric.name}: choose one of the list."
    if load_catalogue().check_value(metric.key, value) is None:
        return None
    low, high = metric.plausible_low, metric.plausible_high
    got = format_quantity(value, metric.unit, system, decimals=metric.decimals)
    span = " to ".join(format_quantity(end, metric.unit, system, decimals=metric.decimals) for end in (low, high))
    return f"{metric.name} of {got} is not plausible: {span} is. Measure again, or check the side and the unit."
