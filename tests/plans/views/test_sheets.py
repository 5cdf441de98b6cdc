"""The two prints as people ask for them: who gets what, what stands on it, what is kept of the look."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.models import ViewLog
from plans.models import Prescription
from plans.sheets import DoesNotFit
from tests import factories
from tests.factories import DAY, NOON
from tests.factories.plans import SHIPPED, PrescriptionFactory
from tests.printed import page_count, page_size, title_of, words_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

GENTLE, THROWN, LOADED = "hip_turns_seated", "pause_at_landing_throws", "turn_back_light_weight"
MAY_PLAN = ("admin", "coach", "clinician", "visiting_coach", "athlete_user", "guardian")
MAY_FLOOR = ("admin", "coach", "clinician")


@pytest.fixture
def athlete(coach, visiting_coach, clinician, athlete_user, guardian):
    """The one whom the whole cast is tied to; the athlete of the folders beside this one is tied to nobody."""
    person = factories.AthleteFactory(
        given_name="Ikaika", family_name="Brandvold", responsible_coach=coach, account=athlete_user
    )
    factories.TrainingGroupFactory(name="Varsity", athletes=[person], visiting_coaches=[visiting_coach])
    factories.ReferralFactory(clinician=clinician, athlete=person)
    factories.GuardianshipFactory(guardian=guardian, athlete=person)
    return person


@pytest.fixture
def person(cast):
    return cast.athlete


@pytest.fixture
def give(person):
    """`give("hip_turns_seated", start=…)`: open work, shown to the family."""

    def make(key=GENTLE, **values) -> Prescription:
        return PrescriptionFactory(athlete=person, version__intervention__key=key, **values)

    return make


@pytest.fixture
def ask(cast, client_of):
    """`ask("guardian", "plan-sheet")`: the answer to that member of the cast."""

    def get(name, what, query=""):
        return client_of(cast[name]).get(f"/athletes/{cast.athlete.uuid}/{what}.pdf{query}")

    return get


def words(answer) -> str:
    assert answer.status_code == 200
    assert page_count(answer.content) == 1
    return words_of(answer.content)


def test_it_is_a_file_to_look_at_that_nobody_keeps(ask, give):
    give()
    for what in ("plan-sheet", "floor-sheet"):
        answer = ask("coach", what)
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"] == f'inline; filename="ikaika-brandvold-{what}.pdf"'
        assert answer["Cache-Control"] == "no-store"
        assert answer["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("name", MAY_PLAN)
def test_the_plan_sheet_is_for_everybody_who_reads_the_work(name, ask, give):
    name_of_work = give().version.name
    assert f"1. {name_of_work}" in words(ask(name, "plan-sheet"))


@pytest.mark.parametrize("name", ["visiting_coach", "athlete_user", "guardian"])
def test_the_floor_sheet_is_for_readers_of_the_plan(name, ask):
    assert ask(name, "floor-sheet").status_code == 403


@pytest.mark.parametrize("what", ["plan-sheet", "floor-sheet"])
def test_a_stranger_learns_nothing(what, ask, cast, client_of):
    missing = client_of(cast["stranger"]).get(f"/athletes/00000000-0000-4000-8000-000000000000/{what}.pdf")
    for name in ("stranger", "other_athlete_user"):
        assert ask(name, what).status_code == 404
    assert ask("stranger", what).content == missing.content


@pytest.mark.parametrize("what", ["plan-sheet", "floor-sheet"])
def test_without_consent_nothing_is_printed_but_for_an_admin(what, ask, give, person):
    give()
    person.consent_withdrawn_on = DAY
    person.save()
    for name in MAY_FLOOR[1:]:
        assert ask(name, what).status_code == 404
    assert words(ask("admin", what))


def test_every_print_is_a_look_that_is_noted(ask, person):
    for what in ("plan-sheet", "floor-sheet"):
        ask("coach", what)
    ask("athlete_user", "plan-sheet")
    noted = ViewLog.objects.filter(athlete_uuid=person.uuid).order_by("pk").values_list("role", "what")
    assert list(noted) == [("coach", "plan sheet"), ("coach", "floor sheet")]


def test_work_that_is_not_shown_is_for_staff_who_ask_for_everything(ask, give):
    give()
    hidden = give("stretch_across_body", is_shown=False).version.name
    for name in MAY_PLAN:
        assert hidden not in words(ask(name, "plan-sheet"))
    for name in MAY_FLOOR:
        assert hidden in words(ask(name, "plan-sheet", "?all=1"))
    assert "For staff: 1 work here is not shown to the family yet." in words(ask("coach", "plan-sheet", "?all=1"))
    for name in ("athlete_user", "guardian", "visiting_coach"):
        assert hidden not in words(ask(name, "plan-sheet", "?all=1"))


def test_ended_and_withdrawn_work_is_not_printed(ask, give, cast):
    ended = give(ended_on=DAY, ending="stopped").version.name
    gone = give("stretch_across_body")
    gone.mark_withdrawn(cast["coach"], "")
    gone.save()
    said = words(ask("coach", "plan-sheet", "?all=1"))
    assert ended not in said
    assert gone.version.name not in said
    assert "There is no work on this sheet yet." in said


def test_it_says_when_it_is_looked_at_again_and_what_begins_later(ask, give):
    give()
    give("stretch_across_body", start=DAY + dt.timedelta(days=6), due=DAY + dt.timedelta(days=27))
    said = words(ask("guardian", "plan-sheet"))
    assert "We measure again around Monday 11 May 2026." in said
    assert "from Monday 20 April" in said


def test_the_sheet_says_the_same_day_as_the_progress_page(ask, give, person):
    give(start=DAY - dt.timedelta(days=60), due=DAY - dt.timedelta(days=3))
    assert "That day is past." in words(ask("guardian", "plan-sheet"))
    factories.ShareFactory(session__athlete=person, look_again_on=DAY + dt.timedelta(days=9))
    assert "We measure again around Thursday 23 April 2026." in words(ask("guardian", "plan-sheet"))


def test_six_works_at_most_the_earliest_first(ask, give):
    keys = [key for key, one in SHIPPED.items() if one.dose_at(16)][:8]
    for days, key in enumerate(reversed(keys)):
        give(key, start=DAY - dt.timedelta(days=days))
    said = words(ask("athlete_user", "plan-sheet"))
    assert [key for key in keys if f"{keys.index(key) + 1}. {SHIPPED[key].name}" in said] == keys[:6]
    assert "These are the first 6. 2 more works are on your progress page." in said


def test_pain_holds_throws_and_the_sheet_has_no_boxes_for_them(ask, give, person):
    give(THROWN)
    give()
    factories.PainReportFactory(athlete=person, where="elbow")
    said = words(ask("guardian", "plan-sheet"))
    assert "Held: pain stops throws and loaded work until a clearance is recorded." in said
    assert said.count("☐") == 7
    assert "A clinician’s clearance is needed before the next throw." in said
    assert "elbow." not in said


def test_a_visiting_coach_reads_that_work_is_held_and_not_why(ask, give, person):
    give(THROWN)
    factories.PainReportFactory(athlete=person, where="elbow")
    said = words(ask("visiting_coach", "plan-sheet"))
    assert "Held: do not do this now. Ask the coach." in said
    assert "Throwing and loaded work are stopped." in said
    for word in ("pain stops", "learance", "until"):
        assert word not in said.split("When to stop")[0]


def test_a_stop_without_pain_says_what_was_set_to_those_who_may_know(ask, give, person):
    give()
    factories.AvailabilityFactory(athlete=person, valid_from=DAY, state="stopped", limits="until the review")
    assert "Throwing and loaded work are stopped. until the review" in words(ask("guardian", "plan-sheet"))
    assert "until the review" not in words(ask("visiting_coach", "plan-sheet"))


def test_nothing_of_an_assessment_stands_on_the_plan_sheet(ask, give, person):
    session = factories.CaptureSessionFactory(athlete=person)
    factories.FindingFactory(session=session, metric="hip_ir_front", mean=77.0, flag=True)
    give(reason={"session": session})
    said = words(ask("guardian", "plan-sheet"))
    assert "77" not in said
    assert "flag" not in said
    assert "internal rotation" not in said.lower()


def test_the_paper_and_the_numbers_go_by_the_house(ask, give, facility):
    assert page_size(ask("coach", "plan-sheet").content) == (612.0, 792.0)
    assert "lb" in words(ask("coach", "floor-sheet"))
    facility.units = "metric"
    facility.save()
    assert page_size(ask("coach", "plan-sheet").content) == (595.3, 841.9)
    assert "kg" in words(ask("coach", "floor-sheet"))


def test_the_date_is_that_of_the_facilitys_clock(ask, clock):
    clock.now = NOON.replace(hour=3)  # 14 April in UTC, still 13 April in Chicago
    assert "Printed on 13 April 2026" in words(ask("coach", "plan-sheet"))


def test_the_same_print_twice_is_the_same_file(ask, give):
    give()
    for what in ("plan-sheet", "floor-sheet"):
        assert ask("coach", what).content == ask("coach", what).content


def test_a_name_of_another_script_still_names_the_file_and_the_title(ask, person):
    person.given_name, person.family_name = "小龍", "李"
    person.save()
    answer = ask("coach", "plan-sheet")
    assert answer["Content-Disposition"] == 'inline; filename="athlete-plan-sheet.pdf"'
    assert title_of(answer.content) == "Work for 小龍"


def test_a_print_that_fails_is_the_usual_page_and_never_half_a_file(cast, client_of, monkeypatch):
    def fail(sheet):
        raise DoesNotFit("it takes more than one page")

    monkeypatch.setattr("plans.views.sheets.print_sheet", fail)
    client = client_of(cast["coach"])
    client.raise_request_exception = False
    answer = client.get(f"/athletes/{cast.athlete.uuid}/plan-sheet.pdf")
    assert answer.status_code == 500
    assert answer["Content-Type"].startswith("text/html")
    assert b"%PDF" not in answer.content


@pytest.mark.parametrize("what", ["plan-sheet", "floor-sheet"])
def test_it_can_only_be_asked_for(what, cast, client_of):
    assert client_of(cast["coach"]).post(f"/athletes/{cast.athlete.uuid}/{what}.pdf").status_code == 405


@pytest.mark.parametrize("name", ["athlete_user", "guardian", "coach"])
def test_the_progress_page_leads_to_the_plan_sheet_where_work_is_shown(name, cast, client_of, give, person):
    address, page = f"/athletes/{person.uuid}/plan-sheet.pdf", f"/mine/{person.uuid}/"
    give(is_shown=False)
    assert address not in client_of(cast[name]).get(page).content.decode()
    give("stretch_across_body")
    assert address in client_of(cast[name]).get(page).content.decode()


@pytest.mark.parametrize(("what", "most"), [("plan-sheet", 14), ("floor-sheet", 22)])
def test_six_works_ask_no_more_of_the_database_than_one(
    what, most, cast, client_of, give, django_assert_max_num_queries
):
    keys, client = [key for key, one in SHIPPED.items() if one.dose_at(16)], client_of(cast["coach"])
    asked = []
    for more in (keys[:1], keys[1:6]):
        for key in more:
            give(key)
        with django_assert_max_num_queries(most) as queries:
            assert client.get(f"/athletes/{cast.athlete.uuid}/{what}.pdf").status_code == 200
        asked.append(len(queries))
    assert asked[0] == asked[1]
