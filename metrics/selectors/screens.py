"""The form of screens as one value that the template walks: blocks, sides, last values, what was typed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from athletes.models import Athlete, User
from athletes.policy import may_read_measured
from athletes.quantities import convert, format_quantity, unit_for
from metrics.catalogue import Metric, load_catalogue
from metrics.catalogue.screen_form import (
    CLASS_WORDS,
    PARTS,
    EnteredScreen,
    load_screen_form,
    worked_out_from,
)
from metrics.models import Finding
from metrics.services.screens.typed import REASONS, reason_field, technique_field, value_field
from sessions.models import Method

ASK_SHARE = 0.25
"""A side difference over this share of the plausible span is asked about. House opinion."""

OTHER_HAND = {"right": "left", "left": "right"}
SIDE_WORDS = {"throwing": "Throwing side", "other": "Glove side", "front": "Front", "back": "Back"}
TURN_WORDS = {"throwing": "To the throwing side", "other": "To the glove side"}

Last = Mapping[str, tuple[float, dt.date]]
Option = tuple[str, str, bool]
"""Value, words, whether it is chosen."""


@dataclass(frozen=True, slots=True)
class ValueBox:
    """One value of one round: a number field, or choices when `options` is not empty."""

    name: str
    text: str
    error: str
    number: int
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a screen. `where` names the athlete's own: right arm. `low`, `high` in the unit shown."""

    key: str
    title: str
    where: str
    label: str
    unit: str
    low: str
    high: str
    span: str
    takes_minus: bool
    takes_decimal: bool
    boxes: tuple[ValueBox, ...]
    reason_name: str
    reasons: tuple[Option, ...]
    reason_error: str
    last: str
    last_on: dt.date | None


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """A number that the page works out while its two parts are typed, and that scoring works out again."""

    key: str
    name: str
    formula: str
    first: str
    second: str
    unit: str
    decimals: int


@dataclass(frozen=True, slots=True)
class Block:
    """One screen. `ask_over`: from which side difference on the page asks whether the sides were swapped, "" never."""

    screen: str
    title: str
    part: str
    how: str
    sides: tuple[Side, ...]
    worked_out: tuple[WorkedOut, ...]
    technique_name: str
    techniques: tuple[Option, ...]
    technique_error: str
    ask_over: str
    is_filled: bool


@dataclass(frozen=True, slots=True)
class BlockGroup:
    title: str
    blocks: tuple[Block, ...]

    @property
    def is_filled(self) -> bool:
        return any(block.is_filled for block in self.blocks)


@dataclass(frozen=True, slots=True)
class FormNeeds:
    """What blocks are made of. `arm`: the throwing arm; `sent`: the form by field; `rounds`: boxes a side."""

    arm: str
    system: str
    last: Last
    sent: Mapping[str, str]
    errors: Mapping[str, str]
    rounds: int = 1


def last_values(athlete: Athlete, reader: User) -> Last:
    """The newest mean of each screen and its date, in one query; nothing for who may not read what was measured."""
    if not may_read_measured(reader, athlete):
        return {}
    rows = Finding.objects.filter(
        session__athlete=athlete, session__method=Method.HANDS_ON, session__withdrawn_at=None, mean__isnull=False
    ).order_by("session__date", "session__ordinal", "session_id")
    found = rows.values_list("metric", "mean", "session__date")
    return {key: (mean, on) for key, mean, on in found if mean is not None}


def groups_of(asked: Iterable[str], needs: FormNeeds) -> tuple[tuple[BlockGroup, ...], tuple[BlockGroup, ...]]:
    """What stands open, and what is one tap away, by body part: the screens asked for, else the chosen dozen."""
    form = load_screen_form()
    first = form.asked(asked)
    title = "Asked for" if first else "The chosen twelve"
    open_now = BlockGroup(title, blocks_of(first or form.chosen, needs))
    shown = {one.screen for one in first or form.chosen}
    rest = [
        BlockGroup(part.capitalize(), blocks_of(left, needs))
        for part in PARTS
        if (left := [one for one in form.screens if one.part == part and one.screen not in shown])
    ]
    return (open_now,), tuple(rest)


def blocks_of(screens: Sequence[EnteredScreen], needs: FormNeeds) -> tuple[Block, ...]:
    """A worked-out screen stands at the last of the blocks that it comes from."""
    keys = [key for one in screens for key in one.keys]
    made = worked_out_from(keys)
    place = {metric.key: _last_block(metric, screens) for metric in made}
    return tuple(_block(one, [metric for metric in made if place[metric.key] == one.screen], needs) for one in screens)


def _last_block(metric: Metric, screens: Sequence[EnteredScreen]) -> str:
    parts = {one.screen for one in load_screen_form().asked([metric.key])}
    return [one.screen for one in screens if one.screen in parts][-1]


