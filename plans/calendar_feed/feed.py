"""The feed as one text: what RFC 5545 asks of a calendar, and the name and refresh properties of RFC 7986."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from plans.calendar_feed.lines import escaped, folded
from plans.calendar_feed.values import Entry, Feed

MEDIA_TYPE = "text/calendar; charset=utf-8"
"""RFC 5545, section 8.1. Without `method`: this is a calendar to read, no invitation."""

HEAD = ("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Moundbook//Follow-ups//EN", "CALSCALE:GREGORIAN")
EMPTY_ZONE = (
    "BEGIN:VTIMEZONE",
    "TZID:Etc/UTC",
    "BEGIN:STANDARD",
    "DTSTART:19700101T000000",
    "TZOFFSETFROM:+0000",
    "TZOFFSETTO:+0000",
    "END:STANDARD",
    "END:VTIMEZONE",
)
"""What stands in a feed without entries: the grammar of a calendar (section 3.6) asks for one component or more."""


def feed_text(feed: Feed) -> str:
    """The whole feed, entries by date and then UID: the same values give the same text, byte for byte as UTF-8."""
    lines = [*HEAD, f"NAME:{escaped(feed.name)}"]
    lines.append(f"REFRESH-INTERVAL;VALUE=DURATION:PT{feed.hours_between_looks}H")
    for entry in sorted(feed.entries, key=lambda one: (one.date, str(one.uuid))):
        lines += _event(entry)
    if not feed.entries:
        lines += EMPTY_ZONE
    lines.append("END:VCALENDAR")
    return "".join(map(folded, lines))


def _event(entry: Entry) -> Iterator[str]:
    """One all-day event. DTEND is the day after: it is not part of the event (RFC 5545, section 3.6.1).

    The UID is the bare UUID, as RFC 7986, section 5.3 asks. TRANSPARENT: a follow-up does not make its day busy.
    """
    yield "BEGIN:VEVENT"
    yield f"UID:{entry.uuid}"
    yield f"DTSTAMP:{_instant(entry.changed_at)}"
    yield f"LAST-MODIFIED:{_instant(entry.changed_at)}"
    yield f"SEQUENCE:{entry.sequence}"
    yield f"DTSTART;VALUE=DATE:{_day(entry.date)}"
    if entry.date < datetime.date.max:
        yield f"DTEND;VALUE=DATE:{_day(entry.date + datetime.timedelta(days=1))}"
    yield f"SUMMARY:{escaped(entry.title)}"
    if entry.text:
        yield f"DESCRIPTION:{escaped(entry.text)}"
    if entry.address:
        yield f"URL:{entry.address}"
    yield "CLASS:PRIVATE"
    yield "TRANSP:TRANSPARENT"
    yield f"STATUS:{'CANCELLED' if entry.is_cancelled else 'CONFIRMED'}"
    yield "END:VEVENT"


def _day(date: datetime.date) -> str:
    """Section 3.3.4; four digits of the year on every platform."""
    return f"{date.year:04}{date.month:02}{date.day:02}"


def _instant(moment: datetime.datetime) -> str:
    """Section 3.3.5, form 2: UTC, whole seconds."""
    utc = moment.astimezone(datetime.UTC)
    return f"{_day(utc.date())}T{utc.hour:02}{utc.minute:02}{utc.second:02}Z"
