"""The nightly seal of the view log: a hash chain in which a changed or missing row shows.

A seal covers every row after the one before it, up to the last row of its day (UTC): rows are taken by id, so a
row that was written a moment after midnight for the day before is covered by the next seal.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from hashlib import sha256

from django.db import transaction
from django.utils import timezone

from athletes.models import ViewLog, ViewLogSeal

FIRST_DIGEST = "0" * 64
FIELDS = ("id", "when", "who", "role", "athlete_uuid", "what", "request_reference")


@dataclass(frozen=True, slots=True)
class SealCheck:
    """`broken_on`: the first day whose rows no longer give their digest; None when the chain holds."""

    seals: int
    broken_on: dt.date | None

    @property
    def holds(self) -> bool:
        return self.broken_on is None


@transaction.atomic
def seal_day(day: dt.date) -> ViewLogSeal:
    """Seals all rows up to the end of that day, UTC. A day that is sealed stays as it is.

    Raises ValueError for a day that is not over, or that lies before the last seal.
    """
    if day >= timezone.now().astimezone(dt.UTC).date():
        raise ValueError(f"{day} is not over yet.")
    sealed = ViewLogSeal.objects.filter(day=day).first()
    if sealed:
        return sealed
    last = ViewLogSeal.objects.order_by("-day").first()
    if last and last.day > day:
        raise ValueError(f"{day} lies before the last seal, {last.day}.")
    after, digest = (last.last_id, last.digest) if last else (0, FIRST_DIGEST)
    end = dt.datetime.combine(day + dt.timedelta(days=1), dt.time.min, tzinfo=dt.UTC)
    newest = ViewLog.objects.filter(id__gt=after, when__lt=end).order_by("-id").values_list("id", flat=True).first()
    upto = newest or after
    return ViewLogSeal.objects.create(day=day, last_id=upto, digest=_digest(day, digest, after, upto))


def check_seals() -> SealCheck:
    """Computes the chain again from the rows as they are now."""
    after, digest = 0, FIRST_DIGEST
    seals = list(ViewLogSeal.objects.order_by("day"))
    for seal in seals:
        if _digest(seal.day, digest, after, seal.last_id) != seal.digest:
            return SealCheck(len(seals), seal.day)
        after, digest = seal.last_id, seal.digest
    return SealCheck(len(seals), None)


def _digest(day: dt.date, before: str, after: int, upto: int) -> str:
    """SHA-256 (FIPS 180-4) over the digest before, the day, and one JSON line a row."""
    chain = sha256(f"{before}\n{day.isoformat()}\n".encode())
    rows = ViewLog.objects.filter(id__gt=after, id__lte=upto).order_by("id").values_list(*FIELDS)
    for row in rows.iterator(chunk_size=2000):
        chain.update(json.dumps([_plain(value) for value in row], ensure_ascii=False).encode() + b"\n")
    return chain.hexdigest()


def _plain(value: object) -> object:
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat(timespec="microseconds")
    return value if isinstance(value, int | str) else str(value)
