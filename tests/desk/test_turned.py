"""The screen turned to the person beside the coach: one page answers, for them, until the PIN."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.contrib.auth.hashers import make_password
from django.contrib.sessions.backends.db import SessionStore
from django.test import Client, RequestFactory
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from athletes.access import athlete_or_404
from athletes.models import User, ViewLog
from athletes.services.turning import try_pin
from athletes.turning import turned_in
from desk.turning import PARTS, WAYS_BACK
from metrics.catalogue import load_catalogue
from metrics.models import Finding, StartingPointAnswer
from metrics.selectors.for_visitor import curves_for_visitor, is_outcome
from metrics.selectors.session_page import session_page
from metrics.selectors.session_rows import RELATED
from metrics.services.scoring import rescore
from sessions.access import session_or_404
from sessions.models import CaptureSession
from sessions.services.throws import exclude_throw
from tests import factories

pytestmark = pytest.mark.django_db

PIN = "4821"
ELBOW, TORQUE = "elbow_flexion_fp", "elbow_varus_torque_max"


@pytest.fixture(autouse=True)
def profile(facility):
    """Elbow flexion and the elbow's torque are judged, and both will be flagged."""
    facility.shows_session_score = True
    facility.save()
    made = factories.RangeProfileVersionFactory(profile__in_use=True)
    for metric, limits in ((ELBOW, (85, 100, 80, 105)), (TORQUE, (None, 60, None, 80))):
        low, high, flag_low, flag_high = limits
        factories.RangeRuleFactory(
            version=made, metric=metric, landing="fc" if metric == ELBOW else "",
            target_low=low, target_high=high, flag_low=flag_low, flag_high=flag_high, source="Test source",
        )  # fmt: skip
    return factories.publish(made)


@pytest.fixture
def capture(athlete, coach):
    """A session with a flag, a flagged load, a throw left out in words, and a coach's answer."""
    made = factories.CaptureSessionFactory(athlete=athlete)
    for value in (70, 72, 71, 70, 90):
        throw = factories.ThrowFactory(session=made)
        values = {f"{ELBOW}@fc": {"value": value}, f"{TORQUE}@fc-br": {"value": 120.0}}
        factories.ReadingFactory(throw=throw, values=values)
    exclude_throw(throw=throw, by=coach, reason="looked lazy")
    StartingPointAnswer.objects.create(
        session=made, kind="rejected", metric=ELBOW, direction="low", reason="not in the mood", given_by=coach,
        given_at=factories.NOON,
    )  # fmt: skip
    rescore(made)
    return made


@pytest.fixture
def client(coach, client_of):
    """Signed in as the coach, who has a PIN."""
    coach.turn_pin = make_password(PIN)
    coach.save()
    return client_of(coach)


def url_of(row: Any, page: str = "metrics:session") -> str:
    return reverse(page, args=[row.uuid])


def turn(client: Client, url: str):
    return client.post(reverse("desk:turn"), {"path": url})


@pytest.fixture
def turned(client, capture):
    """A client whose screen is turned to the session of Ikaika."""
    assert turn(client, url_of(capture)).headers["Location"] == url_of(capture)
    return client


def back(client: Client, pin: str):
    return client.post(reverse("desk:turn-back"), {"pin": pin})


# ---- one tap ------------------------------------------------------------------------------------------------


def test_the_first_time_a_pin_is_chosen_and_later_one_tap_is_enough(capture, coach, client_of):
    client = client_of(coach)
    assert "Choose a PIN" in client.get(turn(client, url_of(capture)).headers["Location"]).content.decode()
    assert client.get(reverse("desk:roster")).status_code == 200
    sent = {"path": url_of(capture), "pin": PIN, "again": PIN}
    assert client.post(reverse("desk:turn-pin"), sent).headers["Location"] == url_of(capture)
    assert "Turned to <b>Ikaika</b>" in client.get(url_of(capture)).content.decode()
    assert back(client, PIN).headers["Location"] == url_of(capture)
    turn(client, url_of(capture))
    assert client.get(reverse("desk:roster")).status_code == 302


def test_the_pin_is_kept_hashed(capture, coach, client_of):
    client_of(coach).post(reverse("desk:turn-pin"), {"path": url_of(capture), "pin": PIN, "again": PIN})
    coach.refresh_from_db()
    assert coach.turn_pin
    assert PIN not in coach.turn_pin


@pytest.mark.parametrize(
    ("pin", "again"),
    [("", ""), ("123", "123"), ("123456789", "123456789"), ("12a4", "12a4"), ("١٢٣٤", "١٢٣٤"), ("4821", "4822")],
)
def test_what_is_no_pin_is_told_and_nothing_is_turned(capture, coach, client_of, pin, again):
    client = client_of(coach)
    answer = client.post(reverse("desk:turn-pin"), {"path": url_of(capture), "pin": pin, "again": again})
    assert answer.status_code == 422
    coach.refresh_from_db()
    assert coach.turn_pin == ""
    assert client.get(reverse("desk:roster")).status_code == 200


