"""The form, its draft, the station and the sheet as people meet them, and who may."""

import datetime as dt
import re
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import escape

from athletes.models import PainReport, ViewLog
from metrics.models import Finding, ScreenDraft, ScreenEntry
from metrics.tasks import forget_old_screen_drafts
from sessions.models import CaptureSession
from tests import factories
from tests.conftest import CAST

pytestmark = pytest.mark.django_db

FETCH = {"X-Requested-With": "fetch"}


@pytest.fixture(autouse=True)
def today(clock, facility):
    """14 April 2026, noon."""
    return clock


def form_of(athlete) -> str:
    return f"/athletes/{athlete.uuid}/screens/"


def sent(**values: str) -> dict[str, str]:
    """`sent(hip_ir_front="31")`: the form's fields as a browser sends them."""
    return {
        "key": str(uuid4()), "date": str(factories.DAY), "units": "metric",
        **{f"v-{name}-1": value for name, value in values.items()},
    }  # fmt: skip


def text_of(answer) -> str:
    return answer.content.decode()


def field(page: str, name: str) -> str:
    """The tag of the field of this name."""
    return re.search(rf'<(?:input|select)[^>]* name="{name}"[^>]*>', page)[0]


# ---- who may


ENTERS = {"admin", "coach", "clinician"}
TIED = {"athlete_user", "guardian", "visiting_coach"}


@pytest.mark.parametrize("name", CAST)
def test_coach_admin_and_the_clinician_in_charge_enter_screens(cast, client_of, name):
    expected = 200 if name in ENTERS else 403 if name in TIED else 404
    client = client_of(cast[name])
    assert client.get(form_of(cast.athlete)).status_code == expected
    draft = client.post(f"{form_of(cast.athlete)}draft/", sent(hip_ir_front="31"), headers=FETCH)
    assert draft.status_code == (204 if name in ENTERS else expected)
    saved = client.post(form_of(cast.athlete), sent(hip_ir_front="31"))
    assert saved.status_code == (302 if name in ENTERS else expected)
    assert ScreenEntry.objects.count() == (name in ENTERS)


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("url", ["/screens/station/", "/screens/blank/"])
def test_station_and_sheet_are_for_those_who_may_enter(cast, client_of, name, url):
    expected = 200 if name in ENTERS | {"stranger"} else 403  # the stranger is a clinician without athletes
    assert client_of(cast[name]).get(url).status_code == expected


@pytest.mark.parametrize("name", ["clinician", "coach"])
def test_a_sheet_or_a_form_of_an_unknown_athlete_is_a_404(cast, client_of, name):
    client = client_of(cast[name])
    assert client.get(f"/screens/blank/?athlete={uuid4()}").status_code == 404
    assert client.get("/screens/blank/?athlete=nobody").status_code == 404
    assert client.get(f"/athletes/{uuid4()}/screens/").status_code == 404


def test_only_who_entered_or_staff_takes_back(cast, client_of):
    client_of(cast["coach"]).post(form_of(cast.athlete), sent(hip_ir_front="31"))
    entry = ScreenEntry.objects.get()
    undo = f"/screens/saved/{entry.uuid}/undo/"
    assert client_of(cast["clinician"]).post(undo).status_code == 403
    assert client_of(cast["stranger"]).post(undo).status_code == 404
    assert client_of(cast["admin"]).post(undo).status_code == 302
    assert not CaptureSession.objects.exists()


def test_a_clinician_takes_back_what_they_entered(cast, client_of):
    client = client_of(cast["clinician"])
    client.post(form_of(cast.athlete), sent(hip_ir_front="31"))
    page = text_of(client.post(f"/screens/saved/{ScreenEntry.objects.get().uuid}/undo/", follow=True))
    assert "What was typed is in the form again." in page
    assert 'value="31"' in field(page, "v-hip_ir_front-1")


# ---- the form


def test_the_sides_are_named_as_the_athletes_own(coach, client_of):
    left = factories.AthleteFactory(throws="left")
    page = text_of(client_of(coach).get(form_of(left)))
    assert 'aria-label="Hip internal rotation, front, right hip"' in field(page, "v-hip_ir_front-1")
    assert "throwing side, left arm" in field(page, "v-shoulder_ir_90_throwing-1")


