"""What a person chooses in the preview: conditions for all throws, warm-ups, what is missing in the file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from metrics.importing.conditions import Conditions
from metrics.importing.readings import ACCEPT_ALL
from metrics.importing.recipes import Recipe
from metrics.importing.throws import AthleteReference, ImportedGroup, ImportedTable, ImportedThrow


@dataclass(frozen=True)
class Answers:
    """Choices over one upload. Empty or None leaves the file's and the recipe's word.

    `conditions` hold for every throw of the upload. The first `warm_up_first` throws of each group are
    warm-ups unless the file itself gives their intent. `date` is for groups without one.
    """

    conditions: Conditions = field(default_factory=Conditions)
    warm_up_first: int | None = None
    accept_implausible: bool = False
    date: dt.date | None = None

    def to_json(self) -> dict[str, Any]:
        return asdict(self) | {"date": self.date.isoformat() if self.date else None}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Answers:
        return cls(
            Conditions.from_json(data.get("conditions", {})),
            data.get("warm_up_first"),
            bool(data.get("accept_implausible", False)),
            dt.date.fromisoformat(data["date"]) if data.get("date") else None,
        )


def answered_recipe(recipe: Recipe, answers: Answers) -> Recipe:
    """The recipe for this upload alone: with implausible values accepted where the person said so."""
    accepted = (ACCEPT_ALL,) if answers.accept_implausible else recipe.accept_implausible
    warm_ups = recipe.warm_up_first if answers.warm_up_first is None else answers.warm_up_first
    return replace(recipe, accept_implausible=accepted, warm_up_first=warm_ups)


def answer_table(table: ImportedTable, answers: Answers) -> ImportedTable:
    """The table with the person's choices in every throw. Made from `answered_recipe`'s table."""
    return replace(table, groups=tuple(_answered_group(group, answers) for group in table.groups))


def _answered_group(group: ImportedGroup, answers: Answers) -> ImportedGroup:
    throws = tuple(_answered_throw(throw, answers) for throw in group.throws)
    return replace(group, date=group.date or answers.date, throws=throws)


def _answered_throw(throw: ImportedThrow, answers: Answers) -> ImportedThrow:
    """A chosen intent does not undo the warm-ups that were chosen beside it."""
    chosen = answers.conditions
    if throw.conditions.intent == "warm_up" and not throw.intent_from_file:
        chosen = replace(chosen, intent="", intent_percent=None)
    return replace(throw, conditions=chosen.over(throw.conditions))


def name_athlete(group: ImportedGroup, reference: AthleteReference) -> ImportedGroup:
    """The group of a file that names nobody, given to an athlete."""
    return replace(group, athlete=reference) if group.athlete.is_empty else group