def test_a_pin_that_there_is_is_not_replaced(client, capture, coach):
    answer = client.post(reverse("desk:turn-pin"), {"path": url_of(capture), "pin": "9999", "again": "9999"})
    assert answer.status_code == 422
    turn(client, url_of(capture))
    assert back(client, "9999").status_code == 422


def test_the_button_stands_on_pages_of_one_athlete_for_staff(client, capture, clinician, athlete, client_of):
    for page, row in (("metrics:session", capture), ("desk:record", athlete), ("desk:mine", athlete)):
        assert "Turn the screen" in client.get(url_of(row, page)).content.decode()
    assert "Turn the screen" not in client.get(reverse("desk:roster")).content.decode()
    assert "Turn the screen" not in client_of(clinician).get(url_of(capture)).content.decode()


def test_a_record_is_turned_into_the_progress_page(client, athlete):
    assert turn(client, url_of(athlete, "desk:record")).headers["Location"] == url_of(athlete, "desk:mine")
    page = client.get(url_of(athlete, "desk:mine")).content.decode()
    assert "Turned to <b>Ikaika</b>" in page
    assert reverse("desk:record", args=[athlete.uuid]) not in page


@pytest.mark.parametrize(
    "path", ["", "/", "/roster/", "https://elsewhere.example/", "//elsewhere.example/", "/nothing/"]
)
def test_no_other_page_is_turned(client, path):
    assert turn(client, path).status_code == 404
    assert client.get(reverse("desk:roster")).status_code == 200


@pytest.mark.parametrize("name", ["visiting_coach", "clinician", "athlete_user", "guardian", "stranger"])
def test_only_staff_turn(cast, capture, client_of, name):
    assert turn(client_of(cast[name]), url_of(capture)).status_code == 403


def test_turning_is_noted_as_a_look(turned, athlete):
    assert ViewLog.objects.filter(athlete_uuid=athlete.uuid, what="screen turned").exists()


# ---- what the person sees -----------------------------------------------------------------------------------


def test_the_turned_page_shows_findings_and_nothing_of_the_staff(turned, capture, coach, athlete):
    page = turned.get(url_of(capture)).content.decode()
    name = load_catalogue().metric(ELBOW).name
    assert name.partition(" at ")[0] in page
    for words in (
        "looked lazy", "not in the mood", "torque", "Torque", "Outcomes", "Score ", "Roster", "Withdraw", "Exclude",
        "somebody else", "Save as CSV", 'type="search"', "Sign out", "Turn the screen", coach.username,
    ):  # fmt: skip
        assert words not in page, words
    assert page.count("<form") == page.count("dialog") // 2 == 1  # that of the keys, which sends nothing


def test_the_same_page_shows_all_of_that_before_it_is_turned(client, capture):
    """Else the test above could not fail."""
    page = client.get(url_of(capture)).content.decode()
    for words in ("looked lazy", "orque", "Outcomes", "Roster", "Withdraw", "Exclude", "Save as CSV", "Sign out"):
        assert words in page, words


def test_no_link_of_the_turned_page_leads_elsewhere(turned, capture):
    page = turned.get(url_of(capture), {"all": "1"}).content.decode()
    links = set(re.findall(r'(?:href|hx-get|action|hx-post)="(/[^"#]*)', page))
    allowed = (url_of(capture), reverse("desk:turn-back"), "/static/")
    assert {link for link in links if not link.startswith(allowed)} == set()


def test_other_sessions_of_the_athlete_are_not_led_to(client, capture, athlete):
    other = factories.CaptureSessionFactory(athlete=athlete, method="video")
    assert url_of(other) in client.get(url_of(capture)).content.decode()
    turn(client, url_of(capture))
    assert url_of(other) not in client.get(url_of(capture)).content.decode()


def test_the_fragment_for_htmx_leaves_the_same_out(turned, capture):
    part = turned.get(url_of(capture), headers={"HX-Request": "true"}).content.decode()
    assert "orque" not in part
    assert "looked lazy" not in part


def test_an_outcome_has_no_page_and_a_finding_has_one(turned, capture):
    assert Finding.objects.get(session=capture, metric=TORQUE).mean == 120.0
    assert turned.get(reverse("metrics:finding", args=[capture.uuid, ELBOW])).status_code == 200
    assert turned.get(reverse("metrics:finding", args=[capture.uuid, TORQUE])).status_code == 404


