"""The main navigation of each role, and the words of numbers and days."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import RequestFactory

from athletes.words import counted, day_words, number_word
from desk.context import navigation
from desk.words import days_ago
from tests import factories

LABELS = {
    "admin": ["Today", "Roster", "Follow-ups", "Upload", "Library", "Range profiles", "Cause links"],
    "coach": ["Today", "Roster", "Follow-ups", "Upload", "Library"],
    "visiting_coach": ["Your groups"],
    "clinician": ["Your athletes", "Library"],
    "athlete": [],
    "guardian": [],
}


def shown_to(role: str, path: str = "/"):
    request = RequestFactory().get(path)
    request.user = factories.UserFactory.build(role=role)
    return navigation(request)


@pytest.mark.parametrize("role", LABELS)
def test_each_role_has_its_places(role):
    assert [item.label for item in shown_to(role)["nav"]] == LABELS[role]


@pytest.mark.parametrize(
    ("path", "open_place"),
    [
        ("/", "Today"),
        ("/roster/", "Roster"),
        ("/athletes/x/", "Roster"),
        ("/follow-ups/x/", "Follow-ups"),
        ("/uploads/", "Upload"),
        ("/search/", None),
    ],
)
def test_one_place_at_most_is_open(path, open_place):
    items = shown_to("coach", path)["nav"]
    assert [item.label for item in items if item.current] == ([open_place] if open_place else [])


@pytest.mark.parametrize(
    ("role", "may"), [("coach", True), ("clinician", True), ("athlete", False), ("guardian", False)]
)
def test_the_family_is_offered_no_search(role, may):
    assert shown_to(role)["may_search"] is may


def test_the_field_keeps_what_was_searched_for_on_its_own_page_only():
    assert shown_to("coach", "/search/?q=eze")["search_query"] == "eze"
    assert shown_to("coach", "/roster/?q=eze")["search_query"] == ""


def test_numbers_and_days_are_said_as_people_say_them():
    today = dt.date(2026, 4, 14)
    assert [number_word(number) for number in (1, 12, 13, 1300)] == ["one", "twelve", "13", "1,300"]
    assert [counted(1, "throw"), counted(2, "throw"), counted(2, "file is", "files are")] == [
        "1 throw", "2 throws", "2 files are",
    ]  # fmt: skip
    assert [day_words(dt.date(2026, 4, 4), today), day_words(dt.date(2025, 12, 31), today)] == [
        "4 April",
        "31 December 2025",
    ]
    assert [days_ago(today - dt.timedelta(days=days), today) for days in (0, 1, 12)] == [
        "today", "yesterday", "12 days ago",
    ]  # fmt: skip
