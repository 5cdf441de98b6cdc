"""The roster: order, filters, words, files, and that its cost does not grow."""

from __future__ import annotations

import csv
import datetime as dt
import io

import pytest
from django.urls import reverse
from django.utils import timezone

from athletes.facts import availability_on, level_on, stopped_on
from athletes.models import Athlete
from desk.selectors.now import with_state
from desk.selectors.roster import RosterChoice, roster_page
from desk.selectors.roster_rows import rows_of
from tests import factories
from tests.desk.people import ago, measured
from tests.factories import DAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
URL = "/roster/"


def names(user, **choice) -> list[str]:
    return [row.name for row in roster_page(user, RosterChoice(**choice), DAY).object_list]


def test_needs_you_first_puts_stopped_before_heavy_flags_before_light_ones_before_unseen_before_the_rest(coach):
    measured("Calm Adams")
    measured("Unseen Baker", days=90)
    measured("Light Cole", flags=4, priority=2.0)
    measured("Heavy Dunn", flags=1, priority=9.0)
    factories.PainReportFactory(athlete=measured("Hurt Evans"))
    order = ["Hurt Evans", "Heavy Dunn", "Light Cole", "Unseen Baker", "Calm Adams"]
    assert names(coach, sort="needs") == order


def test_a_stop_that_is_over_is_no_stop(coach):
    athlete = measured("Back Again")
    factories.AvailabilityFactory(athlete=athlete, state="stopped", valid_from=ago(20), until=ago(1))
    factories.ClearanceFactory(report=factories.PainReportFactory(athlete=athlete))
    (row,) = roster_page(coach, RosterChoice(), DAY).object_list
    assert (row.is_stopped, row.availability) == (False, "")


def test_sorts_by_name_last_session_and_number_of_flags(coach):
    measured("Ann Cole", days=1, flags=1, priority=9)
    measured("Ben Adams", days=9, flags=3, priority=1)
    factories.AthleteFactory(given_name="Cem", family_name="Baker")
    assert names(coach, sort="name") == ["Ben Adams", "Cem Baker", "Ann Cole"]
    assert names(coach, sort="last") == ["Ann Cole", "Ben Adams", "Cem Baker"]
    assert names(coach, sort="flags") == ["Ben Adams", "Ann Cole", "Cem Baker"]


def test_each_filter_keeps_those_it_names(coach):
    young = measured("Young One", level="youth")
    other = measured("Other One", level="college")
    other.standing.last_method = "video"
    other.standing.save()
    group = factories.TrainingGroupFactory(athletes=[young])
    factories.AvailabilityFactory(athlete=young, state="limited", limits="60 throws")
    factories.PainReportFactory(athlete=other)
    chosen = {
        "level": "youth",
        "group": group.uuid,
        "method": "motion_capture",
        "availability": "limited",
        "q": "young",
    }
    for name, value in chosen.items():
        assert names(coach, **{name: value}) == ["Young One"], name
    assert names(coach, availability="stopped") == ["Other One"]
    assert names(coach, q="one you") == ["Young One"]
    assert names(coach, q="nobody") == []


def test_opens_on_mine_for_a_coach_with_athletes_and_on_everyone_for_one_without(coach, admin, client_of):
    measured("Mine Indeed", responsible_coach=coach)
    measured("Others Athlete")
    page = client_of(coach).get(URL).content.decode()
    assert "Mine Indeed" in page
    assert "Others Athlete" not in page
    assert "Others Athlete" in client_of(coach).get(URL, {"who": "everyone"}).content.decode()
    assert "Others Athlete" in client_of(admin).get(URL).content.decode()


def test_choices_that_mean_nothing_are_as_if_not_made(coach, client_of):
    measured("Still Here")
    wrong = {"who": "x", "group": "1; drop", "level": "master", "sort": "-pk", "method": "radar", "page": "zero"}
    answer = client_of(coach).get(URL, wrong)
    assert answer.status_code == 200
    assert "Still Here" in answer.content.decode()


