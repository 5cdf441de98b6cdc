"""Ticks sent by a page with and without its script, and today’s work on the progress page."""

from __future__ import annotations

import datetime as dt
import json
from uuid import uuid4

import pytest

from athletes.models import ViewLog
from athletes.services.care import record_clearance, report_pain
from plans.models import WorkTick
from tests.conftest import athlete  # noqa: F401 - tied to the whole cast, unlike that of the room
from tests.factories import DAY
from tests.factories.plans import PrescriptionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

ONE_DAY = dt.timedelta(days=1)
SCRIPT = {"HTTP_X_REQUESTED_WITH": "fetch"}


@pytest.fixture
def work(cast):
    return PrescriptionFactory(athlete=cast.athlete, start=DAY - 30 * ONE_DAY)


@pytest.fixture
def drill(cast):
    key = "pause_at_landing_throws"
    return PrescriptionFactory(athlete=cast.athlete, version__intervention__key=key, start=DAY - 30 * ONE_DAY)


@pytest.fixture
def send(client_of, cast):
    """`send(work, "guardian", done="1")`"""

    def post(row, name="athlete_user", act="tick", script=False, **data):
        told = {"date": str(DAY), "done": "1", **data}
        client = client_of(cast[name])
        return client.post(f"/mine/to-do/{row.uuid}/{act}/", told, **(SCRIPT if script else {}))

    return post


@pytest.fixture
def page(client_of, cast):
    def read(name="athlete_user"):
        return client_of(cast[name]).get(f"/mine/{cast.athlete.uuid}/").content.decode()

    return read


def done() -> int:
    return WorkTick.objects.standing().count()


@pytest.mark.parametrize("name", ["athlete_user", "guardian", "coach", "admin"])
def test_a_tap_marks_the_day_and_leads_back_without_a_script(send, work, cast, name):
    answer = send(work, name)
    assert (answer.status_code, done()) == (302, 1)
    assert answer["Location"].endswith("#work")
    assert WorkTick.objects.get().ticked_by == cast[name]
    assert send(work, name, done="0").status_code == 302
    assert done() == 0


@pytest.mark.parametrize(
    ("name", "status"),
    [("clinician", 403), ("visiting_coach", 403), ("other_athlete_user", 404), ("stranger", 404)],
)
def test_others_tick_nothing(send, work, name, status):
    assert send(work, name).status_code == status
    assert done() == 0


def test_work_that_is_not_shown_is_not_there_for_the_family_and_ticked_by_staff(send, work):
    work.is_shown = False
    work.save()
    assert [send(work, name).status_code for name in ("athlete_user", "guardian")] == [404, 404]
    assert send(work, "coach").status_code == 302


def test_the_script_gets_the_list_and_what_was_said(send, work, cast):
    sent = str(uuid4())
    for _ in range(2):
        answer = send(work, script=True, tick=sent)
        told = json.loads(answer.content)
        assert (answer.status_code, told["said"], told["athlete"]) == (200, "", str(cast.athlete.uuid))
        assert 'aria-pressed="true"' in told["list"]
    assert str(WorkTick.objects.get().uuid) == sent


def test_a_refused_tick_is_answered_in_words_both_ways(send, page, drill, cast):
    report_pain(athlete=cast.athlete, where="elbow", by=cast["guardian"])
    answer = send(drill, script=True)
    assert answer.status_code == 422
    assert "pain stops throws" in json.loads(answer.content)["said"]
    assert send(drill).status_code == 302
    assert done() == 0


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"date": "yesterday"}, "valid date"),
        ({"date": ""}, "The day is missing"),
        ({"date": str(DAY + ONE_DAY)}, "lies ahead"),
        ({"date": str(DAY - 15 * ONE_DAY)}, "more than 14 days ago"),
        ({"tick": "not-a-uuid"}, "UUID"),
        ({"done": "perhaps"}, "perhaps"),
    ],
)
def test_what_cannot_be_is_refused(send, work, data, said):
    answer = send(work, script=True, **data)
    assert answer.status_code == 422
    assert said in json.loads(answer.content)["said"]
    assert done() == 0


def test_throws_of_a_ticked_drill_are_corrected(send, drill):
    send(drill)
    assert send(drill, act="throws", on=str(DAY), throws="6").status_code == 302
    assert WorkTick.objects.get().throws == 6
    answer = send(drill, act="throws", on=str(DAY), throws="many", script=True)
    assert answer.status_code == 422
    assert "a number from 0 to 300" in json.loads(answer.content)["said"]
    assert WorkTick.objects.get().throws == 6


def test_each_look_by_somebody_else_is_noted(send, work):
    send(work, "guardian")
    send(work)
    assert list(ViewLog.objects.values_list("role", "what")) == [("guardian", "today’s work")]


def test_an_answer_never_leads_to_another_site(client_of, cast, work):
    address = f"/mine/to-do/{work.uuid}/tick/?next=https://elsewhere.example/"
    answer = client_of(cast["athlete_user"]).post(address, {"date": str(DAY), "done": "1"})
    assert answer["Location"] == "/#work"


# ---- on the progress page ------------------------------------------------------------------------------


def test_the_page_says_what_how_much_with_whom_and_what_to_mind(page, drill):
    drill.dose = {**drill.dose, "supervision": "coach"}
    drill.save()
    text = page()
    for words in ("with a coach", "10 throws", "Take care.", "Next time we look", "3 days a week planned"):
        assert words in text
    assert "0 done this week" in text
    assert "streak" not in text


def test_every_day_of_the_last_seven_can_be_ticked(page, work):
    text = page()
    for back in range(7):
        assert f'id="tick-{work.uuid}-{DAY - back * ONE_DAY}"' in text


def test_held_work_has_no_box_until_a_clearance_is_recorded(page, work, drill, cast):
    box, other = f'id="tick-{drill.uuid}-{DAY}"', f'id="tick-{work.uuid}-{DAY}"'
    assert box in page()
    report = report_pain(athlete=cast.athlete, where="elbow", by=cast["athlete_user"])
    held = page()
    assert box not in held
    assert other in held
    assert "Held: pain stops throws and loaded work until a clearance is recorded." in held
    record_clearance(report=report, cleared_by_name="Dr Oduya", cleared_on=DAY, by=cast["coach"])
    assert box in page()


def test_a_page_without_work_says_nothing_of_it(page):
    assert "Today’s work" not in page()


def test_a_coach_sees_the_same_work(page, work):
    assert f'id="tick-{work.uuid}-{DAY}"' in page("coach")


def test_a_screen_that_is_turned_shows_work_and_takes_no_tick(client_of, cast, work):
    client = client_of(cast["coach"])
    path = f"/mine/{cast.athlete.uuid}/"
    client.post("/turn/pin/?path=" + path, {"path": path, "pin": "4711", "again": "4711"})
    text = client.get(path).content.decode()
    if "Turned to" not in text:
        pytest.fail("the screen was not turned")
    assert "Today’s work" in text
    assert "data-tick" not in text
    assert "Enter throws" not in text
    assert client.post(f"/mine/to-do/{work.uuid}/tick/", {"date": str(DAY), "done": "1"}).status_code == 403
    assert done() == 0
