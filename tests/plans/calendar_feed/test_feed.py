"""The feed as a whole: what the two standards ask of it, stable identity, changes, cancellations, what is refused."""

from __future__ import annotations

import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from plans.calendar_feed import BadEntry, Feed, feed_text
from tests.plans.calendar_feed.entries import CHANGED, entry, properties

OTHER = UUID("9d1c1a70-25f3-4b0c-8df2-5b7e2f6a0c11")


def written(*entries, **changes) -> str:
    return feed_text(Feed("Follow-ups", entries, **changes))


def values(text: str) -> dict[str, str]:
    return dict(properties(text))


def test_the_whole_feed_of_one_follow_up():
    """Every line, as RFC 5545 (3.6, 3.6.1, 3.8) and RFC 7986 (5.1, 5.7) have them."""
    assert written(entry(text="Motion capture, mound", address="https://example.org/plans/1/")) == "\r\n".join(
        [
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//Moundbook//Follow-ups//EN",
            "CALSCALE:GREGORIAN",
            "NAME:Follow-ups",
            "REFRESH-INTERVAL;VALUE=DURATION:PT6H",
            "BEGIN:VEVENT",
            "UID:3f0f6d1e-9f5a-4a43-8b61-0f7d8d1f2a10",
            "DTSTAMP:20261126T043015Z",
            "LAST-MODIFIED:20261126T043015Z",
            "SEQUENCE:0",
            "DTSTART;VALUE=DATE:20261208",
            "DTEND;VALUE=DATE:20261209",
            "SUMMARY:Look again: Ada Moreau",
            "DESCRIPTION:Motion capture\\, mound",
            "URL:https://example.org/plans/1/",
            "CLASS:PRIVATE",
            "TRANSP:TRANSPARENT",
            "STATUS:CONFIRMED",
            "END:VEVENT",
            "END:VCALENDAR",
            "",
        ]
    )


def test_a_feed_to_read_carries_no_method():
    """With METHOD programs would treat it as invitations to answer."""
    assert not any(name.startswith("METHOD") for name, _ in properties(written(entry())))


def test_what_must_not_stand_twice_stands_once():
    names = [name.split(";")[0] for name, _ in properties(written(entry()))]

    once = ["VERSION", "PRODID", "CALSCALE", "UID", "DTSTAMP", "DTSTART", "DTEND", "SEQUENCE", "STATUS", "SUMMARY"]
    assert {name: names.count(name) for name in once} == dict.fromkeys(once, 1)


def test_a_moved_follow_up_keeps_its_uid_and_counts_its_change():
    before = values(written(entry()))
    after = values(
        written(
            entry(date=datetime.date(2027, 1, 5), sequence=1, changed_at=CHANGED + datetime.timedelta(days=1)),
        )
    )

    assert before["UID"] == after["UID"]
    assert (before["SEQUENCE"], after["SEQUENCE"]) == ("0", "1")
    assert after["DTSTART;VALUE=DATE"] == "20270105"
    assert after["DTSTAMP"] == "20261127T043015Z"


def test_a_cancelled_follow_up_stays_and_says_so():
    assert values(written(entry(is_cancelled=True, sequence=2)))["STATUS"] == "CANCELLED"


def test_an_unchanged_feed_is_the_same_to_the_byte_whatever_order_it_came_in():
    one, two = entry(), entry(uuid=OTHER, date=datetime.date(2026, 12, 1))

    assert written(one, two) == written(two, one)
    assert [value for name, value in properties(written(one, two)) if name == "UID"] == [str(OTHER), str(one.uuid)]


@pytest.mark.parametrize(
    ("date", "end"),
    [
        ("2026-12-31", "20270101"),
        ("2028-02-28", "20280229"),
        ("2026-03-08", "20260309"),  # clocks of Chicago go forward: the day has 23 hours and is a day
        ("2026-11-01", "20261102"),  # and back: 25 hours
    ],
)
def test_the_end_is_the_day_after_and_not_part_of_it(date, end):
    """RFC 5545, section 3.6.1: a festival from 28 June to 8 July inclusive has a DTEND of 9 July."""
    assert values(written(entry(date=datetime.date.fromisoformat(date))))["DTEND;VALUE=DATE"] == end


def test_the_stamp_is_in_utc_whatever_zone_it_came_in():
    local = CHANGED.astimezone(ZoneInfo("America/Chicago"))

    assert values(written(entry(changed_at=local)))["DTSTAMP"] == "20261126T043015Z"


def test_a_feed_without_follow_ups_is_still_a_calendar():
    """The grammar (RFC 5545, section 3.6) wants one component or more: a time zone says nothing and is one."""
    lines = properties(written())

    assert ("BEGIN", "VEVENT") not in lines
    assert lines.index(("BEGIN", "VTIMEZONE")) < lines.index(("TZID", "Etc/UTC")) < lines.index(("END", "VTIMEZONE"))
    assert lines[-1] == ("END", "VCALENDAR")


def test_a_name_cannot_write_lines_of_its_own():
    text = written(entry(title="Ada\r\nSTATUS:CANCELLED\r\nEND:VEVENT"))

    assert [value for name, value in properties(text) if name == "STATUS"] == ["CONFIRMED"]
    assert properties(text).count(("END", "VEVENT")) == 1


def test_the_longest_names_are_folded_and_come_back():
    name = "Żółć-Ørsted Ní Chonghaile " * 8
    text = written(entry(title=name))

    assert max(len(line) for line in text.encode().split(b"\r\n")) == 75
    assert values(text)["SUMMARY"] == name


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"changed_at": CHANGED.replace(tzinfo=None)}, "no time zone"),
        ({"date": CHANGED}, "carries a time of day"),
        ({"sequence": -1}, "no count of changes"),
        ({"sequence": 2**31}, "no count of changes"),
        ({"title": " \n"}, "no title"),
        ({"address": "https://example.org/a b"}, "Encode it"),
        ({"address": "https://example.org/\r\nSTATUS:CANCELLED"}, "Encode it"),
    ],
)
def test_an_entry_that_no_calendar_could_show_is_refused_by_name(changes, sentence):
    with pytest.raises(BadEntry, match=sentence) as refused:
        entry(**changes)

    assert "3f0f6d1e-9f5a-4a43-8b61-0f7d8d1f2a10" in str(refused.value)


def test_one_follow_up_cannot_stand_twice():
    with pytest.raises(BadEntry, match="more than once"):
        Feed("Follow-ups", [entry(), entry(sequence=1)])


def test_a_calendar_is_not_read_without_pause():
    with pytest.raises(BadEntry, match="an hour or more"):
        Feed("Follow-ups", [], hours_between_looks=0)