def test_what_is_worked_out_is_never_a_field(athlete, coach, client_of):
    page = text_of(client_of(coach).get(form_of(athlete)))
    assert 'data-worked="shoulder_ir_deficit"' in page
    assert "Total rotation lost on the throwing side" in page
    names = set(re.findall(r'name="v-([a-z0-9_]+)-1"', page))
    assert {"shoulder_ir_90_throwing", "throwing_pain", "leg_strength_back"} <= names
    worked_out = {"shoulder_total_arc_throwing", "shoulder_ir_deficit", "grip_strength_ratio", "bmi", "height_velocity"}
    assert not names & worked_out


def test_the_last_value_stands_beside_with_its_date(athlete, coach, client_of):
    for on, mean in ((dt.date(2026, 1, 9), 28.0), (dt.date(2026, 3, 3), 41.0)):
        session = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="", date=on)
        factories.FindingFactory(session=session, metric="hip_ir_front", mean=mean, condition_set="hands_on")
    page = text_of(client_of(coach).get(form_of(athlete)))
    assert 'last 41° <time datetime="2026-03-03">' in page
    assert "last 28°" not in page


def test_a_value_of_a_withdrawn_session_does_not_stand_beside(athlete, coach, client_of):
    session = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="")
    factories.FindingFactory(session=session, metric="hip_ir_front", mean=41.0, condition_set="hands_on")
    session.mark_withdrawn(coach, "test")
    session.save()
    assert "last 41°" not in text_of(client_of(coach).get(form_of(athlete)))


def test_asked_for_screens_come_first(athlete, coach, client_of):
    page = text_of(client_of(coach).get(f"{form_of(athlete)}?only=hamstring_90_90_back,pec_minor_index_throwing"))
    assert "Asked for" in page
    assert page.index('id="screen-hamstring_90_90"') < page.index('id="screen-pec_minor_index"')
    assert page.index('id="screen-pec_minor_index"') < page.index('id="screen-shoulder_ir_90"')


def test_a_worked_out_screen_opens_at_its_parts(athlete, coach, client_of):
    page = text_of(client_of(coach).get(f"{form_of(athlete)}?screen=shoulder_total_arc_deficit"))
    first = re.findall(r'<section class="screen" id="screen-([a-z0-9_]+)"', page)[:2]
    assert sorted(first) == ["shoulder_er_90", "shoulder_ir_90"]


def test_what_follows_from_the_person_is_said_not_to_be_entered(athlete, coach, client_of):
    page = text_of(client_of(coach).get(f"{form_of(athlete)}?screen=bmi"))
    assert "Body mass index: not entered here" in page
    assert "The chosen twelve" in page


def test_an_unknown_screen_in_the_address_changes_nothing(athlete, coach, client_of):
    page = text_of(client_of(coach).get(f"{form_of(athlete)}?screen=%3Cscript%3E&only=nothing"))
    assert "The chosen twelve" in page
    assert "<script>" not in page


def test_a_refused_value_stands_in_the_form_with_its_sentence(athlete, coach, client_of):
    answer = client_of(coach).post(form_of(athlete), sent(hip_ir_front="200", hip_ir_back="40"))
    page = text_of(answer)
    assert answer.status_code == 422
    assert 'value="200"' in field(page, "v-hip_ir_front-1")
    assert 'aria-invalid="true"' in field(page, "v-hip_ir_front-1")
    assert 'value="40"' in field(page, "v-hip_ir_back-1")
    assert "200° is not plausible: 0° to 75° is." in page
    assert "Nothing is stored yet: 1 value below cannot be." in page


def test_a_wrong_date_is_said_at_the_date(athlete, coach, client_of):
    answer = client_of(coach).post(form_of(athlete), {**sent(hip_ir_front="31"), "date": "2026-04-20"})
    assert answer.status_code == 422
    assert "lies in the future" in text_of(answer)
    assert 'value="31"' in field(text_of(answer), "v-hip_ir_front-1")


def test_a_form_without_its_number_is_refused_and_nothing_typed_is_lost(athlete, coach, client_of):
    answer = client_of(coach).post(form_of(athlete), {**sent(hip_ir_front="31"), "key": "x"})
    assert answer.status_code == 422
    assert "without its number" in text_of(answer)
    assert 'value="31"' in field(text_of(answer), "v-hip_ir_front-1")


