"""The page of a comparison as one value that the template walks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import prefetch_related_objects
from django.urls import reverse

from athletes.models import User
from athletes.quantities import format_height
from metrics.measuring import curves as known_curves
from metrics.measuring.curves import Curve
from metrics.selectors.compare.asked import EVENT_NAMES, FIRST_EVENT, LAID, SIDE, Compared
from metrics.selectors.compare.choosing import (
    FOUND,
    LISTED,
    Offer,
    Pair,
    offer_of,
    pair_of_one,
    partner_of,
    people_named,
)
from metrics.selectors.compare.lines import session_table
from metrics.selectors.compare.reasons import parting_words
from metrics.selectors.compare.sentences import laying_words, lede, mirrored_side, no_figure_words, problems
from metrics.selectors.compare.sides import (
    FIRST,
    NOW,
    SECOND,
    THEN,
    ConditionRow,
    Side,
    SideNames,
    condition_rows,
    named_after,
    sides_of,
)
from metrics.selectors.compare.table import Table
from metrics.selectors.compare.throw_lines import throw_table
from metrics.selectors.motion import LANES, curve_of


@dataclass(frozen=True, slots=True)
class Option:
    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """The sessions that one side can be; `is_cut`: older ones are reached by a day."""

    label: str
    options: tuple[Option, ...]
    is_cut: bool


@dataclass(frozen=True, slots=True)
class Person:
    name: str
    url: str


@dataclass(frozen=True, slots=True)
class ComparePage:
    """`sides`: both, or none while there are not two sessions. `query`: of the address that brings this view back.

    `mirrored`: the place of the side that is drawn mirrored, or None. `no_figure`: why nothing moves.
    """

    athlete_uuid: UUID
    url: str
    query: str
    is_of_one: bool
    is_one_session: bool
    other_name: str
    other_uuid: UUID
    choices: tuple[Choice, Choice]
    until: str
    searched: str
    people: tuple[Person, ...]
    sentence: str
    wrong: tuple[str, ...]
    empty: str
    sides: tuple[Side, ...]
    events: tuple[Option, ...]
    laid: tuple[Option, ...]
    mirrored: int | None
    laying: tuple[str, ...]
    no_figure: str
    curves: tuple[tuple[str, tuple[Curve, ...]], ...]
    first_curve: str
    conditions: tuple[ConditionRow, ...]
    table: Table | None
    parting: str

    @property
    def curves_url(self) -> str:
        return reverse("metrics:compare-curves", args=[self.athlete_uuid])

    @property
    def csv_url(self) -> str:
        return f"{reverse('metrics:compare-csv', args=[self.athlete_uuid])}?{self.query}"

    @property
    def found_most(self) -> bool:
        """Whether more people may have such a name than are listed."""
        return len(self.people) == FOUND

    @property
    def listed(self) -> int:
        return LISTED


def compare_page(compared: Compared, reader: User, system: str) -> ComparePage:
    """`system`: the reader's units, "us" or "metric"."""
    offers, pair = _chosen(compared)
    sides = both_sides(compared, pair)
    first, second = sides or (None, None)
    table = table_of(sides, compared)
    asked = compared.asked
    url = reverse("metrics:compare", args=[compared.athlete.uuid])
    return ComparePage(
        athlete_uuid=compared.athlete.uuid,
        url=url,
        query=_query(compared, sides),
        is_of_one=compared.is_of_one,
        is_one_session=_is_one_session(sides),
        other_name=compared.other.name,
        other_uuid=compared.other.uuid,
        choices=_choices(compared, offers, pair),
        until=asked.until.isoformat() if asked.until else "",
        searched=asked.name,
        people=_people(compared, reader, url, pair),
        sentence=lede(first, second, table, is_of_one=compared.is_of_one) if first and second else "",
        wrong=tuple(problems(compared, first, second)),
        empty=_empty(compared, pair),
        sides=sides,
        events=_options(EVENT_NAMES, asked.event),
        laid=_options(LAID, asked.laid),
        **_pictures(sides, asked.curve or _changed_curve(table), system),
        conditions=_conditions(sides, system),
        table=table,
        parting=parting_words(first, second) if first and second else "",
    )


def _chosen(compared: Compared) -> tuple[tuple[Offer, Offer], Pair]:
    """What can be chosen on each side, and what is."""
    until, (a, b) = compared.asked.until, (compared.a, compared.b)
    own = offer_of(compared.athlete, until, a, b if compared.is_of_one else None)
    if compared.is_of_one:
        pair = Pair(a, b) if compared.withdrawn else pair_of_one(own.sessions, a, b)
        return (own, own), pair
    others = offer_of(compared.other, until, b)
    first = a or (None if compared.withdrawn else pair_of_one(own.sessions, None, None).b or None)
    first = first or (own.sessions[0] if own.sessions and not compared.withdrawn else None)
    second = b or (None if compared.withdrawn else partner_of(first, others.sessions))
    return (own, others), Pair(first, second)


