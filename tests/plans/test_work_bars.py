"""Work as bars above the trends: when it ran, for which metric, and where today and the follow-up lie."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from athletes.models import ViewLog
from plans.selectors.work_bars import LEAST, WIDTH, work_bars
from tests.factories import DAY
from tests.factories.plans import InterventionVersionFactory, PrescriptionFactory
from tests.plans.conftest import METRIC, WEEK
from tests.plans.plan_scenes import ROCK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def given(athlete, version):
    """Ten weeks ago somebody was measured; work ran for five weeks from then on, other work runs to week ten."""
    other = InterventionVersionFactory(intervention__key=ROCK)
    ended = PrescriptionFactory(
        athlete=athlete, version=version, start=DAY - 10 * WEEK, ended_on=DAY - 5 * WEEK, ending="closed", due="never",
        reason={"metric": METRIC},
    )  # fmt: skip
    runs = PrescriptionFactory(
        athlete=athlete, version=other, start=DAY - 5 * WEEK, due=DAY + 10 * WEEK, reason={"metric": "stride_length"}
    )
    return ended, runs


def test_bars_lie_where_their_days_lie(athlete, given):
    bars = work_bars(athlete, DAY)
    assert (bars.first, bars.last, bars.today) == (DAY - 10 * WEEK, DAY + 10 * WEEK, WIDTH // 2)
    ended, runs = bars.bars
    assert (ended.left, ended.width, ended.due, ended.is_open) == (0, WIDTH // 4, None, False)
    assert (runs.left, runs.width, runs.due, runs.is_open) == (WIDTH // 4, WIDTH // 4, WIDTH, True)
    assert runs.answers == "Stride length, landing: short"


def test_the_picture_begins_with_the_first_session_that_was_thrown_in(athlete, given, measure):
    measure(athlete, DAY - 30 * WEEK, 90)
    bars = work_bars(athlete, DAY)
    assert bars.first == DAY - 30 * WEEK
    assert bars.bars[0].left == WIDTH // 2


def test_of_one_metric_only_what_answers_it_is_drawn(athlete, given):
    assert [bar.name for bar in work_bars(athlete, DAY, metric=METRIC).bars] == [given[0].version.name]
    assert work_bars(athlete, DAY, metric="hip_ir_front") is None


def test_work_of_no_day_and_work_ahead_are_still_seen(athlete, version):
    PrescriptionFactory(athlete=athlete, version=version, start=DAY + WEEK, due=DAY + 2 * WEEK)
    (bar,) = work_bars(athlete, DAY).bars
    assert bar.width == LEAST
    assert bar.when == f"{(DAY + WEEK).day} April, begins then"


def test_somebody_without_work_has_an_empty_part(athlete, client_of, coach):
    assert work_bars(athlete, DAY) is None
    assert client_of(coach).get(reverse("plans:bars", args=[athlete.uuid])).content.strip() == b""


def test_as_many_queries_for_many_as_for_one(athlete, given, django_assert_num_queries):
    with django_assert_num_queries(4):
        work_bars(athlete, DAY)
    for days in range(5):
        PrescriptionFactory(
            athlete=athlete, version=given[0].version, start=DAY - dt.timedelta(days=days), ended_on=DAY,
            ending="closed", due="never",
        )  # fmt: skip
    with django_assert_num_queries(4):
        assert len(work_bars(athlete, DAY).bars) == 7


def test_the_trends_page_asks_for_them_and_notes_one_look(athlete, given, measure, client_of, coach):
    measure(athlete, DAY - WEEK, 90)
    client = client_of(coach)
    address = reverse("plans:bars", args=[athlete.uuid])
    assert f'hx-get="{address}"' in client.get(reverse("metrics:trends", args=[athlete.uuid])).content.decode()
    before = ViewLog.objects.count()
    answer = client.get(address).content.decode()
    assert "Work over these weeks" in answer
    assert given[1].version.name in answer
    assert ViewLog.objects.count() == before