def test_saving_leads_to_the_session_with_an_undo(athlete, coach, client_of):
    page = text_of(client_of(coach).post(form_of(athlete), sent(hip_ir_front="31", hip_ir_back="40"), follow=True))
    assert "Hands-on screens" in page
    assert "Ikaika Brandvold: 2 screens saved, measured on 14 April 2026." in page
    assert f"/screens/saved/{ScreenEntry.objects.get().uuid}/undo/" in page


def test_a_second_session_of_the_day_is_named_as_such(athlete, coach, client_of):
    client = client_of(coach)
    client.post(form_of(athlete), sent(hip_ir_front="31"))
    page = text_of(client.post(form_of(athlete), {**sent(hip_ir_front="33"), "own": "on"}, follow=True))
    assert "measured on 14 April 2026, session 2 of that day." in page


def test_a_double_tap_shows_the_same_session(athlete, coach, client_of):
    client, fields = client_of(coach), sent(hip_ir_front="31")
    first, second = client.post(form_of(athlete), fields), client.post(form_of(athlete), fields)
    assert first.url == second.url
    assert ScreenEntry.objects.count() == 1


def test_saved_with_pain_it_asks_and_reports_nothing_by_itself(athlete, coach, client_of):
    fields = {**sent(hip_ir_back="40"), "not-hip_ir_front": "pain"}
    page = text_of(client_of(coach).post(form_of(athlete), fields, follow=True))
    assert "Saved. There was pain." in page
    assert "Hip internal rotation, front hip" in page
    assert f"/athletes/{athlete.uuid}/pain/" in page
    assert not PainReport.objects.exists()


@pytest.mark.parametrize(("key", "value", "asks"), [
    ("elbow_valgus_pain_throwing", "1", True), ("elbow_valgus_pain_throwing", "0", False),
    ("throwing_pain", "4", True), ("throwing_pain", "0", False),
])  # fmt: skip
def test_pain_that_is_a_screens_own_answer_asks_too(athlete, coach, client_of, key, value, asks):
    page = text_of(client_of(coach).post(form_of(athlete), sent(**{key: value}), follow=True))
    assert ("There was pain." in page) == asks


def test_open_pain_stands_on_top_with_what_to_leave(athlete, coach, client_of):
    factories.PainReportFactory(athlete=athlete, where="elbow")
    page = text_of(client_of(coach).get(form_of(athlete)))
    assert "Pain: elbow." in page
    assert "defer to the clinician" in page


def test_a_stopped_athlete_without_pain_is_said_too(athlete, coach, client_of):
    factories.AvailabilityFactory(athlete=athlete, state="stopped", valid_from=factories.DAY)
    assert "defer to the clinician" in text_of(client_of(coach).get(form_of(athlete)))


def test_a_minor_without_consent_has_no_form(coach, client_of):
    minor = factories.AthleteFactory(consent=False)
    page = text_of(client_of(coach).get(form_of(minor)))
    assert "No guardian’s consent is recorded" in page
    assert "data-screens" not in page
    answer = client_of(coach).post(f"{form_of(minor)}draft/", sent(hip_ir_front="31"), headers=FETCH)
    assert answer.status_code == 422
    assert not ScreenDraft.objects.exists()


def test_who_throws_with_both_is_asked_for_the_arm_first(coach, client_of):
    both, client = factories.AthleteFactory(throws="both"), client_of(coach)
    assert "Which one is the throwing arm today?" in text_of(client.get(form_of(both)))
    page = text_of(client.get(f"{form_of(both)}?arm=left"))
    assert "front, right hip" in page
    client.post(form_of(both), {**sent(hip_ir_front="31"), "arm": "left"})
    assert CaptureSession.objects.get().throwing_side == "left"


def test_measured_twice_has_two_fields_a_side(athlete, coach, client_of):
    page = text_of(client_of(coach).get(f"{form_of(athlete)}?rounds=2"))
    assert 'name="v-hip_ir_front-2"' in page
    assert 'name="v-hip_ir_front-3"' not in page


