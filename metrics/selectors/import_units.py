"""What a preview shows of the sessions that an upload would make, in a fixed number of queries for any number."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from athletes.models import Athlete, Facility, User
from athletes.words import counted
from metrics.catalogue import load_catalogue
from metrics.models import Finding, ImportDraft, ImportUnit, Reading
from metrics.selectors.session_words import MOMENTS
from metrics.services.imports.blocks import Block, blocks_of
from metrics.services.imports.payloads import Payload, PayloadThrow, with_answers
from metrics.services.imports.rereading import Difference, difference
from sessions.models import Ball, CaptureSession, Intent, Method, PitchType, Surface, Throw

CONDITIONS = ("surface", "intent", "pitch_type", "ball")
CONDITION_WORDS: dict[str, dict[str, str]] = {
    name: {value: str(label) for value, label in choices.choices}
    for name, choices in zip(CONDITIONS, (Surface, Intent, PitchType, Ball), strict=True)
}
REASON_WORDS = {
    "implausible": "outside the span",
    "absurd": "far too far off",
    "not_a_number": "no number",
    "not_finite": "not finite",
    "date_in_place_of_number": "a date",
}
# What the model of a throw says of a condition that nothing names.
USUAL = {"surface": "mound", "intent": "full_effort", "pitch_type": "fastball", "ball": "regulation"}


@dataclass(frozen=True, slots=True)
class Stored:
    """The session of that day that the throws can be added to, and which of them it holds already."""

    session: CaptureSession
    throw_count: int
    same: str
    different: str
    new_count: int


@dataclass(frozen=True, slots=True)
class PreviewUnit:
    """One session that the upload would make (or made)."""

    unit: ImportUnit
    blocks: tuple[Block, ...]
    throw_count: int
    metric_keys: frozenset[str]
    conditions: tuple[str, ...]
    kept_out: int
    excluded: int
    stored: Stored | None
    candidates: tuple[Athlete, ...]
    asked_above: bool
    again: Difference | None = None
    flags: int = 0

    @property
    def method_word(self) -> str:
        return Method(self.unit.method).label

    @property
    def waits(self) -> bool:
        return self.unit.state == ImportUnit.State.WAITING

    @property
    def can_be_accepted(self) -> bool:
        return self.waits and not self.blocks

    @property
    def codes(self) -> frozenset[str]:
        return frozenset(block.code for block in self.blocks)


def preview_units(draft: ImportDraft, user: User) -> list[PreviewUnit]:
    units = list(
        draft.units.select_related("athlete", "session__athlete", "draft__upload", "held")
        .prefetch_related("athlete__consents")
        .order_by("ordinal")
    )
    payloads = {unit.pk: with_answers(Payload.from_json(unit.payload), draft.answers) for unit in units}
    people = _candidates(units, user)
    days = _SameDay(units)
    flags = _flags_of(units)
    made = {(u.session_id, u.sheet): u for u in units if u.state == ImportUnit.State.ACCEPTED}
    asked: set[tuple[str, str]] = set()
    facility = Facility.current()
    shown = []
    for unit in units:
        reference = unit.athlete_reference
        named = (reference.get("id", ""), reference.get("name", ""))
        waits = unit.state == ImportUnit.State.WAITING
        shown.append(
            PreviewUnit(
                unit=unit,
                blocks=tuple(blocks_of(unit, facility)) if waits else (),
                throw_count=len(payloads[unit.pk].throws),
                metric_keys=metrics_of(payloads[unit.pk].throws),
                conditions=condition_lines(payloads[unit.pk].throws),
                kept_out=count_reason(payloads[unit.pk].throws, "implausible"),
                excluded=sum(bool(throw.excluded_reason) for throw in payloads[unit.pk].throws),
                stored=days.stored(unit, payloads[unit.pk]) if waits and not unit.session_id else None,
                candidates=tuple(people[key] for key in reference.get("candidates", ()) if key in people),
                asked_above=named in asked,
                again=_again(unit, made.get((unit.session_id, unit.sheet)), payloads),
                flags=flags.get(unit.session_id or 0, 0),
            )
        )
        if waits and not unit.athlete_id:
            asked.add(named)
    return shown


def _again(unit: ImportUnit, before: ImportUnit | None, payloads: Mapping[int, Payload]) -> Difference | None:
    """What reading the file again changes in the session that it has made."""
    if unit.target != ImportUnit.Target.REPLACE or before is None:
        return None
    return difference(payloads[before.pk], payloads[unit.pk])


def metrics_of(throws: Iterable[PayloadThrow]) -> frozenset[str]:
    return frozenset(
        key.partition("@")[0] for throw in throws for key, value in throw.values.items() if "value" in value
    )


def count_reason(throws: Iterable[PayloadThrow], reason: str) -> int:
    return sum(value.get("reason") == reason for throw in throws for value in throw.values.values())


def condition_lines(throws: Sequence[PayloadThrow]) -> tuple[str, ...]:
    """ "18 throws: mound, full effort, fastball, regulation ball", the commonest first."""
    counts = Counter(
        tuple(words[throw.conditions.get(name) or USUAL[name]] for name, words in CONDITION_WORDS.items())
        for throw in throws
    )
    return tuple(f"{counted(count, 'throw')}: {', '.join(words)}" for words, count in counts.most_common())


def _candidates(units: Iterable[ImportUnit], user: User) -> dict[str, Athlete]:
    keys = {key for unit in units if not unit.athlete_id for key in unit.athlete_reference.get("candidates", ())}
    found = Athlete.objects.visible_to(user).filter(uuid__in=keys) if keys else ()
    return {str(athlete.uuid): athlete for athlete in found}


def _flags_of(units: Iterable[ImportUnit]) -> Mapping[int, int]:
    """How many flags stand in each session that was made."""
    made = [unit.session_id for unit in units if unit.session_id]
    rows = Finding.objects.filter(session_id__in=made, zone="flag").values_list("session_id", flat=True)
    return Counter(rows)


class _SameDay:
    """Sessions of the units' athletes on their days, with the throws that they hold: three queries in all."""

    def __init__(self, units: Iterable[ImportUnit]) -> None:
        wanted = [u for u in units if u.athlete_id and u.date and u.state == ImportUnit.State.WAITING]
        self.sessions: dict[tuple[int, dt.date, str, str], CaptureSession] = {}
        found = CaptureSession.objects.filter(
            athlete__in={unit.athlete_id for unit in wanted}, date__in={unit.date for unit in wanted}
        )
        for session in found.order_by("ordinal"):  # the last of the day wins, as when it is accepted
            self.sessions[session.athlete_id, session.date, session.method, session.setup] = session
        self.numbers: dict[int, dict[int, dict[str, Any]]] = defaultdict(dict)
        ids = [session.pk for session in self.sessions.values()]
        for session_id, number, values in _throws_of(ids):
            self.numbers[session_id].setdefault(number, values)

    def stored(self, unit: ImportUnit, payload: Payload) -> Stored | None:
        if not unit.athlete_id or unit.date is None:
            return None
        session = self.sessions.get((unit.athlete_id, unit.date, unit.method, payload.setup))
        if session is None:
            return None
        known = self.numbers[session.pk]
        if payload.source == Reading.Source.MARKERS:  # a file of its own: its throws are others, whatever their number
            return Stored(session, len(known), "", "", len(payload.throws))
        held = [throw for throw in payload.throws if throw.number in known]
        same = [throw.number for throw in held if known[throw.number] == throw.values]
        different = [throw.number for throw in held if throw.number not in same]
        new_count = len(payload.throws) - len(held)
        return Stored(session, len(known), spans_of(same), spans_of(different), new_count)


