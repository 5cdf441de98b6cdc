"""Four athletes of the demonstration: one improves, one wobbles, one grows, one changes level. The answers differ."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import pytest
from django.core.management import call_command

from athletes.models import User
from athletes.today import facility_today
from desk.demo.cast import load_cast
from desk.demo.days import visits_by_day
from desk.demo.files import demo_files, level_of
from desk.demo.loading import load, receive
from desk.demo.numbers import values_of
from desk.demo.people import create_people
from metrics.catalogue import load_catalogue
from metrics.change.answer import really_changing, who_moved
from metrics.models import Finding
from metrics.selectors.session_changes import measurement_of
from tests.desk.test_demo import own_folder  # noqa: F401

IMPROVES, WOBBLES, GROWS, CHANGES_LEVEL = "Rasmussen", "Amoah", "Nakagawa", "Aroha"
ASKED = {
    IMPROVES: "elbow_flexion_fp",
    WOBBLES: "trunk_opening_time",
    GROWS: "stride_offset",
    CHANGES_LEVEL: "lead_knee_flexion_fp",
}
SESSIONS = 8
"""At least so many comparable sessions each."""

BY_CHANCE = 9
"""Of some seventy metrics of somebody who only wobbles: at 5% each more are called changed in 3 of 1,000 draws."""


@pytest.fixture
def four():
    cast = load_cast("tiny")
    return replace(cast, athletes=tuple(one for one in cast.athletes if one.name[1] in ASKED))


@pytest.fixture
def findings(own_folder, db, four) -> dict[tuple[str, str], list[Finding]]:  # noqa: F811
    """(family name, metric) → its findings in the order of their days, loaded and judged by the coach's own path."""
    today = facility_today()
    call_command("begin", verbosity=0)
    create_people(four, today)
    coach = User.objects.get(username="coach")
    for file in demo_files(four.athletes, today):
        load(receive(file, coach), file.room)
    found: defaultdict[tuple[str, str], list[Finding]] = defaultdict(list)
    rows = Finding.objects.filter(mean__isnull=False).select_related("session__athlete").order_by("session__date")
    for row in rows:
        found[row.session.athlete.family_name, row.metric].append(row)
    return found


def told(rows: Sequence[Finding]) -> tuple[str, str, str]:
    """Really changing, who moved, and what moved the range."""
    points = [point for row in rows if (point := measurement_of(row, row.session.date))]
    answer = really_changing(points)
    moved = who_moved(points, answer)
    first, last = rows[0], rows[-1]
    by = "by level" if first.rule_id != last.rule_id else "by height" if first.size_used != last.size_used else ""
    return str(answer.word), str(moved), by if "range" in str(moved) else ""


def test_the_four_are_told_apart_in_words(findings):
    asked = {name: findings[name, metric] for name, metric in ASKED.items()}
    assert all(len(rows) >= SESSIONS for rows in asked.values())
    assert {name: told(rows) for name, rows in asked.items()} == {
        IMPROVES: ("better", "the athlete moved", ""),
        WOBBLES: ("no real change", "neither moved", ""),
        GROWS: ("no real change", "the range moved", "by height"),
        CHANGES_LEVEL: ("no real change", "the range moved", "by level"),
    }
    level = asked[CHANGES_LEVEL]
    assert (level[0].zone, level[-1].zone, level[-1].side) == ("watch", "flag", "high")
    others = [told(rows)[1] for (name, _), rows in findings.items() if name == WOBBLES and len(rows) >= SESSIONS]
    assert len(others) > 50
    assert sum("athlete" in moved or "both" in moved for moved in others) <= BY_CHANCE


def test_nine_centimetres_are_grown(four):
    [story] = [one for one in four.athletes if one.name[1] == GROWS]
    assert story.grows_cm * 273 / 365.25 == pytest.approx(9.0, abs=0.1)


@pytest.mark.parametrize("days", [1, 3, 40, 200])
def test_the_numbers_are_the_same_on_whatever_day_the_demonstration_begins(four, days):
    """So that what the pages say of the four does not hang on the day on which somebody looks."""
    first = numbers_of(four.athletes, dt.date(2026, 4, 14))
    assert first
    assert numbers_of(four.athletes, dt.date(2026, 4, 14) + dt.timedelta(days=days)) == first


def numbers_of(athletes, today: dt.date) -> dict[tuple[str, int], list[float] | None]:
    metric_of = {name: load_catalogue().metric(metric) for name, metric in ASKED.items()}
    return {
        (name, visit.ordinal): values_of(metric_of[name], visit, level_of(visit.story, date, today), 180.0, 5)
        for (date, _), visits in visits_by_day(athletes, today).items()
        for visit in visits
        if (name := visit.story.name[1]) and (visit.story.holds_still or not visit.story.level_before)
    }
