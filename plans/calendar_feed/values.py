"""What a feed is made of: one entry a follow-up, and the calendar around them."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

MOST_CHANGES = 2**31 - 1
"""SEQUENCE is an integer of RFC 5545, section 3.3.8: at most 2147483647."""


class BadEntry(ValueError):
    """An entry or feed that no calendar could show; the sentence says which and what to do."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One follow-up, which lasts the whole of `date` (the facility's day; an all-day event has no zone).

    `uuid` is the follow-up's own and becomes the UID: never another one for the same follow-up, or calendars show
    it twice. `sequence` rises by one with each change that a reader must notice, a new date or a cancellation.
    `changed_at` is when this follow-up was last changed, with a zone: without METHOD that is what DTSTAMP means (RFC
    5545, section 3.8.7.2), so that reading an unchanged feed twice gives the same bytes. `address`: its page, or "".
    A cancelled one stays in the feed, marked; one that only vanished might stay in a calendar that keeps copies.
    """

    uuid: UUID
    date: datetime.date
    title: str
    changed_at: datetime.datetime
    sequence: int = 0
    text: str = ""
    address: str = ""
    is_cancelled: bool = False

    def __post_init__(self) -> None:
        if isinstance(self.date, datetime.datetime):
            raise BadEntry(f"Follow-up {self.uuid}: the date carries a time of day. Give the day alone.")
        if self.changed_at.utcoffset() is None:
            raise BadEntry(f"Follow-up {self.uuid}: when it was changed has no time zone. Give an instant with one.")
        if not 0 <= self.sequence <= MOST_CHANGES:
            raise BadEntry(f"Follow-up {self.uuid}: {self.sequence} is no count of changes. Count from 0.")
        if not self.title.strip():
            raise BadEntry(f"Follow-up {self.uuid}: it has no title. Write what is to be looked at.")
        if any(ord(sign) <= 32 or ord(sign) > 126 for sign in self.address):
            raise BadEntry(f"Follow-up {self.uuid}: its address holds a sign that no address may. Encode it first.")


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar: its name as programs show it, how often to look again (hours), and its entries in any order."""

    name: str
    entries: Sequence[Entry]
    hours_between_looks: int = 6

    def __post_init__(self) -> None:
        if self.hours_between_looks < 1:
            raise BadEntry("A calendar is read again after an hour or more: give a whole number of hours from 1 up.")
        twice = len(self.entries) - len({entry.uuid for entry in self.entries})
        if twice:
            raise BadEntry("A follow-up stands in the feed more than once. Give each one once.")
