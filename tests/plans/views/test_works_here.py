"""The page of what works here: numbers only of groups, said with their doubt, and nobody singled out."""

from __future__ import annotations

import csv
import io

import pytest
from django.core.cache import cache
from redis.exceptions import RedisError

from plans import works_here_asked as asking
from plans.responding.shares import newcombe, wilson
from plans.selectors.works_here_page import more_words
from plans.services.works_here import work_out_table
from tests.plans.conftest import METRIC
from tests.plans.roster import CLEARED, SAME, flagged, roster

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
URL = "/works-here/"


@pytest.fixture(autouse=True)
def empty_memory():
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def broker(monkeypatch):
    """Answers, and keeps what it is sent."""
    sent = []
    monkeypatch.setattr(asking, "broker_answers", lambda: True)
    monkeypatch.setattr("plans.tasks.work_out_what_works.delay", lambda: sent.append("work out"))
    return sent


@pytest.fixture
def no_broker(monkeypatch):
    monkeypatch.setattr(asking, "broker_answers", lambda: False)


def text(client, **asked) -> str:
    return " ".join(client.get(URL, asked).content.decode().split())


def table(client, **asked) -> list[dict[str, str]]:
    answer = client.get(f"{URL}table.csv", asked)
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


@pytest.fixture
def twelve_against_eight():
    """Nine of twelve better with the work, one of eight without."""
    roster(better=9, same=2, worse=1)
    for later in [CLEARED] + [SAME] * 7:
        flagged(later)
    work_out_table()


@pytest.mark.usefixtures("twelve_against_eight")
def test_counts_shares_and_intervals_of_both_sides_stand_there(client_of, coach):
    page = text(client_of(coach))
    share = wilson(9, 12)
    assert "<b>9</b> of 12, 75%" in page
    assert f"{round(100 * share.low)} to {round(100 * share.high)}%" in page
    assert "<b>1</b> of 8, 12%" in page


@pytest.mark.usefixtures("twelve_against_eight")
def test_better_is_claimed_for_the_difference_alone(client_of, coach):
    difference = newcombe(9, 12, 1, 8)
    low, high = more_words(difference.low), more_words(difference.high)
    said = f"<b>More often better than without.</b> Of 100 athletes 62 more got better, likely {low} to {high}."
    assert difference.low > 0
    assert said in text(client_of(coach))


@pytest.mark.usefixtures("twelve_against_eight")
def test_the_file_has_the_same_numbers(client_of, coach):
    (row,) = table(client_of(coach))
    assert (row["athletes, with it"], row["better, with it"], row["better, without"]) == ("12", "9", "1")
    assert float(row["better from, with it"]) == round(wilson(9, 12).low, 3)
    assert float(row["better, difference of shares"]) == round(9 / 12 - 1 / 8, 3)
    assert row["What may be said"] == "more often better than without"


@pytest.mark.usefixtures("twelve_against_eight")
def test_it_warns_that_a_coach_chose_and_of_chance(client_of, coach):
    page = text(client_of(coach))
    assert "A coach chose who got what." in page
    assert "1 comparison could be made" in page
    assert "almost none of them" in page


def test_nobody_is_named_or_singled_out(client_of, coach):
    """No name, no address of an athlete; four athletes with work are no row, four without are no number."""
    given = roster(better=5)
    alone = roster(better=4, key="slow_step_down")
    others = [flagged(SAME)[0] for _ in range(4)]
    work_out_table()
    page, rows = text(client_of(coach)), table(client_of(coach))
    people = [one.athlete for one in (*given, *alone)] + others
    assert not any(str(one.uuid) in page or one.family_name in page for one in people)
    assert "slow_step_down" not in page
    assert len(rows) == 1
    assert (rows[0]["athletes, without"], rows[0]["better, without"]) == ("under 5", "")
    assert "4" not in {value for name, value in rows[0].items() if "without" in name}
    assert "fewer than 5 athletes over about as many weeks, not shown" in page
    assert "Too few athletes to compare." in page


def test_it_is_narrowed_by_flag_and_kind(client_of, coach):
    roster(better=5)
    work_out_table()
    client = client_of(coach)
    assert len(table(client, **{"for": METRIC})) == 1
    assert table(client, **{"for": "stride_length"}) == []
    assert table(client, kind="drill") == []
    assert "Nothing of this" in text(client, kind="drill")


def test_what_was_withdrawn_since_is_still_told(client_of, coach, admin):
    given = roster(better=5)
    row = given[0].version.intervention
    row.mark_withdrawn(admin, "")
    row.save()
    work_out_table()
    assert len(table(client_of(coach))) == 1


@pytest.mark.usefixtures("twelve_against_eight")
def test_the_page_asks_as_much_for_any_number_of_athletes(client_of, coach, django_assert_max_num_queries):
    client = client_of(coach)
    with django_assert_max_num_queries(5):
        client.get(URL)


# ---- when it is worked out ------------------------------------------------------------------------------


def test_the_first_who_asks_has_it_worked_out_by_the_worker_once(client_of, coach, broker):
    client = client_of(coach)
    assert "Being worked out now." in text(client)
    assert "Being worked out now." in text(client)
    assert broker == ["work out"]
    work_out_table()
    assert "Worked out on" in text(client)


def test_it_is_worked_out_again_when_somebody_asks(client_of, coach, broker):
    roster(better=5)
    work_out_table()
    client = client_of(coach)
    page = client.post(f"{URL}again/", follow=True).content.decode()
    assert broker == ["work out"]
    assert "Being worked out now." in page
    assert "<b>5</b> of 5" in page


@pytest.mark.usefixtures("no_broker")
def test_without_a_worker_it_says_so(client_of, coach):
    client = client_of(coach)
    assert "Not worked out yet" in text(client)
    assert "tried again tonight" in client.post(f"{URL}again/", follow=True).content.decode()


@pytest.mark.usefixtures("no_broker")
def test_when_its_memory_is_away_the_page_stands(client_of, coach, monkeypatch):
    def away(*_, **__):
        raise RedisError("connection refused")

    for name in ("get", "add"):
        monkeypatch.setattr(asking.cache, name, away)
    assert "Not worked out yet" in text(client_of(coach))


@pytest.mark.parametrize("name", ["clinician", "visiting_coach", "athlete_user", "guardian"])
def test_only_staff_reads_it(client_of, cast, name):
    client = client_of(cast[name])
    statuses = {client.get(URL).status_code, client.get(f"{URL}table.csv").status_code}
    assert statuses | {client.post(f"{URL}again/").status_code} == {403}