def test_opening_the_form_is_noted_once_and_its_drafts_are_not(athlete, coach, client_of):
    client = client_of(coach)
    client.get(form_of(athlete))
    for value in ("3", "31"):
        client.post(f"{form_of(athlete)}draft/", sent(hip_ir_front=value), headers=FETCH)
    assert list(ViewLog.objects.values_list("what", flat=True)) == ["screens"]


# ---- drafts


def test_a_draft_waits_for_who_typed_it_and_goes_on(athlete, coach, client_of):
    client, fields = client_of(coach), sent(hip_ir_front="31", hip_ir_back="40")
    client.post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    page = text_of(client.get(form_of(athlete)))
    assert "Draft from 14 Apr, 12:00, 2 values." in page
    assert 'value=""' in field(page, "v-hip_ir_front-1")
    page = text_of(client.get(f"{form_of(athlete)}?draft={fields['key']}"))
    assert 'value="31"' in field(page, "v-hip_ir_front-1")
    assert fields["key"] in field(page, "key")


def test_a_draft_is_seen_by_nobody_else(athlete, coach, admin, client_of):
    fields = sent(hip_ir_front="31")
    client_of(coach).post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    page = text_of(client_of(admin).get(f"{form_of(athlete)}?draft={fields['key']}"))
    assert "Draft from" not in page
    assert 'value=""' in field(page, "v-hip_ir_front-1")


def test_nobody_writes_into_somebody_elses_draft(athlete, coach, admin, client_of):
    fields = sent(hip_ir_front="31")
    client_of(coach).post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    client_of(admin).post(f"{form_of(athlete)}draft/", {**fields, "v-hip_ir_front-1": "70"}, headers=FETCH)
    draft = ScreenDraft.objects.get()
    assert (draft.entered_by, draft.payload["v-hip_ir_front-1"]) == (coach, "31")


def test_each_value_replaces_the_draft_before_it(athlete, coach, client_of):
    client, fields = client_of(coach), sent(hip_ir_front="3")
    client.post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    client.post(f"{form_of(athlete)}draft/", {**fields, "v-hip_ir_front-1": "31"}, headers=FETCH)
    assert [draft.payload["v-hip_ir_front-1"] for draft in ScreenDraft.objects.all()] == ["31"]


def test_a_form_that_was_emptied_has_no_draft(athlete, coach, client_of):
    client, fields = client_of(coach), sent(hip_ir_front="3")
    client.post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    client.post(f"{form_of(athlete)}draft/", {**fields, "v-hip_ir_front-1": ""}, headers=FETCH)
    assert not ScreenDraft.objects.exists()


def test_saving_ends_the_draft_also_when_its_last_word_comes_late(athlete, coach, client_of):
    client, fields = client_of(coach), sent(hip_ir_front="31")
    client.post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    client.post(form_of(athlete), fields)
    client.post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    assert not ScreenDraft.objects.exists()


def test_thrown_away_it_is_gone(athlete, coach, client_of):
    client = client_of(coach)
    client.post(f"{form_of(athlete)}draft/", sent(hip_ir_front="31"), headers=FETCH)
    page = text_of(client.post(f"{form_of(athlete)}draft/throw-away/", follow=True))
    assert "The draft is thrown away." in page
    assert not ScreenDraft.objects.exists()


def test_throwing_away_leaves_the_form_that_is_open(athlete, coach, client_of):
    client, old, now = client_of(coach), sent(hip_ir_front="31"), sent(hip_ir_front="35")
    for fields in (old, now):
        client.post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    client.post(f"{form_of(athlete)}draft/throw-away/", {"keep": now["key"]})
    assert [str(one.uuid) for one in ScreenDraft.objects.all()] == [now["key"]]


def test_without_script_a_button_keeps_the_draft(athlete, coach, client_of):
    page = text_of(client_of(coach).post(f"{form_of(athlete)}draft/", sent(hip_ir_front="31"), follow=True))
    assert "Kept as a draft" in page
    assert 'value="31"' in field(page, "v-hip_ir_front-1")