def _throws_of(session_ids: Sequence[int]) -> Iterable[tuple[int, int, dict[str, Any]]]:
    """(session, throw number, its readings from a table)."""
    throws = Throw.objects.filter(session_id__in=session_ids).values_list("pk", "session_id", "number")
    values = dict(
        Reading.objects.filter(throw__session_id__in=session_ids, source=Reading.Source.TABLE).values_list(
            "throw_id", "values"
        )
    )
    return [(session_id, number, values.get(pk, {})) for pk, session_id, number in throws]


def spans_of(numbers: Iterable[int]) -> str:
    """ "1 to 6, 9" of 1, 2, 3, 4, 5, 6, 9."""
    spans: list[list[int]] = []
    for number in sorted(numbers):
        if spans and number == spans[-1][1] + 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    return ", ".join(f"{a}" if a == b else f"{a} {'and' if b == a + 1 else 'to'} {b}" for a, b in spans)


@dataclass(frozen=True, slots=True)
class Cell:
    """One reading as the table shows it: a number, or in words why there is none."""

    value: float | None = None
    unit: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class ReadingsTable:
    """Throw × metric as it would be stored. A head: the metric's name, then unit and moment in words.

    A row: the throw, where it stands in the file (in its rows or columns, as `where` says), its cells.
    """

    heads: tuple[tuple[str, str], ...]
    rows: tuple[tuple[PayloadThrow, str, tuple[Cell, ...]], ...]
    where: str


def readings_table(payload: Payload) -> ReadingsTable:
    catalogue = load_catalogue()
    order = {key: index for index, key in enumerate(catalogue.metrics)}
    found = dict.fromkeys(key for throw in payload.throws for key in throw.values)
    keys = sorted(found, key=lambda key: order.get(key.partition("@")[0], len(order)))
    in_order = sorted(payload.throws, key=lambda throw: throw.number)
    rows = tuple(
        (throw, payload.where(throw), tuple(_cell(throw.values.get(key)) for key in keys)) for throw in in_order
    )
    units = [next((cells[i].unit for _, _, cells in rows if cells[i].unit), "") for i in range(len(keys))]
    heads = tuple(_head(key, unit) for key, unit in zip(keys, units, strict=True))
    return ReadingsTable(heads, rows, "Columns" if payload.turned else "Rows")


def _head(key: str, unit: str) -> tuple[str, str]:
    metric, moment = load_catalogue().parse_reading_key(key)
    at = MOMENTS.get(moment, "") if metric.is_landing_dependent else ""
    return metric.short_name, ", ".join(filter(None, (unit or metric.unit, at)))


def _cell(stored: Mapping[str, Any] | None) -> Cell:
    if stored is None:
        return Cell()
    if "value" in stored:
        return Cell(stored["value"], stored.get("unit", ""))
    return Cell(words=REASON_WORDS.get(stored["reason"], stored["reason"].replace("_", " ")))
