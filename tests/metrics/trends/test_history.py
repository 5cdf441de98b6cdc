"""The flag history: which sessions are in view, what each mark says, how it is read by the ear and by keys."""

from __future__ import annotations

import pytest
from django.urls import reverse

from metrics.selectors.trends.choice import Choice, choice_from
from metrics.selectors.trends.history import History
from metrics.selectors.trends.page import trends_page
from tests import factories
from tests.metrics.drawing.svg import of_class
from tests.metrics.trends.courses import (
    ELBOW,
    FLAT,
    KNEE,
    RECORD,
    SEPARATION,
    START,
    WEEK,
    course,
    finding_in,
    session_on,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def reader(facility):
    return factories.UserFactory(role="coach")


def history_of(athlete, reader, **asked: str) -> History:
    found = trends_page(athlete, reader, choice_from(asked), system="metric").history
    assert found is not None
    return found


def test_the_newest_twelve_sessions_are_in_view_and_older_ones_a_step_back(reader, athlete):
    sessions = course(athlete, [100.0] * 30)
    first = history_of(athlete, reader)
    assert [column.date for column in first.columns] == [one.date for one in sessions[18:]]
    assert (first.newer, first.older) == ("", "?older=1#history")
    second = history_of(athlete, reader, older="1")
    assert [column.date for column in second.columns] == [one.date for one in sessions[6:18]]
    third = history_of(athlete, reader, older="2")
    assert [column.date for column in third.columns] == [one.date for one in sessions[:6]]
    assert (third.newer, third.older) == ("?older=1#history", "")
    assert [column.is_latest for column in first.columns].count(True) == 1
    assert not any(column.is_latest for column in third.columns)


@pytest.mark.parametrize("asked", ["99", "-1", "x", "1e3", "٣", ""])
def test_a_step_that_is_none_shows_sessions_all_the_same(reader, athlete, asked):
    course(athlete, [100.0] * 14)
    assert history_of(athlete, reader, older=asked).columns


def test_each_mark_says_its_value_and_verdict_and_leads_to_how_it_was_decided(reader, athlete):
    (capture,) = course(athlete, [78.0], flag=True)
    ((line,),) = [history_of(athlete, reader).lines]
    (cell,) = line.cells
    assert cell.name == "5 January 2026: 78°, flag low, sure"
    assert cell.url == reverse("metrics:finding", args=[capture.uuid, ELBOW])
    assert len(of_class(cell.mark, "k-flag")) == 1


@pytest.mark.parametrize(
    ("confirmation", "record", "kind", "words"),
    [
        ("to_confirm", {"new": True}, "new", "new, to confirm"),
        ("to_confirm", {"new": False}, "new", "to confirm"),
        ("confirmed", {"new": True}, "confirmed", "new, confirmed"),
        ("confirmed", {"new": False}, "confirmed", "confirmed"),
        ("recurring", {"flags_among_last": 2, "among_last": 3}, "recurring", "recurring, 2 of 3"),
    ],
)
def test_new_confirmed_and_recurring_are_outlined_and_said(reader, athlete, confirmation, record, kind, words):
    course(athlete, [78.0], flag=True, confirmation=confirmation, decision=RECORD | record)
    (line,) = history_of(athlete, reader).lines
    assert kind in line.cells[0].kind.split()
    assert line.standing == words
    assert line.is_flagged


def test_a_likelier_flag_of_which_it_cannot_be_told_is_not_outlined(reader, athlete):
    course(athlete, [86.0], zone="flag", side="low", sure="cant_tell", other_zone="watch", confirmation="to_confirm")
    (line,) = history_of(athlete, reader).lines
    assert "new" not in line.cells[0].kind.split()
    assert line.cells[0].name.endswith("can’t tell, watch or flag")


def test_what_is_not_comparable_is_paler_and_says_why(reader, athlete):
    odd = session_on(athlete, START)
    odd.scoring.for_orientation = True
    odd.scoring.save()
    finding_in(odd, 70.0, condition_set=FLAT)
    course(athlete, [100.0], start=START + WEEK)
    (line,) = history_of(athlete, reader).lines
    assert ["pale" in cell.kind.split() for cell in line.cells] == [True, False]
    assert line.cells[0].name.endswith("stands apart, other conditions: flat ground")


def test_rows_go_by_what_is_off_or_by_the_part_of_the_body(reader, athlete):
    for capture in course(athlete, [100.0], metric=ELBOW):
        finding_in(capture, 40.0, SEPARATION, weight=2.0)
        finding_in(capture, -20.0, KNEE, flag=True)

    def names(**asked: str) -> list[str]:
        return [line.name for line in history_of(athlete, reader, **asked).lines]

    assert names() == ["Lead knee extension", "Elbow flexion", "Hip-shoulder separation"]
    assert names(order="delivery") == ["Lead knee extension", "Hip-shoulder separation", "Elbow flexion"]


def test_a_metric_beyond_first_look_is_listed_once_it_was_flagged(reader, athlete):
    for place, capture in enumerate(course(athlete, [100.0, 100.0])):
        finding_in(capture, 30.0, "elbow_flexion_br", **({"flag": True} if place == 0 else {}))
        finding_in(capture, 30.0, "elbow_flexion_mer")
    assert [line.name for line in history_of(athlete, reader).lines] == ["Elbow flexion", "Elbow flexion"]


def test_a_level_that_begins_between_two_sessions_is_a_line_with_its_words(reader, athlete):
    factories.LevelPeriodFactory(athlete=athlete, level="youth", valid_from=START - WEEK)
    factories.LevelPeriodFactory(athlete=athlete, level="high_school", valid_from=START + WEEK)
    course(athlete, [100.0, 100.0, 100.0])
    history = history_of(athlete, reader)
    assert [bool(column.step) for column in history.columns] == [False, True, False]
    assert history.steps == ("ranges for high school from 12 January 2026",)


def test_its_numbers_can_stand_beside_the_marks(reader, athlete, client_of):
    course(athlete, [78.0], flag=True)
    page = reverse("metrics:trends", args=[athlete.uuid])
    plain, numbers = (client_of(reader).get(page + asked).content.decode() for asked in ("", "?values=1"))
    assert '<span class="num">78°</span>' not in plain
    assert '<span class="num">78°</span>' in numbers


def test_links_keep_what_was_chosen():
    choice = choice_from({"metric": "a b", "all": "1", "order": "delivery", "unknown": "x"})
    assert choice.link("history", older="2") == "?metric=a+b&order=delivery&all=1&older=2#history"
    assert choice.link(metric="", order="", all="") == "?"
    assert Choice(older="7").steps_back == 7