def test_a_draft_holds_the_forms_fields_and_no_others(athlete, coach, client_of):
    fields = {**sent(hip_ir_front="3" * 500), "password": "x", "v-" + "a" * 200: "1"}
    client_of(coach).post(f"{form_of(athlete)}draft/", fields, headers=FETCH)
    kept = ScreenDraft.objects.get().payload
    assert set(kept) == {"v-hip_ir_front-1", "date", "units"}
    assert len(kept["v-hip_ir_front-1"]) == 40


def test_drafts_are_forgotten_after_a_week(athlete, coach, client_of, today):
    client_of(coach).post(f"{form_of(athlete)}draft/", sent(hip_ir_front="31"), headers=FETCH)
    today.move(days=7)
    assert forget_old_screen_drafts() == 0
    today.move(seconds=1)
    assert forget_old_screen_drafts() == 1
    assert not ScreenDraft.objects.exists()


# ---- station


@pytest.fixture
def team(coach):
    """Three athletes of the coach, by family name; the last has no consent."""
    make = factories.AthleteFactory
    return [
        make(given_name="Ada", family_name="Ahlgren", responsible_coach=coach),
        make(given_name="Bo", family_name="Bertilsson", responsible_coach=coach),
        make(given_name="Cai", family_name="Carlin", responsible_coach=coach, consent=False),
    ]


STATION = "/screens/station/?only=hip_ir&who=mine"


def named(page: str) -> str:
    found = re.search(r'<h1 class="station-name">([^<]+)', page)
    return found[1] if found else ""


def test_a_station_goes_from_one_athlete_to_the_next_and_ends(team, coach, client_of):
    client = client_of(coach)
    page = text_of(client.get(STATION))
    assert (named(page), "0 of 3 done" in page, "no consent" in page) == ("Ada Ahlgren", True, True)
    page = text_of(client.post(f"{STATION}&at={team[0].uuid}", sent(hip_ir_front="31"), follow=True))
    assert (named(page), "1 of 3 done" in page) == ("Bo Bertilsson", True)
    assert "Ada Ahlgren: 1 screen saved" in page
    page = text_of(client.post(f"{STATION}&at={team[1].uuid}", sent(hip_ir_front="35"), follow=True))
    assert "Everyone is done" in page
    assert {one.athlete for one in CaptureSession.objects.all()} == set(team[:2])


def test_the_station_shows_only_its_screens(team, coach, client_of):
    page = text_of(client_of(coach).get(STATION))
    assert set(re.findall(r'name="v-([a-z0-9_]+)-1"', page)) == {"hip_ir_front", "hip_ir_back"}


def test_skip_leads_to_the_next_and_the_skipped_one_is_asked_for_last(team, coach, client_of):
    client = client_of(coach)
    assert f"at={team[1].uuid}" in re.search(r'href="([^"]+)">Skip<', text_of(client.get(STATION)))[1]
    page = text_of(client.post(f"{STATION}&at={team[1].uuid}", sent(hip_ir_front="35"), follow=True))
    assert named(page) == "Ada Ahlgren"


def test_the_wrong_athlete_is_undone_in_one_tap_which_moves_back(team, coach, client_of):
    client = client_of(coach)
    page = text_of(client.post(f"{STATION}&at={team[0].uuid}", sent(hip_ir_front="31"), follow=True))
    undo = re.search(r'action="(/screens/saved/[^"]+)"', page)[1].replace("&amp;", "&")
    page = text_of(client.post(undo, follow=True))
    assert named(page) == "Ada Ahlgren"
    assert 'value="31"' in field(page, "v-hip_ir_front-1")
    assert not CaptureSession.objects.exists()


def test_an_undo_never_leads_to_another_site(athlete, coach, client_of):
    client = client_of(coach)
    client.post(form_of(athlete), sent(hip_ir_front="31"))
    answer = client.post(f"/screens/saved/{ScreenEntry.objects.get().uuid}/undo/?next=https://elsewhere.example/")
    assert answer.url.startswith(form_of(athlete))


def test_a_refused_value_keeps_the_athlete_at_the_station(team, coach, client_of):
    answer = client_of(coach).post(f"{STATION}&at={team[0].uuid}", sent(hip_ir_front="200"))
    assert answer.status_code == 422
    assert named(text_of(answer)) == "Ada Ahlgren"


