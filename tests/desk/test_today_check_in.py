"""Check-in on Today: whom the letters and the group find, who is here and what comes next, without and with script."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from athletes.models import Athlete, CheckIn
from desk.selectors.here import MOST_BY_NAME, HereChoice, checking_in, here_choice
from sessions.models import CaptureSession
from tests import factories
from tests.desk.people import ago, measured
from tests.factories import DAY, NOON

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
SCRIPT = {"HX-Request": "true"}
FRESH = {"date": DAY, "height_cm": 180.0, "mass_kg": 75.0}


def found(user, **asked) -> list[str]:
    return [person.part.name for person in checking_in(user, DAY, here_choice(asked)).listed]


def here(user):
    return checking_in(user, DAY, HereChoice()).here


def check_in_line(page: str, athlete) -> str:
    return page.split(f'id="asked-{athlete.uuid}"', 1)[1].split("</li>", 1)[0]


def test_nobody_is_listed_before_somebody_is_asked_for(coach, client_of):
    measured("Ann Cole")
    assert found(coach) == []
    page = client_of(coach).get("/").content.decode()
    assert 'name="here"' in page
    assert "asked-" not in page


def test_letters_and_group_find_together_in_the_order_of_names(coach):
    ann, ben, _ = measured("Ann Cole"), measured("Ben Adams"), measured("Cem Anders")
    group = factories.TrainingGroupFactory(athletes=[ann, ben])
    assert found(coach, here="an") == ["Cem Anders", "Ann Cole"]
    assert found(coach, here_group=str(group.uuid)) == ["Ben Adams", "Ann Cole"]
    assert found(coach, here="an", here_group=str(group.uuid)) == ["Ann Cole"]
    assert found(coach, here="nobody") == []


@pytest.mark.parametrize("url", ["/", "/?sort=name"])
def test_a_group_can_be_chosen_whether_or_not_the_roster_is_in_the_page(url, coach, client_of):
    group = factories.TrainingGroupFactory(athletes=[measured("Ann Cole")])
    page = client_of(coach).get(url).content.decode()
    chooser = page.split('id="here-group"', 1)[1].split("</select>", 1)[0]
    assert f'value="{group.uuid}"' in chooser


@pytest.mark.parametrize("asked", [{"here_group": "1; drop"}, {"here": "   "}, {"here_group": str(NOON)}])
def test_what_means_nothing_is_as_if_not_asked(asked, coach, client_of):
    measured("Ann Cole")
    assert found(coach, **asked) == []
    assert client_of(coach).get("/", asked).status_code == 200


def test_letters_that_find_many_ask_for_more(coach, client_of):
    factories.AthleteFactory.create_batch(MOST_BY_NAME + 1, given_name="Anna", level="", body_size={}, consent=False)
    page = client_of(coach).get("/here/to-check-in/", {"here": "anna"}).content.decode()
    assert page.count('class="asked"') == MOST_BY_NAME
    assert "add a letter or two" in page


def test_one_tap_without_a_script_stands_here_and_comes_back_to_the_same_list(coach, client_of):
    """As a browser does it: the form's address and fields, and the button that was pressed."""
    athlete = measured("Ann Cole", body_size=FRESH)
    client = client_of(coach)
    line = check_in_line(client.get("/", {"here": "ann"}).content.decode(), athlete)
    action = re.search(r'<form method="post" action="([^"]+)"', line).group(1).replace("&amp;", "&")
    hidden = dict(re.findall(r'<input type="hidden" name="(is_here)" value="([^"]+)"', line))
    answer = client.post(action, {**hidden, "feeling": "fine"}, follow=True)
    assert answer.redirect_chain == [("/?here=ann", 302)]
    page = answer.content.decode()
    assert "Ann Cole: fine." in page
    assert f'id="fine-{athlete.uuid}" aria-pressed="true"' in page
    assert [person.part.name for person in here(coach)] == ["Ann Cole"]
    undo = re.search(r'action="([^"]+take-back[^"]+)"', page).group(1).replace("&amp;", "&")
    assert client.post(undo)["Location"] == "/?here=ann"
    assert here(coach) == ()


def test_here_are_those_checked_in_at_the_facility_today_the_newest_first(coach, guardian):
    first, second = measured("Ann Cole"), measured("Ben Adams")
    factories.CheckInFactory(athlete=first, at=NOON - dt.timedelta(hours=2))
    factories.CheckInFactory(athlete=second, at=NOON - dt.timedelta(hours=1))
    factories.CheckInFactory(athlete=first, feeling="sore", words="forearm", by=guardian, is_here=False)
    factories.CheckInFactory(athlete=measured("From Home"), is_here=False)
    factories.CheckInFactory(athlete=measured("Here Yesterday"), date=ago(1))
    people = here(coach)
    assert [person.part.name for person in people] == ["Ben Adams", "Ann Cole"]
    assert people[1].part.said.said == "sore muscles: forearm"  # the last answer, wherever it was given
    assert people[1].came == NOON - dt.timedelta(hours=2)


def test_what_comes_next_is_the_open_session_else_the_last_else_the_baseline(coach):
    seen = measured("Ann Cole", days=6, flags=1, priority=3)
    opened = measured("Ben Adams")
    running = factories.CaptureSessionFactory(athlete=opened, state=CaptureSession.State.OPEN, setup="hall")
    new = factories.AthleteFactory(given_name="Cem", family_name="Baker")
    for athlete in (seen, opened, new):
        factories.CheckInFactory(athlete=athlete)
    told = {person.part.name: person.next for person in here(coach)}
    assert told["Ann Cole"].words == "Last: motion capture, 6 days ago"
    assert told["Ann Cole"].detail == "Look at: Elbow landing, straight"
    assert told["Ben Adams"].words == "Session open, motion capture"
    assert told["Ben Adams"].url == reverse("metrics:session", args=[running.uuid])
    assert told["Cem Baker"].words == "Baseline missing"


