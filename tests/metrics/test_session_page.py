"""The session's page: who sees it, what stands on it, what a press on a throw does to it."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from scipy import stats

from metrics.catalogue import load_catalogue
from metrics.models import Finding
from metrics.selectors.session_page import session_page
from metrics.selectors.session_rows import RELATED
from metrics.services.causes import install_starting_cause_links
from metrics.services.scoring import rescore
from sessions.models import CaptureSession
from tests import factories
from tests.conftest import CAST

pytestmark = pytest.mark.django_db

ELBOW, FRONT_KNEE, TRUNK = "elbow_flexion_fp", "lead_knee_extension", "trunk_opening_time"
PAGES = ("metrics:session", "metrics:session-csv", "metrics:session-throws-csv")
HTMX = {"HX-Request": "true"}


@pytest.fixture
def profiles(db):
    factories.starting_profiles()


def captured(athlete, values: dict[str, float], *, throws: int = 5, days_ago: int = 0, **changes) -> CaptureSession:
    """A scored session in which every throw gave these values, at first touch."""
    day = factories.DAY - dt.timedelta(days=days_ago)
    capture = factories.CaptureSessionFactory(athlete=athlete, date=day, **changes)
    catalogue = load_catalogue()
    readings = {catalogue.metric(key).reading_key("fc"): {"value": value} for key, value in values.items()}
    for _ in range(throws):
        factories.ReadingFactory(throw=factories.ThrowFactory(session=capture), values=readings)
    rescore(capture)
    return capture


@pytest.fixture
def capture(profiles, facility, athlete):
    return captured(athlete, {ELBOW: 92.0, FRONT_KNEE: -25.0, TRUNK: 20.0})


def address(capture: CaptureSession, name: str = "metrics:session", *more: object) -> str:
    return reverse(name, args=[capture.uuid, *more])


def page_of(capture: CaptureSession, **options):
    return session_page(CaptureSession.objects.select_related("athlete", *RELATED).get(pk=capture.pk), **options)


def lines(page) -> dict[str, list[str]]:
    return {group.key: [line.key for line in group.lines] for group in page.groups}


# ---- who ------------------------------------------------------------------------------------------------

READERS = {"admin", "coach", "clinician"}


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("page", PAGES)
def test_staff_and_the_clinician_in_charge_read_a_session_others_find_nothing(cast, profiles, client_of, name, page):
    capture = captured(cast.athlete, {ELBOW: 92.0})
    answer = client_of(cast[name]).get(address(capture, page))
    assert answer.status_code == (200 if name in READERS else 404)


def test_a_stranger_and_a_missing_session_get_the_same_answer(cast, profiles, client_of):
    capture = captured(cast.athlete, {ELBOW: 92.0})
    client = client_of(cast["stranger"])
    missing = client.get(reverse("metrics:session", args=["00000000-0000-4000-8000-000000000000"]))
    assert client.get(address(capture)).content == missing.content
    assert missing.status_code == 404


def test_nobody_is_sent_to_sign_in(capture, client_of):
    assert client_of(None).get(address(capture)).headers["Location"].startswith("/sign-in/")


@pytest.mark.parametrize(("name", "status"), [("clinician", 403), ("guardian", 404), ("athlete_user", 404)])
@pytest.mark.parametrize("act", ["metrics:throw-exclude", "metrics:throw-include", "metrics:throw-conditions"])
def test_who_may_not_change_a_throw_does_not(cast, profiles, client_of, name, status, act):
    capture = captured(cast.athlete, {ELBOW: 92.0})
    thrown = capture.throws.first()
    answer = client_of(cast[name]).post(address(capture, act, thrown.uuid), {"reason": "slipped"})
    assert answer.status_code == status
    assert capture.throws.filter(excluded_at=None).count() == 5


def test_a_clinician_gets_no_buttons(cast, profiles, client_of):
    capture = captured(cast.athlete, {ELBOW: 92.0})
    html = client_of(cast["clinician"]).get(address(capture)).content.decode()
    assert "Exclude" not in html
    assert "Exclude" in client_of(cast["coach"]).get(address(capture)).content.decode()


def test_a_look_is_noted(capture, client_of, coach):
    from athletes.models import ViewLog

    client_of(coach).get(address(capture))
    assert ViewLog.objects.get().athlete_uuid == capture.athlete.uuid


# ---- what stands on it ----------------------------------------------------------------------------------


def test_the_page_opens_on_first_look_and_flags_and_says_what_was_not_measured(capture):
    page = page_of(capture)
    groups = lines(page)
    assert groups["flag"] == [FRONT_KNEE]
    first_look = {metric.key for metric in load_catalogue().first_look}
    assert set(groups["not_scored"]) == first_look - {ELBOW, FRONT_KNEE, TRUNK}
    assert page.sentence == "One flag: lead knee extension (collapsing); 3 of 12 first-look metrics scored."


def test_video_is_not_asked_for_what_a_camera_cannot_give(profiles, athlete):
    page = page_of(captured(athlete, {ELBOW: 100.0}, method="video"))
    cannot = {metric.key for metric in load_catalogue().first_look if not metric.can_be_given_by("video")}
    assert cannot
    assert not cannot & {key for keys in lines(page).values() for key in keys}


def test_all_shows_every_finding_but_outcomes(profiles, athlete):
    capture = captured(athlete, {ELBOW: 92.0, "elbow_flexion_br": 25.0, "elbow_varus_torque_max": 60.0})
    shown = {key for keys in lines(page_of(capture)).values() for key in keys}
    every = {key for keys in lines(page_of(capture, show_all=True)).values() for key in keys}
    assert "elbow_flexion_br" not in shown
    assert "elbow_flexion_br" in every
    assert "elbow_varus_torque_max" not in every
    assert [cell.line.key for cell in page_of(capture).outcomes] == ["ball_speed", "elbow_varus_torque_max"]


def test_flags_of_one_family_stand_on_one_line(facility, athlete):
    version = factories.RangeProfileVersionFactory(profile__in_use=True)
    for metric in ("elbow_flexion_max", "elbow_flexion_mer"):
        factories.RangeRuleFactory(version=version, metric=metric, target_low=85, target_high=100, flag_low=80,
                                   flag_high=105)  # fmt: skip
    factories.publish(version)
    capture = captured(athlete, {"elbow_flexion_max": 50.0, "elbow_flexion_mer": 50.0})
    page = page_of(capture)
    assert lines(page)["flag"] == ["elbow_flexion_mer"]  # weight 6 stands before weight 4
    assert page.groups[0].lines[0].more == 1
    assert len(lines(page_of(capture, show_all=True))["flag"]) == 2


def test_a_row_says_where_it_stands_with_mark_word_chance_range_and_status(capture, client_of, coach):
    html = client_of(coach).get(address(capture)).content.decode()
    row = re.search(r"<tr class=\"f\">.*?</tr>", html, re.DOTALL).group()
    assert "<b>flag low</b>" in row
    assert "sure 99%" in row
    assert 'role="img"' in row
    assert "house opinion" in row
    assert "new, confirmed" in row
    assert "weight 7" in row


def test_the_last_comparable_session_is_a_difference_that_is_better_only_when_it_is_real(
    profiles, facility, athlete, client_of, coach
):
    captured(athlete, {ELBOW: 100.0}, days_ago=60, method="video")
    captured(athlete, {ELBOW: 88.0}, days_ago=30)
    now = captured(athlete, {ELBOW: 92.0})
    page = page_of(now)
    line = next(line for group in page.groups for line in group.lines if line.key == ELBOW)
    assert (page.last_time, line.difference, line.previous_mean) == (dt.date(2026, 3, 15), 4.0, 88.0)
    html = client_of(coach).get(address(now)).content.decode()
    assert "Since 15 March" in html
    assert "+4°" in html
    assert "no real change" in html
    assert "better" not in html


def test_baseline_is_the_first_session_of_a_method(profiles, athlete):
    first = captured(athlete, {ELBOW: 92.0}, days_ago=30)
    video = captured(athlete, {ELBOW: 100.0}, days_ago=10, method="video")
    second = captured(athlete, {ELBOW: 92.0})
    assert [page_of(one).title for one in (first, video, second)] == ["Baseline", "Baseline", "Re-test"]
    middle = page_of(video)
    assert (middle.previous.date, middle.following.date) == (first.date, second.date)
    assert [link.is_current for link in middle.sessions] == [False, True, False]


def test_other_throws_are_for_orientation_and_say_so(profiles, athlete):
    capture = captured(athlete, {ELBOW: 92.0})
    capture.throws.update(surface="flat_ground")
    rescore(capture)
    banner = page_of(capture).banners[0]
    assert banner.startswith("For orientation")
    assert "5 throws of another kind: flat ground, full effort" in banner


def test_ball_speed_is_in_the_readers_units(capture, client_of, coach):
    assert "80.5 mph" in client_of(coach).get(address(capture)).content.decode()  # 36.0 m/s / 0.44704
    type(coach).objects.filter(pk=coach.pk).update(units="metric")
    assert "129.6 km/h" in client_of(coach).get(address(capture)).content.decode()


def test_no_score_stands_on_the_page(capture, client_of, coach):
    assert "score of" not in client_of(coach).get(address(capture)).content.decode().lower()


def test_a_session_without_throws_says_what_would_stand_here(profiles, facility, athlete, client_of, coach):
    capture = factories.CaptureSessionFactory(athlete=athlete)
    html = client_of(coach).get(address(capture)).content.decode()
    assert "No throw stands in this session yet" in html


def test_without_a_profile_the_page_says_why_nothing_is_judged(facility, athlete, client_of, coach):
    capture = captured(athlete, {ELBOW: 92.0})
    assert "No range profile is published" in client_of(coach).get(address(capture)).content.decode()


def test_findings_that_lag_behind_say_so_and_the_page_asks_again(capture, client_of, coach):
    CaptureSession.objects.filter(pk=capture.pk).update(input_revision=capture.input_revision + 1)
    client = client_of(coach)
    html = client.get(address(capture)).content.decode()
    assert "Being recomputed" in html
    assert 'hx-trigger="load delay:2s"' in html
    rescore(capture)
    fresh = client.get(address(capture), headers=HTMX).content.decode()
    assert "Being recomputed" not in fresh
    assert "hx-trigger" not in fresh.split(">", 1)[0]
    assert "<html" not in fresh


def test_a_hands_on_session_opens_on_its_screens(profiles, facility, athlete, client_of, coach):
    capture = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="")
    values = {"hip_ir_front@screen": {"value": 20.0}, "hip_ir_back@screen": {"value": 42.0}}
    for _ in range(2):
        thrown = factories.ThrowFactory(session=capture, ball_speed_m_s=None)
        factories.ReadingFactory(throw=thrown, source="screen", values=values)
    rescore(capture)
    page = page_of(capture)
    assert page.title == "Hands-on screens"
    assert {"hip_ir_front", "hip_ir_back"} == {key for keys in lines(page).values() for key in keys}
    assert "screens scored" in page.sentence
    assert client_of(coach).get(address(capture)).status_code == 200


@pytest.fixture
def screens(profiles, facility, athlete):
    """One round: both sides of internal rotation, external rotation of the throwing side not tested for pain."""
    capture = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="")
    values = {
        "shoulder_ir_90_throwing@screen": {"value": 30.0},
        "shoulder_ir_90_other@screen": {"value": 60.0},
        "shoulder_er_90_throwing@screen": {"reason": "pain"},
        "hip_total_arc_back@screen": {"value": 70.0},
    }
    thrown = factories.ThrowFactory(session=capture, ball_speed_m_s=None)
    factories.ReadingFactory(throw=thrown, source="screen", values=values)
    rescore(capture)
    return capture


def test_screens_that_follow_from_others_are_computed_and_say_so(screens, client_of, coach):
    found = {line.key: line for group in page_of(screens, show_all=True).groups for line in group.lines}
    deficit = found["shoulder_ir_deficit"]
    assert (deficit.mean, deficit.zone, deficit.side) == (30.0, "flag", "high")
    assert deficit.tags.startswith("computed")
    assert found["hip_total_arc_back"].tags.startswith("given, not computed")
    assert not found["shoulder_ir_90_other"].came_about
    html = client_of(coach).get(address(screens, "metrics:finding", "shoulder_ir_deficit")).content.decode()
    assert "glove side minus Shoulder internal rotation" in html


def test_pain_is_the_reason_why_a_screen_and_its_total_are_not_scored(screens):
    found = {line.key: line for group in page_of(screens, show_all=True).groups for line in group.lines}
    assert (found["shoulder_er_90_throwing"].zone, found["shoulder_er_90_throwing"].reason) == (
        "not_scored",
        "Not tested: pain.",
    )
    assert found["shoulder_total_arc_throwing"].reason.startswith("Not tested: pain (")
    row = Finding.objects.get(session=screens, metric="shoulder_er_90_throwing")
    assert row.reason_code == "pain"


def test_body_and_load_stand_on_a_hands_on_session_with_dates_and_reasons(screens, client_of, coach):
    html = " ".join(client_of(coach).get(address(screens)).content.decode().split())
    assert "Body and load" in html
    assert "From the height of 2 April 2026" in html
    assert "Two heights at least 90 days apart are needed" in html
    assert "None in 8 April 2026 to 14 April 2026" in html


def test_body_and_load_stand_on_no_page_of_throws(capture, client_of, coach):
    assert "Body and load" not in client_of(coach).get(address(capture)).content.decode()


# ---- how it was decided -----------------------------------------------------------------------------------


def test_a_finding_opens_to_numbers_that_a_person_can_recompute(capture, client_of, coach):
    """Every number of the verdict from those printed: s0, n, s, u_b, limit, ν."""
    row = Finding.objects.get(session=capture, metric=FRONT_KNEE)
    html = client_of(coach).get(address(capture, "metrics:finding", FRONT_KNEE)).content.decode()
    for number in (row.u, row.nu, row.severity, row.priority, row.decision["prior_sd"]):
        assert f"{number:.4g}".replace("-", "−") in html
    t = (row.flag_low - row.mean) / row.u
    assert row.p_flag == pytest.approx(stats.t.cdf(t, row.nu))
    assert f"{t:.4g}" in html
    assert row.severity == pytest.approx(min(3.0, (row.target_low - row.mean) / (row.target_low - row.flag_low)))
    assert row.priority == pytest.approx(row.weight * row.severity)
    assert row.u == pytest.approx(math.sqrt(row.decision["pooled_sd"] ** 2 / row.n + row.u_between**2))
    assert row.rule.source in html
    assert "House" in html


def test_a_finding_opens_as_a_row_for_htmx(capture, client_of, coach):
    html = client_of(coach).get(address(capture, "metrics:finding", ELBOW), headers=HTMX).content.decode()
    assert html.startswith('<tr class="opened">')


def test_limits_that_moved_with_height_show_how(facility, athlete, client_of, coach):
    version = factories.RangeProfileVersionFactory(profile__in_use=True)
    factories.RangeRuleFactory(
        version=version, metric=ELBOW, landing="fc", target_low=85, target_high=100, flag_low=80, flag_high=110,
        size_basis="height", size_ref=180, size_low=150, size_high=200, slope_target_low=0.5,
    )  # fmt: skip
    factories.publish(version)
    capture = captured(athlete, {ELBOW: 92.0})
    html = client_of(coach).get(address(capture, "metrics:finding", ELBOW)).content.decode()
    assert "85 + 0.5 × (185 − 180) = 87.5" in html
    assert "185 cm" in html


@pytest.mark.parametrize("metric", ["no_such_metric", "stride_length"])
def test_a_finding_that_is_not_there_is_not_found(capture, client_of, coach, metric):
    assert client_of(coach).get(address(capture, "metrics:finding", metric)).status_code == 404


# ---- throws -----------------------------------------------------------------------------------------------


@pytest.fixture
def uneven(profiles, facility, athlete):
    """Four throws at 90 degrees, the fifth at 40."""
    capture = captured(athlete, {ELBOW: 90.0})
    last = capture.throws.last()
    last.readings.update(values={f"{ELBOW}@fc": {"value": 40.0}})
    rescore(capture)
    return capture


def elbow(capture: CaptureSession) -> Finding:
    return Finding.objects.get(session=capture, metric=ELBOW)


def test_leaving_out_a_throw_changes_the_findings_in_the_same_answer(uneven, client_of, coach):
    last, client = uneven.throws.last(), client_of(coach)
    assert elbow(uneven).mean == 80.0
    html = client.post(
        address(uneven, "metrics:throw-exclude", last.uuid),
        {"reason": "slipped", "read_at": uneven.input_revision},
        headers=HTMX,
    ).content.decode()
    assert elbow(uneven).mean == 90.0
    assert "90°" in html
    assert "left out: slipped" in html
    assert reverse("metrics:throw-include", args=[uneven.uuid, last.uuid]) in html
    client.post(address(uneven, "metrics:throw-include", last.uuid))
    assert elbow(uneven).mean == 80.0


def test_without_script_the_page_comes_back_with_an_undo(uneven, client_of, coach):
    last, client = uneven.throws.last(), client_of(coach)
    answer = client.post(address(uneven, "metrics:throw-exclude", last.uuid), {"words": "caught a cleat"}, follow=True)
    assert answer.redirect_chain == [(f"{address(uneven)}#throws", 302)]
    html = answer.content.decode()
    assert f"Throw {last.number} left out: caught a cleat." in html
    assert "Undo" in html


def test_a_throw_is_not_left_out_without_a_reason(uneven, client_of, coach):
    last = uneven.throws.last()
    answer = client_of(coach).post(address(uneven, "metrics:throw-exclude", last.uuid), {"reason": " "})
    assert answer.status_code == 422
    assert "Say in a word why" in answer.content.decode()
    assert elbow(uneven).n == 5


def test_a_page_that_was_read_before_another_change_does_nothing(uneven, client_of, coach):
    first, last = uneven.throws.first(), uneven.throws.last()
    client, read_at = client_of(coach), uneven.input_revision
    client.post(address(uneven, "metrics:throw-exclude", first.uuid), {"reason": "slipped", "read_at": read_at})
    answer = client.post(
        address(uneven, "metrics:throw-exclude", last.uuid), {"reason": "slipped", "read_at": read_at}, headers=HTMX
    )
    assert answer.status_code == 409
    assert "This session changed after you opened it" in answer.content.decode()
    assert elbow(uneven).n == 4


def test_other_conditions_take_a_throw_out_and_undo_brings_it_back(uneven, client_of, coach):
    last, client = uneven.throws.last(), client_of(coach)
    curve = {"pitch_type": "curveball", "intent": "full_effort", "surface": "mound", "ball": "regulation"}
    html = client.post(address(uneven, "metrics:throw-conditions", last.uuid), curve, headers=HTMX).content.decode()
    assert (elbow(uneven).n, elbow(uneven).mean) == (4, 90.0)
    assert "not scored: curveball" in html
    undo = re.search(r'action="([^"]*conditions/\?[^"]*)"', html).group(1).replace("&amp;", "&")
    client.post(undo)
    assert elbow(uneven).n == 5


def test_conditions_of_no_list_are_refused(uneven, client_of, coach):
    last = uneven.throws.last()
    wrong = {"pitch_type": "spitball", "intent": "full_effort", "surface": "mound", "ball": "regulation"}
    assert client_of(coach).post(address(uneven, "metrics:throw-conditions", last.uuid), wrong).status_code == 422


@pytest.mark.parametrize(
    ("act", "words"), [("metrics:throw-exclude", "mis-tracked"), ("metrics:throw-conditions", "Save")]
)
def test_the_form_of_a_throw_stands_in_its_row_or_in_the_whole_page(uneven, client_of, coach, act, words):
    last, client = uneven.throws.last(), client_of(coach)
    row = client.get(address(uneven, act, last.uuid), headers=HTMX).content.decode()
    whole = client.get(address(uneven, act, last.uuid)).content.decode()
    assert words in row
    assert "<html" not in row
    assert words in whole
    assert "<html" in whole


def test_a_throw_of_another_session_is_not_found(uneven, client_of, coach, other_athlete):
    other = captured(other_athlete, {ELBOW: 92.0})
    wrong = address(uneven, "metrics:throw-exclude", other.throws.first().uuid)
    assert client_of(coach).post(wrong, {"reason": "slipped"}).status_code == 404


def test_with_every_throw_left_out_the_page_stands(uneven, client_of, coach):
    client = client_of(coach)
    for thrown in uneven.throws.all():
        answer = client.post(address(uneven, "metrics:throw-exclude", thrown.uuid), {"reason": "other"}, headers=HTMX)
    assert "every throw is left out" in answer.content.decode()


# ---- tables -----------------------------------------------------------------------------------------------


def table(answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_findings_as_csv_keep_numbers_as_numbers(capture, client_of, coach):
    rows = {row["metric"]: row for row in table(client_of(coach).get(address(capture, "metrics:session-csv")))}
    assert float(rows[FRONT_KNEE]["mean"]) == -25.0
    assert (rows[FRONT_KNEE]["unit"], rows[FRONT_KNEE]["zone"], rows[FRONT_KNEE]["side"]) == ("deg", "flag", "low")


def test_readings_as_csv_name_their_unit_and_text_cannot_become_a_formula(uneven, client_of, coach):
    client, last = client_of(coach), uneven.throws.last()
    client.post(address(uneven, "metrics:throw-exclude", last.uuid), {"words": '=HYPERLINK("http://x")'})
    rows = table(client.get(address(uneven, "metrics:session-throws-csv")))
    assert [row[f"{ELBOW}@fc [deg]"] for row in rows] == ["90.0", "90.0", "90.0", "90.0", "40.0"]
    assert rows[-1]["excluded because"] == '\'=HYPERLINK("http://x")'
    assert rows[0]["ball speed [m/s]"] == "36.0"


# ---- cost -------------------------------------------------------------------------------------------------

TRANSACTION = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")


def queries_of(client, address: str) -> int:
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    return sum(not query["sql"].startswith(TRANSACTION) for query in queries)


def test_the_page_takes_twenty_queries_whatever_it_holds(profiles, facility, athlete, other_athlete, client_of, coach):
    install_starting_cause_links()
    few = captured(athlete, {ELBOW: 92.0}, throws=2)
    many = {m.key: 1.0 for m in load_catalogue().metrics.values() if not m.is_screen and m.storage_unit == m.unit}
    captured(other_athlete, many, throws=3, days_ago=20)
    full = captured(other_athlete, many, throws=30)
    client = client_of(coach)
    assert queries_of(client, address(few)) <= 20
    assert queries_of(client, f"{address(full)}?all=1") <= 20


# ---- what the filter takes --------------------------------------------------------------------------------

LAYBACK = "shoulder_external_rotation_max"


@pytest.mark.parametrize(
    ("changes", "is_said"),
    [
        ({"filter_knowledge": "known", "filter_hz": 13.4, "frame_rate_hz": 240.0}, True),
        ({"filter_knowledge": "known", "filter_hz": 20.0, "frame_rate_hz": 240.0}, False),
        ({"filter_knowledge": "none", "filter_hz": None, "frame_rate_hz": 240.0}, False),
        ({"filter_knowledge": "known", "filter_hz": 13.4, "frame_rate_hz": None}, False),
    ],
)
def test_decision_says_how_low_layback_reads_through_the_usual_filter_alone(
    profiles, facility, athlete, client_of, coach, changes, is_said
):
    capture = factories.CaptureSessionFactory(athlete=athlete, date=factories.DAY, **changes)
    for _ in range(5):
        thrown = factories.ThrowFactory(session=capture)
        factories.ReadingFactory(throw=thrown, values={f"{LAYBACK}@mer": {"value": 172.0}})
    rescore(capture)
    html = client_of(coach).get(reverse("metrics:finding", args=[capture.uuid, LAYBACK])).content.decode()
    assert ("Reads low by" in html) == is_said