def test_a_station_of_a_group_and_of_a_list(team, coach, client_of):
    group = factories.TrainingGroupFactory(name="Thursday", athletes=[team[1]])
    client = client_of(coach)
    page = text_of(client.get(f"/screens/station/?only=hip_ir&who=group&group={group.uuid}"))
    assert (named(page), "0 of 1 done" in page) == ("Bo Bertilsson", True)
    page = text_of(client.get(f"/screens/station/?only=hip_ir&who=list&athlete={team[0].uuid}&athlete={team[1].uuid}"))
    assert "0 of 2 done" in page


def test_named_athletes_are_meant_also_when_mine_still_stands_chosen(team, coach, client_of):
    page = text_of(client_of(coach).get(f"/screens/station/?only=hip_ir&who=mine&athlete={team[1].uuid}"))
    assert "0 of 1 done" in page


def test_who_measured_stands_on_the_sessions_page(athlete, coach, client_of):
    page = text_of(client_of(coach).post(form_of(athlete), sent(hip_ir_front="31"), follow=True))
    assert "Hands-on, by Ngaire Abaza" in page


def test_a_clinicians_station_holds_the_referred_only(cast, client_of):
    """Looked for by uuid and within the page: a made account can have an athlete's name, which stands in the menu."""
    page = text_of(client_of(cast["clinician"]).get("/screens/station/?only=hip_ir&who=all"))
    assert "0 of 1 done" in page
    assert str(cast.other_athlete.uuid) not in page
    forged = f"/screens/station/?only=hip_ir&who=list&athlete={cast.other_athlete.uuid}"
    inside = text_of(client_of(cast["clinician"]).get(forged)).split("<main", 1)[1]
    assert cast.other_athlete.name not in inside


@pytest.mark.parametrize(("query", "sentence"), [
    ("who=mine", "Choose at least one screen."), ("only=hip_ir&who=group&group=", "Nobody is in this choice."),
])  # fmt: skip
def test_a_station_without_screens_or_people_asks(coach, client_of, query, sentence):
    assert sentence in text_of(client_of(coach).get(f"/screens/station/?{query}"))


def test_a_link_that_names_only_the_screen_asks_whose_without_blame(coach, client_of):
    page = text_of(client_of(coach).get("/screens/station/?only=hip_ir_front"))
    assert 'value="hip_ir" checked' in page
    assert 'role="alert"' not in page


def test_athletes_screened_today_in_another_screen_are_not_done_here(team, coach, client_of):
    client_of(coach).post(form_of(team[0]), sent(hip_er_front="40"))
    assert "0 of 3 done" in text_of(client_of(coach).get(STATION))


# ---- the sheet


def test_the_sheet_has_the_chosen_twelve_with_last_values(athlete, coach, client_of):
    session = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="")
    factories.FindingFactory(session=session, metric="hip_ir_front", mean=41.0, condition_set="hands_on")
    page = text_of(client_of(coach).get(f"/screens/blank/?athlete={athlete.uuid}"))
    assert page.count('scope="row"') == 12
    assert page.count("pen-box") == 24
    assert "last 41°, 14 Apr 2026" in page
    assert escape(athlete.name) in page


# ---- queries


def queries_of(client, url: str) -> int:
    with CaptureQueriesContext(connection) as counted:
        assert client.get(url).status_code == 200
    return len(counted)


def test_the_form_asks_the_database_as_often_with_a_long_history(athlete, coach, client_of):
    client = client_of(coach)
    none = queries_of(client, form_of(athlete))
    for week in range(12):
        on = factories.DAY - dt.timedelta(weeks=week)
        session = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="", date=on)
        for metric in ("hip_ir_front", "hip_ir_back", "hip_er_front"):
            factories.FindingFactory(session=session, metric=metric, condition_set="hands_on")
    assert Finding.objects.count() == 36
    assert queries_of(client, form_of(athlete)) == none < 20


def test_a_station_of_forty_asks_as_often_as_one_of_two(coach, client_of):
    client = client_of(coach)
    factories.AthleteFactory.create_batch(2, responsible_coach=coach)
    two = queries_of(client, STATION)
    factories.AthleteFactory.create_batch(38, responsible_coach=coach)
    assert queries_of(client, STATION) == two
