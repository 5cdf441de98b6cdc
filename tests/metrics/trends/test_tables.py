"""The numbers over time as a table to take away, and what the chart with pan and zoom is drawn from."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest
from django.urls import reverse

from metrics.selectors.trends.rows import MOST_SESSIONS
from metrics.selectors.trends.tables import HEAD
from tests import factories
from tests.metrics.trends.courses import ELBOW, KNEE, START, WEEK, course, finding_in, session_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(facility, client_of):
    return client_of(factories.UserFactory(role="coach"))


def rows_of(client, athlete, asked: str = "") -> list[dict[str, str]]:
    answer = client.get(reverse("metrics:trends-csv", args=[athlete.uuid]) + asked)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_every_finding_is_a_row_with_its_range_and_whether_it_is_comparable(client, athlete):
    for capture in course(athlete, [104.0, 101.5]):
        finding_in(capture, -20.0, KNEE)
    rows = rows_of(client, athlete)
    assert tuple(rows[0]) == HEAD
    assert [(row["metric"], row["date"], row["mean"]) for row in rows if row["metric"] == ELBOW] == [
        (ELBOW, "2026-01-05", "104.0"),
        (ELBOW, "2026-01-12", "101.5"),
    ]
    assert {row["target_low"] for row in rows} == {"90.0"}
    assert {row["comparable_with_latest"] for row in rows} == {"yes"}
    assert {row["metric"] for row in rows} == {ELBOW, KNEE}


def test_one_metric_alone_has_all_its_sessions_also_those_that_the_page_does_not_draw(client, athlete):
    sessions = course(athlete, [100.0] * (MOST_SESSIONS + 2))
    finding_in(sessions[0], -20.0, KNEE)
    rows = rows_of(client, athlete, f"?metric={ELBOW}")
    assert len(rows) == MOST_SESSIONS + 2
    assert {row["metric"] for row in rows} == {ELBOW}


def test_all_metrics_have_the_sessions_that_the_page_draws(client, athlete, monkeypatch):
    monkeypatch.setattr("metrics.selectors.trends.tables.MOST_SESSIONS", 3)
    course(athlete, [101.0, 102.0, 103.0, 104.0, 105.0])
    assert [row["mean"] for row in rows_of(client, athlete)] == ["103.0", "104.0", "105.0"]


def test_a_metric_that_was_never_measured_is_not_there(client, athlete):
    course(athlete, [100.0])
    assert client.get(reverse("metrics:trends-csv", args=[athlete.uuid]) + "?metric=nonsense").status_code == 404


def test_a_method_is_never_mixed_with_another(client, athlete):
    course(athlete, [100.0])
    finding_in(session_on(athlete, START + WEEK, method="video"), 50.0)
    assert [row["mean"] for row in rows_of(client, athlete, "?method=video")] == ["50.0"]


def test_an_athlete_without_sessions_gets_the_head_alone(client, athlete):
    assert rows_of(client, athlete) == []


def test_the_zooming_chart_is_drawn_from_the_same_numbers_as_the_table(client, athlete):
    course(athlete, [104.0, 101.0, 97.0, 92.0, 88.0, 84.0])
    html = client.get(reverse("metrics:trends", args=[athlete.uuid])).content.decode()
    data = json.loads(re.search(r'<script id="trend-data" type="application/json">(.*?)</script>', html)[1])
    assert [point["mean"] for point in data["points"]] == [104.0, 101.0, 97.0, 92.0, 88.0, 84.0]
    assert data["points"][0]["half"] == pytest.approx(1.96 * 1.2)
    assert data["stretches"] == [["2026-01-05", "2026-02-09", 90.0, 110.0, 85.0, 115.0]]
    assert data["fitted"][0][0] == "2026-01-05"
    assert data["points"][0]["said"].startswith("5 January 2026, 104° ± 2")