def both_sides(compared: Compared, pair: Pair) -> tuple[Side, ...]:
    """Both sides, or none while there are not two sessions."""
    if pair.a is None or pair.b is None:
        return ()
    pair.a.athlete, pair.b.athlete = compared.athlete, compared.other
    prefetch_related_objects([compared.athlete, compared.other], "body_sizes", "levels")
    names: tuple[SideNames, SideNames] = (THEN, NOW)
    if pair.a.pk == pair.b.pk:
        names = (FIRST, SECOND)
    elif not compared.is_of_one:
        names = (named_after(compared.athlete), named_after(compared.other))
    return sides_of((pair.a, pair.b), names, (compared.asked.a_throw, compared.asked.b_throw))


def chosen_sides(compared: Compared) -> tuple[Side, ...]:
    """Both sides as the page would show them, for a table to take away and for curves."""
    return both_sides(compared, _chosen(compared)[1])


def table_of(sides: Sequence[Side], compared: Compared) -> Table | None:
    """None where there is nothing to hold against each other."""
    if not sides:
        return None
    first, second = sides
    if _is_one_session(sides):
        return throw_table(first, second)
    return session_table(first, second, is_of_one=compared.is_of_one)


def _is_one_session(sides: Sequence[Side]) -> bool:
    return bool(sides) and sides[0].capture.pk == sides[-1].capture.pk


def _query(compared: Compared, sides: Sequence[Side]) -> str:
    asked = compared.asked
    parts: dict[str, str] = {}
    for key, side in zip("ab", sides, strict=False):
        parts[key] = str(side.capture.uuid)
        if side.throw:
            parts[f"{key}_throw"] = str(side.throw.uuid)
    if asked.event != FIRST_EVENT:
        parts["from"] = asked.event
    if asked.laid != SIDE:
        parts["laid"] = asked.laid
    if asked.curve:
        parts["curve"] = asked.curve
    return urlencode(parts)


def _choices(compared: Compared, offers: Sequence[Offer], pair: Pair) -> tuple[Choice, Choice]:
    labels = ("Then", "Now") if compared.is_of_one else (compared.athlete.name, compared.other.name)
    if pair.a is not None and pair.a == pair.b:
        labels = ("First", "Second")
    made = []
    for label, offer, chosen in zip(labels, offers, pair, strict=True):
        options = tuple(
            Option(
                str(one.uuid),
                " · ".join(
                    part for part in (f"{one.date:%-d %b %Y}", str(one.get_method_display()), one.setup) if part
                ),
                chosen is not None and one.pk == chosen.pk,
            )
            for one in offer.sessions
        )
        made.append(Choice(label, options, offer.is_cut))
    return made[0], made[1]


def _people(compared: Compared, reader: User, url: str, pair: Pair) -> tuple[Person, ...]:
    a = {"a": str(pair.a.uuid)} if pair.a is not None and compared.is_of_one else {}
    if compared.is_of_one and pair.b is not None:
        a = {"a": str(pair.b.uuid)}  # the latest stands first beside somebody else
    return tuple(
        Person(one.name, f"{url}?{urlencode({**a, 'whom': str(one.uuid)})}")
        for one in people_named(reader, compared.asked.name, compared.athlete)
    )


def _empty(compared: Compared, pair: Pair) -> str:
    """What stands in place of a comparison."""
    if compared.withdrawn or (pair.a is not None and pair.b is not None):
        return ""
    if pair.a is None and pair.b is None:
        return "Two sessions will stand beside each other here. The first comes with the first upload."
    if not compared.is_of_one:
        return f"{(compared.other if pair.b is None else compared.athlete).name} has no session to compare with yet."
    return "There is one session so far. With the next, then and now will stand beside each other here."


def _options(words: Mapping[str, str], chosen: str) -> tuple[Option, ...]:
    return tuple(Option(key, name[:1].upper() + name[1:], key == chosen) for key, name in words.items())


def _pictures(sides: Sequence[Side], curve: str, system: str) -> dict[str, Any]:
    """The fields of the page that figures and curves need."""
    lanes = tuple((LANES[lane], tuple(c for c in known_curves.CURVES if c.lane == lane)) for lane in LANES)
    if not sides:
        return {"mirrored": None, "laying": (), "no_figure": "", "curves": lanes, "first_curve": ""}
    first, second = sides
    mirrored = mirrored_side(first, second)
    return {
        "mirrored": None if mirrored is None else int(mirrored is second),
        "laying": laying_words(first, second, system),
        "no_figure": no_figure_words(first, second),
        "curves": lanes,
        "first_curve": curve or _first_curve(second),
    }


def _changed_curve(table: Table | None) -> str:
    """That of the first real difference which a curve shows; "" when none does."""
    changed = table.real if table else ()
    return next((name for line in changed if (name := curve_of(line.key)[0])), "")


def _first_curve(side: Side) -> str:
    """That of the most important flag which a curve shows."""
    rows = sorted(side.findings.values(), key=lambda row: (-row.priority, row.metric))
    flags = (row.metric for row in rows if row.zone == "flag" and row.sure != "cant_tell")
    return next((name for metric in flags if (name := curve_of(metric)[0])), known_curves.CURVES[0].name)


def _conditions(sides: Sequence[Side], system: str) -> tuple[ConditionRow, ...]:
    if not sides:
        return ()
    first, second = sides
    heights = [format_height(side.height_cm, system) if side.height_cm else "not known" for side in sides]
    return condition_rows(first, second, heights)