def _block(one: EnteredScreen, made: Sequence[Metric], needs: FormNeeds) -> Block:
    metrics = [load_catalogue().metric(key) for key in one.keys]
    sides = tuple(_side(metric, one, needs) for metric in metrics)
    first, name = metrics[0], technique_field(one.screen)
    chosen = needs.sent.get(name) or first.definition_default
    span = (first.plausible_high or 0) - (first.plausible_low or 0)
    return Block(
        screen=one.screen,
        title=one.title,
        part=one.part,
        how=first.how_measured,
        sides=sides,
        worked_out=_worked_out(metrics, made, needs.system),
        technique_name=name,
        techniques=tuple((word, word.replace("_", " "), word == chosen) for word in first.definitions)
        if len(first.definitions) > 1
        else (),
        technique_error=needs.errors.get(name, ""),
        ask_over=f"{_shown(ASK_SHARE * span, first, needs.system):g}" if len(sides) == 2 else "",
        is_filled=any(box.text for side in sides for box in side.boxes) or any(_reason(side) for side in sides),
    )


def _reason(side: Side) -> bool:
    return any(chosen for value, _, chosen in side.reasons if value)


def _worked_out(metrics: Sequence[Metric], made: Sequence[Metric], system: str) -> tuple[WorkedOut, ...]:
    """Those of the catalogue; where none is the difference of this screen's two sides, that as well."""
    found = []
    for metric in made:
        first, second = metric.derived_from
        unit = unit_for(convert(1.0, metric.unit, system)[1]).symbol
        found.append(WorkedOut(metric.key, metric.name, metric.formula, first, second, unit, metric.decimals))
    own = tuple(metric.key for metric in metrics)
    if len(own) == 2 and not any({one.first, one.second} == set(own) for one in found):
        unit = unit_for(convert(1.0, metrics[0].unit, system)[1]).symbol
        found.append(WorkedOut("", "Difference of the sides", "difference", *own, unit, metrics[0].decimals))
    return tuple(found)


def _side(metric: Metric, one: EnteredScreen, needs: FormNeeds) -> Side:
    title, where = side_words(metric.side, one.noun, needs.arm)
    value, on = needs.last.get(metric.key, (None, None))
    low, high = metric.plausible_low, metric.plausible_high
    reason = needs.sent.get(reason_field(metric.key), "")
    said = ", ".join(filter(None, (one.title, title.lower(), where)))
    return Side(
        key=metric.key,
        title=title,
        where=where,
        label=said,
        unit=unit_for(convert(1.0, metric.unit, needs.system)[1]).symbol if not _options(metric, "") else "",
        low="" if low is None else f"{_shown(low, metric, needs.system):.4g}",
        high="" if high is None else f"{_shown(high, metric, needs.system):.4g}",
        span=" to ".join(format_quantity(end, metric.unit, needs.system, decimals=0) for end in (low, high)),
        takes_minus=low is not None and low < 0,
        takes_decimal=metric.decimals > 0 or _shown(1.0, metric, needs.system) != 1.0,
        boxes=tuple(_box(metric, number, needs) for number in range(1, needs.rounds + 1)),
        reason_name=reason_field(metric.key),
        reasons=tuple((code, words, code == reason) for code, words in {"": "why not?", **REASONS}.items()),
        reason_error=needs.errors.get(reason_field(metric.key), ""),
        last="" if value is None else _written(value, metric, needs.system),
        last_on=on,
    )


def _box(metric: Metric, number: int, needs: FormNeeds) -> ValueBox:
    name = value_field(metric.key, number)
    text = needs.sent.get(name, "")
    return ValueBox(name, text, needs.errors.get(name, ""), number, _options(metric, text))


def _options(metric: Metric, chosen: str) -> tuple[Option, ...]:
    """The choices of a screen that is no measure."""
    words: Sequence[str] = ()
    if metric.unit == "yes/no":
        words = ("no", "yes")
    elif metric.unit == "class":
        words = CLASS_WORDS.get(metric.key, tuple(map(str, range(int(metric.plausible_high or 0) + 1))))
    elif metric.unit == "0-10":
        words = tuple(map(str, range(11)))
    return tuple((str(place), word, str(place) == chosen) for place, word in enumerate(words))


def side_words(side: str, noun: str, arm: str) -> tuple[str, str]:
    """Throwing side, right arm: which side of the screen, and which of the athlete's body it is.

    The front leg is that of the glove side. Nothing is named when it is not known which arm threw.
    """
    if not side:
        return "", ""
    hand = arm if side in ("throwing", "back") else OTHER_HAND.get(arm, "")
    if noun == "turn":
        return TURN_WORDS[side], f"to the {hand}" if hand else ""
    return SIDE_WORDS[side], f"{hand} {noun}" if hand else noun


def _shown(value: float, metric: Metric, system: str) -> float:
    return convert(value, metric.unit, system)[0]


def _written(value: float, metric: Metric, system: str) -> str:
    options = _options(metric, "")
    if options and 0 <= round(value) < len(options):
        return options[round(value)][1]
    return format_quantity(value, metric.unit, system, decimals=metric.decimals)