def test_now_throwing_opens_a_session_but_not_for_whoever_is_stopped(coach, client_of):
    well, hurt = measured("Ann Cole", body_size=FRESH), measured("Ben Adams", body_size=FRESH)
    factories.CheckInFactory(athlete=well)
    report = factories.PainReportFactory(athlete=hurt, where="elbow")
    factories.CheckInFactory(athlete=hurt, feeling="pain", words="elbow", pain_report=report)
    page = client_of(coach).get("/here/").content.decode()
    assert reverse("sessions:session-open", args=[well.uuid]) in page
    assert reverse("sessions:session-open", args=[hurt.uuid]) not in page
    assert '<span class="stop">stopped</span> pain: elbow' in page


def test_limits_stand_in_the_line_that_opens_a_session(coach, client_of):
    athlete = measured("Ann Cole", body_size=FRESH)
    factories.CheckInFactory(athlete=athlete)
    assert "limited" not in client_of(coach).get("/").content.decode()
    factories.AvailabilityFactory(athlete=athlete, state="limited", limits="20 throws", valid_from=DAY)
    line = client_of(coach).get("/").content.decode().split('class="people here"', 1)[1].split("</ul>", 1)[0]
    assert "<b>limited: 20 throws</b>" in line
    assert "Now throwing" in line


def test_a_height_is_asked_for_in_the_line_of_who_still_grows(coach, client_of):
    young = measured("Ann Young", body_size={"date": ago(91), "height_cm": 160.0})
    fresh = measured("Ben Young", body_size=FRESH)
    page = client_of(coach).get("/here/to-check-in/", {"here": "young"}).content.decode()
    assert 'name="height_cm"' in check_in_line(page, young)
    assert 'name="height_cm"' not in check_in_line(page, fresh)
    address = f"/athletes/{young.uuid}/check-in/height/?next=/"
    line = client_of(coach).post(address, {"height_cm": "5'5\""}, headers=SCRIPT).content.decode()
    assert 'name="height_cm"' not in line


def test_a_withdrawn_consent_takes_pain_only_and_says_nothing_of_what_was_measured(coach, client_of):
    athlete = measured("Ann Cole", days=6, flags=1, priority=3)
    factories.CheckInFactory(athlete=athlete)
    Athlete.objects.filter(pk=athlete.pk).update(consent_withdrawn_on=DAY)
    line = check_in_line(client_of(coach).get("/here/to-check-in/", {"here": "ann"}).content.decode(), athlete)
    assert 'value="fine"' not in line
    assert "feeling=pain" in line
    assert here(coach)[0].next.words == "Consent withdrawn"


def test_pain_leads_from_the_line_to_the_report_and_back_to_the_list(coach, client_of):
    athlete = measured("Ann Cole", body_size=FRESH)
    client = client_of(coach)
    line = check_in_line(client.get("/", {"here": "ann"}).content.decode(), athlete)
    address = re.search(r'href="([^"]+feeling=pain[^"]+)"', line).group(1).replace("&amp;", "&")
    form = client.get(address).content.decode()
    assert 'name="where"' in form
    assert 'name="is_here" value="True"' in form
    sent = {"feeling": "pain", "is_here": "True", "where": "elbow", "how_much": "6", "since": "2026-04-13"}
    answer = client.post(address, sent, follow=True)
    assert answer.redirect_chain == [("/?here=ann", 302)]
    page = answer.content.decode()
    assert "Ann Cole: pain, elbow. Throwing and loaded work are stopped." in page
    assert "Pain: Ann Cole, elbow." in page  # in what needs the coach
    assert here(coach)[0].part.stopped.is_pain


def test_a_visiting_coach_reads_no_word_of_a_check_in(cast, client_of):
    factories.CheckInFactory(athlete=cast.athlete, feeling="sore", words="left forearm")
    client = client_of(cast["visiting_coach"])
    for address in ("/", f"/athletes/{cast.athlete.uuid}/", "/search/?q=ikaika"):
        page = client.get(address, follow=True).content.decode()
        assert "Ikaika" in page
        assert "forearm" not in page
        assert "sore" not in page


@pytest.mark.parametrize(("url", "most"), [("/here/", 11), ("/here/to-check-in/?here_group={group}", 12)])
def test_lists_cost_as_many_queries_for_fifty_as_for_five(url, most, coach, client_of):
    group, client = factories.TrainingGroupFactory(), client_of(coach)

    def grow(to: int) -> None:
        for number in range(Athlete.objects.count(), to):
            athlete = measured(f"A{number} B{number}", days=number, flags=2, priority=3)
            group.athletes.add(athlete)
            factories.CheckInFactory(athlete=athlete)
            factories.CaptureSessionFactory(athlete=athlete, state=CaptureSession.State.OPEN, setup="hall")
            if number % 2:
                factories.PainReportFactory(athlete=athlete)

    def spent() -> int:
        with CaptureQueriesContext(connection) as queries:
            page = client.get(url.format(group=group.uuid)).content.decode()
        assert page.count("<li>") == Athlete.objects.count()
        return len(queries)

    grow(5)
    few = spent()
    grow(50)
    assert spent() == few <= most


def test_who_left_is_in_no_list(coach):
    athlete = measured("Ann Cole")
    factories.CheckInFactory(athlete=athlete)
    athlete.mark_withdrawn(coach, "left")
    athlete.save()
    assert here(coach) == ()
    assert found(coach, here="ann") == []
    assert CheckIn.objects.exists()
