"""What works here, as it was worked out last, and what one athlete has tried: what the order of suggestions asks."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import cast

from django.core.cache import cache
from redis.exceptions import RedisError

from athletes.models import Athlete
from plans.library import WorkedHere
from plans.library.ranking import NONE_WORKED, Worked
from plans.models import FollowUp
from plans.responding.values import ResponseWord
from plans.responding.works_here import Table

log = logging.getLogger(__name__)

KEPT_AS = "works-here-1"
"""Raise the number when the form of the table changes: an older release's table is then never read."""
ASKED_AS = "works-here-asked"

OUTCOME_OF: Mapping[str, str] = MappingProxyType(
    {
        ResponseWord.BETTER: "better",
        ResponseWord.NO_REAL_CHANGE: "no_change",
        ResponseWord.WORSE: "worse",
        ResponseWord.CANT_TELL: "cannot_tell",
    }
)
"""What a response says → a word of plans.library.words.OUTCOMES. *Not comparable* says nothing yet."""


@dataclass(frozen=True, slots=True)
class KeptTable:
    """The table and when it was worked out."""

    table: Table
    at: dt.datetime


def kept_table() -> KeptTable | None:
    """None before it was worked out for the first time, or while its memory is away: the next night makes it again."""
    try:
        return cast("KeptTable | None", cache.get(KEPT_AS))
    except RedisError as error:
        log.warning("What works here could not be asked for: %s", error)
        return None


def worked_here() -> Worked:
    """(key of an intervention, flag) → what it came to here; nothing of what fewer than five athletes had."""
    kept = kept_table()
    if kept is None:
        return NONE_WORKED
    found = {}
    for cell in kept.table.cells:
        if not cell.with_work.hidden:
            share = cell.with_work.shares[ResponseWord.BETTER]
            count = cell.with_work.counts[ResponseWord.BETTER]
            place = (str(cell.intervention), (cell.flag.metric, cell.flag.side))
            found[place] = WorkedHere(cell.with_work.total, count, share.low)
    return found


def tried_by(athlete: Athlete) -> dict[str, str]:
    """Key of an intervention → what it came to for this athlete the last time, a word of OUTCOMES. One query."""
    rows = (
        FollowUp.objects.filter(prescription__athlete=athlete, prescription__withdrawn_at=None)
        .order_by("prescription__start", "due", "pk")
        .values_list("prescription__version__intervention__key", "decision", "decided_on", "response__word")
    )
    found = {}
    for key, decision, decided_on, word in rows:
        said = (decided_on or {}).get("word", "") if decision else word
        if outcome := OUTCOME_OF.get(said):
            found[key] = outcome
    return found