def test_a_row_says_what_the_catalogue_and_the_facts_say(coach, client_of):
    athlete = measured("Ikaika Brandvold", days=6, flags=2, priority=5)
    factories.PainReportFactory(athlete=athlete, where="elbow")
    page = client_of(coach).get(URL).content.decode()
    for words in ("16 <span", "high school", "motion capture, 6 d", "Elbow landing, straight", "pain, elbow"):
        assert words in page, words
    assert 'aria-label="flag low, sure; flag low, sure"' in page
    assert "1 session, last 6 days ago by motion capture" in page
    assert '<span class="stop">stopped</span>' in page


def test_the_database_and_the_facts_agree_on_state_and_level(coach):
    """The database sorts and reads the rows, other pages ask athletes.facts: both must say the same of everybody."""
    people = [factories.AthleteFactory(level="") for _ in range(8)]
    for place, state in enumerate(("full", "stopped", "away", "limited")):
        factories.AvailabilityFactory(athlete=people[place], state=state, valid_from=ago(9), limits="60 throws")
        factories.AvailabilityFactory(athlete=people[place], state="full", valid_from=ago(-1))
        factories.AvailabilityFactory(athlete=people[place], state="away", valid_from=ago(5), until=ago(2))
    factories.AvailabilityFactory(athlete=people[5], state="stopped", valid_from=ago(3), until=DAY)
    factories.PainReportFactory(athlete=people[6])
    factories.LevelPeriodFactory(athlete=people[0], level="youth", valid_from=ago(400))
    factories.LevelPeriodFactory(athlete=people[0], level="high_school", valid_from=DAY)
    factories.LevelPeriodFactory(athlete=people[1], level="college", valid_from=ago(-1))
    told = []
    listed = {row.uuid: row for row in roster_page(coach, RosterChoice(), DAY).object_list}
    for row in with_state(Athlete.objects.visible_to(coach), DAY):
        told.append((row.is_stopped, row.state_now, row.level_now))
        facts = (int(stopped_on(row, DAY) is not None), availability_on(row, DAY).state, level_on(row, DAY) or "")
        assert told[-1] == facts, row
        shown, held = listed[row.uuid], availability_on(row, DAY)
        assert (shown.is_stopped, shown.availability) == (bool(facts[0]), held.word if held.state else ""), row
        assert shown.level == (facts[2].label if facts[2] else ""), row
        assert shown.availability_note == (held.limits or ("until 14 April" if held.until else "")), row
    assert {stopped for stopped, _, _ in told} == {0, 1}


def test_several_open_pains_are_named_once_each_and_the_newest_first(coach):
    athlete = measured("Hurt Evans")
    for days, where in ((9, "shoulder"), (2, "elbow"), (1, "shoulder"), (0, "forearm")):
        report = factories.PainReportFactory(
            athlete=athlete, where=where, reported_at=timezone.now() - dt.timedelta(days=days)
        )
    factories.ClearanceFactory(report=report)
    factories.PainReportFactory(athlete=measured("Other One"), where="hip")
    reasons = {row.name: row.stopped_reason for row in roster_page(coach, RosterChoice(), DAY).object_list}
    assert reasons == {"Hurt Evans": "pain, shoulder, elbow", "Other One": "pain, hip"}


def test_rows_are_of_whom_the_reader_may_see_whatever_keys_are_asked_for(coach, cast):
    seen, hidden = cast.athlete, measured("Not Theirs")
    keys = [hidden.pk, seen.pk]
    assert [row.name for row in rows_of(cast["visiting_coach"], keys, DAY)] == [seen.name]
    assert [row.name for row in rows_of(coach, keys, DAY)] == [hidden.name, seen.name]


def test_what_people_typed_is_text_in_a_row(coach, client_of):
    athlete = measured("<b>Bold One")
    factories.AvailabilityFactory(athlete=athlete, state="limited", limits="60 <throws> & no more")
    page = client_of(coach).get(URL).content.decode()
    assert "&lt;b&gt;Bold One</a>" in page
    assert "limited, 60 &lt;throws&gt; &amp; no more</td>" in page


