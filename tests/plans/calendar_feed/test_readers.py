"""The feed read back by two parsers that are not ours: `icalendar` and `vobject`, each where it is installed."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.calendar_feed import Feed, feed_text
from tests.plans.calendar_feed.entries import CHANGED, entry
from tests.plans.calendar_feed.test_feed import OTHER

TITLE = "Look again; Ada, “Łódź” \\ 漢字 🙂 " * 6
TEXT = "Motion capture, mound.\nThe same conditions as on 3 November; nothing else counts."


def two_follow_ups() -> str:
    one = entry(title=TITLE, text=TEXT, address="https://example.org/plans/1/", sequence=3)
    return feed_text(Feed("Follow-ups", [one, entry(uuid=OTHER, is_cancelled=True)]))


def test_icalendar_reads_back_what_was_given():
    icalendar = pytest.importorskip("icalendar", reason="the reader icalendar is not installed")
    calendar = icalendar.Calendar.from_ical(two_follow_ups())
    first, second = calendar.walk("VEVENT")

    assert calendar.errors == first.errors == second.errors == []
    assert (str(calendar["NAME"]), calendar["REFRESH-INTERVAL"].dt) == ("Follow-ups", datetime.timedelta(hours=6))
    assert (str(first["SUMMARY"]), str(first["DESCRIPTION"])) == (TITLE, TEXT)
    assert (first["DTSTART"].dt, first["DTEND"].dt) == (datetime.date(2026, 12, 8), datetime.date(2026, 12, 9))
    assert (first["DTSTAMP"].dt, int(first["SEQUENCE"])) == (CHANGED, 3)
    assert (str(first["UID"]), str(first["STATUS"])) == (str(entry().uuid), "CONFIRMED")
    assert (str(second["UID"]), str(second["STATUS"])) == (str(OTHER), "CANCELLED")


def test_vobject_reads_back_what_was_given_and_finds_it_valid():
    vobject = pytest.importorskip("vobject", reason="the reader vobject is not installed")
    calendar = vobject.readOne(two_follow_ups())
    first, second = calendar.vevent_list

    assert calendar.validate(raiseException=True)
    assert (first.summary.value, first.description.value) == (TITLE, TEXT)
    assert (first.dtstart.value, first.dtend.value) == (datetime.date(2026, 12, 8), datetime.date(2026, 12, 9))
    assert (first.dtstamp.value, first.sequence.value) == (CHANGED, "3")
    assert (first.uid.value, first.status.value) == (str(entry().uuid), "CONFIRMED")
    assert (second.uid.value, second.status.value) == (str(OTHER), "CANCELLED")


@settings(deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=200))
def test_both_read_any_title(title):
    icalendar = pytest.importorskip("icalendar", reason="the reader icalendar is not installed")
    vobject = pytest.importorskip("vobject", reason="the reader vobject is not installed")
    text = feed_text(Feed("Follow-ups", [entry(title=f"x{title}x")]))

    assert str(icalendar.Calendar.from_ical(text).walk("VEVENT")[0]["SUMMARY"]) == f"x{title}x"
    assert vobject.readOne(text).vevent.summary.value == f"x{title}x"


def test_both_read_a_feed_without_follow_ups():
    icalendar = pytest.importorskip("icalendar", reason="the reader icalendar is not installed")
    vobject = pytest.importorskip("vobject", reason="the reader vobject is not installed")
    text = feed_text(Feed("Follow-ups", []))

    assert icalendar.Calendar.from_ical(text).walk("VEVENT") == []
    assert "vevent" not in vobject.readOne(text).contents