def test_curves_whose_peak_is_an_outcome_are_left_out(turned, capture):
    names = {curve.name for curve in curves_for_visitor()}
    assert "elbow_flexion" in names
    assert "elbow_extension_velocity" not in names
    url = reverse("metrics:session-curves", args=[capture.uuid])
    assert turned.get(url, {"curve": "elbow_flexion"}).status_code == 200
    assert turned.get(url, {"curve": "elbow_extension_velocity"}).status_code == 404


def test_no_outcome_stands_anywhere_in_the_page_as_a_value(capture):
    loaded = CaptureSession.objects.select_related(*RELATED, "athlete").get(pk=capture.pk)
    page = session_page(loaded, show_all=True, for_visitor=True)
    assert page.outcomes == ()
    assert not [line.key for group in page.groups for line in group.lines if is_outcome(line.key)]
    assert TORQUE not in page.line.wide + page.line.upright
    assert TORQUE in session_page(loaded, show_all=True).line.wide


def test_where_only_a_load_is_flagged_the_page_does_not_say_that_nothing_is(client, athlete):
    capture = factories.CaptureSessionFactory(athlete=athlete)
    for _ in range(4):
        values = {f"{ELBOW}@fc": {"value": 92.0}, f"{TORQUE}@fc-br": {"value": 120.0}}
        factories.ReadingFactory(throw=factories.ThrowFactory(session=capture), values=values)
    rescore(capture)
    assert "Nothing is flagged" in client.get(url_of(capture)).content.decode()
    turn(client, url_of(capture))
    page = client.get(url_of(capture)).content.decode()
    assert "No movement is flagged" in page
    assert "Nothing is flagged" not in page


# ---- what is held -------------------------------------------------------------------------------------------


def every_address(turned_to: CaptureSession) -> list[tuple[str, str]]:
    """Every named address of the application, filled in with rows that are there, or with the turned session."""
    known = {"uuid": turned_to.uuid, "throw_uuid": turned_to.throws.first().uuid, "metric": ELBOW}
    found = []

    def walk(patterns, spaces):
        for one in patterns:
            if isinstance(one, URLResolver):
                walk(one.url_patterns, [*spaces, one.namespace] if one.namespace else spaces)
            elif isinstance(one, URLPattern) and one.name:
                name = ":".join([*spaces, one.name])
                wanted = one.pattern.converters
                regex_groups = one.pattern.regex.groupindex
                kwargs = {
                    key: known.get(key, turned_to.uuid if "uuid" in key else 1) for key in {**wanted, **regex_groups}
                }
                try:
                    found.append((name, reverse(name, kwargs=kwargs)))
                except Exception:  # an address of the administration that takes more than we have
                    continue

    walk(get_resolver().url_patterns, [])
    return found


def test_every_address_but_those_of_the_page_leads_back_to_it(turned, capture):
    """Pages, parts, files, API, administration and sign-in: each named address of the application."""
    passing = PARTS["metrics:session"] | set(WAYS_BACK)
    seen = set()
    for name, url in every_address(capture):
        answer = turned.get(url)
        if name not in passing:
            assert (answer.status_code, answer.headers.get("Location")) == (302, url_of(capture)), name
            seen.add(name.partition(":")[0])
    assert {"desk", "metrics", "sessions", "athletes", "api", "admin", "login", "logout"} <= seen


def test_loaders_give_no_right_to_change_while_the_screen_is_turned(turned, capture, athlete, coach):
    """What the parts of a page ask before they draw a button: events of a throw, for one."""
    request = RequestFactory().get("/")
    request.user, request.session = coach, {}
    assert session_or_404(request, capture.uuid, what="x").may_change
    assert athlete_or_404(request, athlete.uuid, what="x").may_change
    request.session = turned.session
    assert not session_or_404(request, capture.uuid, what="x").may_change
    assert not athlete_or_404(request, athlete.uuid, what="x").may_change


def test_whatever_is_sent_is_refused(turned, capture):
    for name, url in every_address(capture):
        if name not in WAYS_BACK:
            for method in ("post", "put", "patch", "delete"):
                assert getattr(turned, method)(url).status_code == 403, (name, method)
    capture.refresh_from_db()
    assert capture.withdrawn_at is None


@pytest.mark.parametrize("page", ["metrics:session", "metrics:session-motion", "metrics:session-curves"])
def test_the_same_pages_of_others_are_held(turned, capture, other_athlete, athlete, page):
    for whose in (other_athlete, athlete):
        other = factories.CaptureSessionFactory(athlete=whose, method="video")
        answer = turned.get(url_of(other, page), {"curve": "elbow_flexion"})
        assert answer.headers["Location"] == url_of(capture)


def test_a_new_tab_and_the_button_back_find_the_turned_page(turned, capture):
    for url in ("/", reverse("desk:roster"), reverse("desk:search") + "?q=Strand", "/nothing-here/"):
        assert turned.get(url).headers["Location"] == url_of(capture)


