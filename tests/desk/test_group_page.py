"""Training groups as the staff sees them, and the choice of many in the roster."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import ChangeLog
from athletes.services.groups import set_season_phase
from tests import factories
from tests.desk.people import ago, measured
from tests.factories import DAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


@pytest.fixture
def group(coach, visiting_coach):
    people = [measured("Ann Cole", responsible_coach=coach), measured("Ben Adams")]
    return factories.TrainingGroupFactory(name="Relief", athletes=people, visiting_coaches=[visiting_coach])


def test_the_page_names_members_visitors_season_and_what_may_be_set(group, coach, visiting_coach, client_of):
    set_season_phase(group=group, phase="off_season", valid_from=ago(10), until=ago(-20), by=coach)
    factories.PainReportFactory(athlete=group.athletes.first(), where="elbow")
    page = client_of(coach).get(f"/groups/{group.uuid}/").content.decode()
    for words in ("2 athletes, off season, to 4 May.", "Ann Cole", "Ben Adams", "pain: elbow", str(visiting_coach)):
        assert words in page, words
    for form in ("season", "availability"):
        assert f'action="/athletes/groups/{group.uuid}/{form}/?next=%2Fgroups%2F{group.uuid}%2F"' in page


def test_an_empty_group_says_how_it_is_filled(coach, client_of):
    empty = factories.TrainingGroupFactory(name="Nobody yet")
    page = client_of(coach).get(f"/groups/{empty.uuid}/").content.decode()
    assert "Choose athletes in the roster" in page
    assert "Set for all" not in page


def test_a_group_that_is_not_there(coach, client_of):
    assert client_of(coach).get(f"/groups/{uuid4()}/").status_code == 404


def test_all_groups_stand_with_their_number_and_phase(group, coach, client_of):
    set_season_phase(group=group, phase="rest", valid_from=DAY, by=coach)
    gone = group.athletes.first()
    gone.mark_withdrawn(coach, "left")
    gone.save()
    page = client_of(coach).get("/groups/").content.decode()
    assert "rest from throwing" in page
    assert "1 athlete<" in page
    factories.TrainingGroupFactory(name="Other")
    assert "no season phase set" in client_of(coach).get("/groups/").content.decode()


def test_no_group_yet_leads_to_the_roster(coach, client_of):
    assert "give the group a name" in client_of(coach).get("/groups/").content.decode()


def test_the_record_names_the_groups_with_their_phases(coach, client_of):
    athlete = measured("Ann Cole")
    for name, phase in (("Academy", "preseason"), ("Relief", "off_season")):
        group = factories.TrainingGroupFactory(name=name, athletes=[athlete])
        set_season_phase(group=group, phase=phase, valid_from=DAY, by=coach)
    page = client_of(coach).get(f"/athletes/{athlete.uuid}/").content.decode()
    side = page.split("<dt>Groups</dt>")[1].split("</dd>")[0]
    assert "Academy</a><small>preseason" in side
    assert "Relief</a><small>off season" in side


def test_many_are_chosen_in_the_roster_and_put_into_a_new_group(group, coach, client_of):
    """The boxes belong to the form below the list, which comes back to the roster as it was chosen."""
    client = client_of(coach)
    page = client.get("/roster/", {"who": "everyone", "sort": "name"}).content.decode()
    for athlete in group.athletes.all():
        assert f'<input type="checkbox" name="athletes" value="{athlete.uuid}" form="assign">' in page
    address = page.split('<form id="assign"')[1].split('action="')[1].split('"')[0]
    sent = {"athletes": [str(row.uuid) for row in group.athletes.all()], "name": "Winter arms", "act": "put_in"}
    answer = client.post(address, {**sent, "group": ""}, follow=True)
    assert answer.redirect_chain == [("/roster/?who=everyone&sort=name", 302)]
    assert "2 athletes put into Winter arms." in answer.content.decode()
    assert ChangeLog.objects.filter(action="group.many_joined").count() == 1


def test_the_list_that_a_script_asks_for_comes_back_to_the_page_it_stands_on(group, coach, client_of):
    part = client_of(coach).get("/?who=everyone", headers={"HX-Request": "true"}).content.decode()
    assert "?next=%2F%3Fwho%3Deveryone" in part


def test_a_group_costs_as_many_queries_for_fifty_as_for_two(group, coach, client_of):
    client = client_of(coach)

    def spent() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(f"/groups/{group.uuid}/").status_code == 200
        return len(queries)

    few = spent()
    for number in range(48):
        group.athletes.add(measured(f"A{number} B{number}", responsible_coach=coach))
    assert spent() == few <= 12
