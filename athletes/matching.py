"""Whom a row of a foreign file means.

An id that another system gave, or name and birth date together, name an athlete. A name alone never does: it
gives candidates, which a person confirms. Nobody is ever created here.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from athletes.folding import folded
from athletes.models import Athlete


@dataclass(frozen=True, slots=True)
class AthleteMatch:
    """`athlete` only when it is certain. `reason` is a key of SENTENCES."""

    athlete: Athlete | None
    candidates: tuple[Athlete, ...]
    reason: str

    @property
    def sentence(self) -> str:
        return SENTENCES[self.reason]


SENTENCES = {
    "id": "Known by the id.",
    "name_and_birth_date": "Known by name and birth date.",
    "name_only": "One athlete has this name. Confirm that it is the same person.",
    "several": "Several athletes fit. Choose the one that is meant.",
    "id_disagrees": "The id belongs to somebody with another name or birth date. Choose who is meant.",
    "birth_date_disagrees": "An athlete of this name has another birth date. Choose who is meant.",
    "unknown": "Nobody here fits. Create the athlete, or choose who is meant.",
    "nothing_given": "The file does not say whose throws these are.",
}


def name_key(text: str) -> tuple[str, ...]:
    """The words of a name, in any order, without accents, case, commas, hyphens and doubled spaces.

    “Family, Given” and “Given Family” are one name.
    """
    return tuple(sorted(re.findall(r"\w+", folded(text))))


def id_key(value: Any) -> str:
    """An id as text; a spreadsheet's 4711.0 is 4711."""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(str(value).split()).casefold()


def as_birth_date(value: Any) -> dt.date | None:
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    try:
        return dt.date.fromisoformat(str(value or "")[:10])
    except ValueError:
        return None


class AthleteIndex:
    """All present athletes by id and by name: load once for a file, ask for each of its athletes."""

    def __init__(self) -> None:
        self.by_id: dict[str, set[Athlete]] = defaultdict(set)
        self.by_name: dict[tuple[str, ...], list[Athlete]] = defaultdict(list)
        for athlete in Athlete.objects.prefetch_related("external_ids"):
            self.by_name[name_key(athlete.name)].append(athlete)
            for external in athlete.external_ids.all():
                self.by_id[id_key(external.value)].add(athlete)

    def match(self, reference: Mapping[str, Any]) -> AthleteMatch:
        """`reference`: id, name, birth_date (a date or ISO text), each as the file has it or missing."""
        words = name_key(str(reference.get("name") or ""))
        key = id_key(reference.get("id") if reference.get("id") is not None else "")
        born = as_birth_date(reference.get("birth_date"))
        if not key and not words:
            return AthleteMatch(None, (), "nothing_given")
        named = self.by_name.get(words, []) if words else []
        known = sorted(self.by_id.get(key, set()), key=lambda row: row.pk) if key else []
        if known:
            return _by_id(known, named, words, born)
        return _by_name(named, born)


def _by_id(known: list[Athlete], named: list[Athlete], words: tuple[str, ...], born: dt.date | None) -> AthleteMatch:
    if len(known) > 1:
        agreeing = [row for row in known if (words and row in named) or (born and row.birth_date == born)]
        return (
            AthleteMatch(agreeing[0], (), "id") if len(agreeing) == 1 else AthleteMatch(None, tuple(known), "several")
        )
    athlete = known[0]
    wrong_birth_date = born is not None and born != athlete.birth_date
    wrong_name = bool(words) and not _may_be_called(athlete, words)
    if wrong_birth_date or wrong_name:
        others = tuple(row for row in named if row != athlete)
        return AthleteMatch(None, (athlete, *others), "id_disagrees")
    return AthleteMatch(athlete, (), "id")


def _may_be_called(athlete: Athlete, words: tuple[str, ...]) -> bool:
    """With an id at hand a shortened given name is no contradiction: one shared word is enough."""
    return bool(set(words) & set(name_key(athlete.name)))


def _by_name(named: list[Athlete], born: dt.date | None) -> AthleteMatch:
    fitting = [row for row in named if born is not None and row.birth_date == born]
    if len(fitting) == 1:
        return AthleteMatch(fitting[0], (), "name_and_birth_date")
    if len(fitting) > 1:
        return AthleteMatch(None, tuple(fitting), "several")
    if not named:
        return AthleteMatch(None, (), "unknown")
    if born is not None:
        return AthleteMatch(None, tuple(named), "birth_date_disagrees")
    return AthleteMatch(None, tuple(named), "name_only" if len(named) == 1 else "several")


def match_athletes(reference: Mapping[str, Any], index: AthleteIndex | None = None) -> AthleteMatch:
    """Whom one reference means; give the index when there are many."""
    return (index or AthleteIndex()).match(reference)