# Today answers eight questions of its own (what needs the coach, who is here, the last sessions) above the roster,
# most of them by one query, three of them with rows behind them. Where there were few sessions lately it asks for the
# last ones twice.
@pytest.mark.parametrize(("url", "most"), [(URL, 12), ("/", 29)])
def test_costs_no_more_queries_for_fifty_than_for_five(url, most, coach, client_of, django_assert_max_num_queries):
    client = client_of(coach)
    group = factories.TrainingGroupFactory()

    def grow(to: int) -> None:
        for number in range(Athlete.objects.count(), to):
            athlete = measured(f"A{number} B{number}", days=number, flags=2, priority=3, responsible_coach=coach)
            group.athletes.add(athlete)
            factories.FindingFactory(session=athlete.standing.last_session, flag=True)
            if number % 2:
                factories.PainReportFactory(athlete=athlete)
            factories.UploadFactory(state="needs_match")
            factories.CheckInFactory(athlete=athlete, feeling="sore")

    def spent() -> int:
        with django_assert_max_num_queries(40) as queries:
            assert client.get(url).status_code == 200
        return len(queries)

    grow(5)
    few = spent()
    grow(50)
    assert spent() <= few <= most


def test_more_than_fifty_stand_on_further_pages(coach, client_of):
    factories.AthleteFactory.create_batch(51, level="", body_size={}, consent=False)
    first = client_of(coach).get(URL, {"sort": "name"})
    second = client_of(coach).get(URL, {"sort": "name", "page": 2})
    assert (len(first.context["roster"]), len(second.context["roster"])) == (50, 1)
    assert "1 to 50 of 51" in first.content.decode()
    assert "sort=name" in first.content.decode().split('rel="next"')[1][:60]


def test_the_script_gets_the_rows_alone(coach, client_of):
    measured("Only Rows")
    answer = client_of(coach).get(URL, headers={"HX-Request": "true"})
    assert "Only Rows" in answer.content.decode()
    assert "<html" not in answer.content.decode()
    assert "HX-Request" in answer["Vary"]


def test_nobody_yet_offers_to_enter_one_and_nobody_fits_offers_the_whole_roster(coach, client_of):
    empty = client_of(coach).get(URL).content.decode()
    assert "No athletes yet" in empty
    assert reverse("athletes:new") in empty
    measured("Somebody There")
    narrowed = client_of(coach).get(URL, {"q": "nobody"}).content.decode()
    assert "Nobody fits" in narrowed
    assert "No athletes yet" not in narrowed


def test_nothing_is_said_to_be_off_only_of_somebody_who_was_measured(coach, client_of):
    measured("Calm Adams")
    factories.AthleteFactory(given_name="New", family_name="Baker")
    page = client_of(coach).get(URL, {"who": "everyone", "sort": "name"}).content.decode()
    adams, baker = page.split("<tbody", 1)[1].split("<tr>")[1:3]
    assert "nothing off" in adams
    assert "not measured yet" in baker
    assert "nothing off" not in baker


def read_csv(answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_the_saved_file_has_the_chosen_rows_of_all_pages_and_runs_nothing(coach, client_of):
    athlete = measured("=cmd()|calc Sørlie", days=6, flags=1, priority=4, responsible_coach=coach)
    factories.AvailabilityFactory(athlete=athlete, state="limited", limits="+60 throws")
    factories.AthleteFactory.create_batch(101, responsible_coach=coach, level="", body_size={}, consent=False)
    measured("Not Mine")
    answer = client_of(coach).get("/roster/csv/", {"sort": "flags"})
    rows = read_csv(answer)
    assert answer["Content-Disposition"] == 'attachment; filename="roster-2026-04-14.csv"'
    assert len(rows) == 102
    assert rows[0] == {
        "Athlete": "'=cmd()|calc Sørlie",
        "Age": "16",
        "Level": "high school",
        "Throws": "right",
        "Last session": "2026-04-08",
        "Capture method": "motion capture",
        "Flags": "1",
        "New flags": "1",
        "Confirmed flags": "0",
        "Recurring flags": "0",
        "Top finding": "Elbow landing, straight",
        "Availability": "limited",
        "Reason or limits": "'+60 throws",
        "Coach": "Ngaire Abaza",
    }