def test_a_part_that_a_page_from_before_asks_for_leads_there_too(turned, capture):
    answer = turned.get(reverse("desk:coming"), headers={"HX-Request": "true"})
    assert answer.headers["HX-Redirect"] == url_of(capture)
    assert answer.content == b""


def test_api_and_administration_are_held(admin, capture, client_of):
    admin.turn_pin = make_password(PIN)
    admin.save()
    client = client_of(admin)
    assert client.get("/api/athletes/").status_code == client.get("/admin/").status_code == 200
    turn(client, url_of(capture))
    for url in ("/api/athletes/", f"/api/sessions/{capture.uuid}/", "/api/schema/", "/admin/", "/admin/athletes/user/"):
        assert client.get(url, headers={"Accept": "application/json"}).headers["Location"] == url_of(capture)


def test_no_page_of_an_account_is_kept_by_the_browser(client, capture):
    before = client.get(reverse("desk:roster"))
    assert before.headers["Cache-Control"] == "no-store"
    turning = turn(client, url_of(capture))
    assert turning.headers["Clear-Site-Data"] == '"cache"'
    for url in (url_of(capture), reverse("desk:turn-back"), reverse("desk:roster")):
        assert client.get(url).headers["Cache-Control"] == "no-store"


def test_another_browser_of_the_same_account_is_not_turned(turned, coach, client_of):
    assert client_of(coach).get(reverse("desk:roster")).status_code == 200


def test_a_session_that_is_gone_meanwhile_leads_to_the_pin(turned, capture):
    CaptureSession.objects.filter(pk=capture.pk).update(withdrawn_at=factories.NOON)
    assert turned.get(url_of(capture)).headers["Location"] == reverse("desk:turn-back")
    assert turned.get(reverse("desk:turn-back")).status_code == 200


# ---- the way back -------------------------------------------------------------------------------------------


def test_the_pin_leads_back_and_everything_opens_again(turned, capture):
    assert back(turned, PIN).headers["Location"] == url_of(capture)
    assert "Withdraw" in turned.get(url_of(capture)).content.decode()
    assert turned.get(reverse("desk:roster")).status_code == 200


def test_a_wrong_pin_says_how_many_are_left_and_stays(turned, capture):
    answer = back(turned, "0000")
    assert answer.status_code == 422
    assert "After 4 more wrong ones" in answer.content.decode()
    assert turned.get("/").headers["Location"] == url_of(capture)


def test_five_wrong_ones_sign_out_and_take_the_pin(turned, coach):
    for _ in range(4):
        assert back(turned, "0000").status_code == 422
    assert back(turned, "0000").headers["Location"] == reverse("login")
    assert "_auth_user_id" not in turned.session
    coach.refresh_from_db()
    assert coach.turn_pin == ""


def test_a_right_one_in_between_begins_the_count_anew(turned, capture):
    for _ in range(2):
        for _ in range(4):
            back(turned, "0000")
        assert back(turned, PIN).status_code == 302
        turn(turned, url_of(capture))
    assert back(turned, "0000").status_code == 422


def test_going_to_other_pages_does_not_begin_the_count_anew(turned, capture):
    for _ in range(4):
        back(turned, "0000")
        turned.get(url_of(capture))
        turn(turned, url_of(capture))
    assert back(turned, "0000").headers["Location"] == reverse("login")


def test_forgotten_signs_out_and_a_new_pin_is_chosen_after_signing_in(turned, capture, coach, client_of):
    assert turned.post(reverse("desk:turn-forgotten")).headers["Location"] == reverse("login")
    assert turned.get(reverse("desk:roster")).headers["Location"].startswith(reverse("login"))
    again = client_of(User.objects.get(pk=coach.pk))
    assert turn(again, url_of(capture)).headers["Location"].startswith(reverse("desk:turn-pin"))


def test_a_screen_that_is_not_turned_takes_no_pin_and_forgets_none(client, coach):
    assert client.get(reverse("desk:turn-back")).headers["Location"] == reverse("desk:today")
    client.post(reverse("desk:turn-forgotten"))
    coach.refresh_from_db()
    assert coach.turn_pin


def test_tries_that_another_request_made_meanwhile_are_counted_and_the_last_closes_the_door(turned, coach):
    """Each try reads the count from the stored session under the account’s lock, not from its own request."""
    key = turned.session.session_key
    assert [try_pin(account=coach, session_key=key, pin="0000") for _ in range(3)] == [4, 3, 2]
    assert "One more wrong one" in back(turned, "0000").content.decode()
    assert [try_pin(account=coach, session_key=key, pin=pin) for pin in ("0000", "0000", PIN)] == [0, 0, 0]
    assert turned_in(SessionStore(key)) is not None
