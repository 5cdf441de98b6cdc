"""How a session's page opens: a baseline with what is missing, a re-test with what changed."""

from __future__ import annotations

import datetime as dt

import pytest
from scipy import stats

from metrics.catalogue.causes import interventions_for
from metrics.models import Finding
from metrics.selectors.session_rows import RELATED, read_session
from metrics.selectors.sharing import offer_of
from metrics.services.causes import install_starting_cause_links
from metrics.services.scoring import rescore
from metrics.services.starting_points import answer_starting_point
from metrics.tracing import Node
from sessions.models import CaptureSession
from tests import factories
from tests.metrics.test_session_page import address, captured, page_of

pytestmark = pytest.mark.django_db

ELBOW, FRONT_KNEE, TRUNK, STRIDE = "elbow_flexion_fp", "lead_knee_extension", "trunk_opening_time", "stride_length"
TORQUE = "elbow_varus_torque_max"


@pytest.fixture
def profiles(facility, db):
    factories.starting_profiles()
    install_starting_cause_links()


@pytest.fixture
def athlete(athlete, profiles):
    return athlete


def then_now(page) -> dict[str, object]:
    return {one.key: one for one in page.retest.lines}


# ---- baseline -------------------------------------------------------------------------------------------


def gaps(page) -> dict[str, str]:
    return {gap.what: gap.sentence for gap in page.baseline.gaps}


def test_a_first_session_says_what_is_missing_in_the_intake(athlete):
    page = page_of(captured(athlete, {ELBOW: 92.0}, landing="unknown", filter_knowledge="unknown"))
    assert page.retest is None
    found = gaps(page)
    assert found["Hands-on screens"].startswith("None done yet")
    assert found["Landing"].startswith("Not known whether")
    assert found["Filter"].startswith("Not known")
    assert found["Frames a second"].startswith("Not known")


def test_what_is_known_is_no_gap(athlete):
    known = {"frame_rate_hz": 240.0, "filter_knowledge": "known", "filter_hz": 13.4}
    athlete.body_sizes.update(arm_span_cm=188.0)
    assert set(gaps(page_of(captured(athlete, {ELBOW: 92.0}, **known)))) == {"Hands-on screens"}


def test_sizes_that_were_never_measured_are_named(athlete):
    athlete.body_sizes.update(arm_span_cm=None, mass_kg=None)
    assert gaps(page_of(captured(athlete, {ELBOW: 92.0})))["Body size"].startswith("No mass and arm span recorded")
    athlete.body_sizes.all().delete()
    assert gaps(page_of(captured(athlete, {ELBOW: 92.0}, days_ago=3)))["Body size"].startswith(
        "No height, mass and arm span recorded"
    )


def test_screens_that_were_done_are_not_missing(athlete):
    hands_on = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="")
    thrown = factories.ThrowFactory(session=hands_on, ball_speed_m_s=None)
    factories.ReadingFactory(throw=thrown, source="screen", values={"shoulder_flexion_throwing@screen": {"value": 170}})
    rescore(hands_on)
    said = gaps(page_of(captured(athlete, {ELBOW: 92.0})))["Hands-on screens"]
    assert "never done: shoulder internal rotation" in said
    assert "shoulder flexion" not in said


def test_the_retest_is_suggested_for_the_longest_recheck_of_where_to_start(athlete):
    page = page_of(captured(athlete, {STRIDE: 55.0, "shoulder_external_rotation_fp": 2.0}))
    start = page.start.start
    weeks = max(one.recheck_weeks[1] for one in interventions_for(start.metric, page.start.node.partition(":")[2]))
    assert page.baseline.again_on == factories.DAY + dt.timedelta(weeks=weeks)
    assert "the longest that the library says" in page.baseline.again_why


def test_without_a_starting_point_the_retest_is_a_house_default_and_says_so(athlete):
    page = page_of(captured(athlete, {ELBOW: 80.0}))
    assert page.start is None
    assert page.baseline.again_on == factories.DAY + dt.timedelta(weeks=6)
    assert page.baseline.again_why == "six weeks, a house default without a source"


def test_a_baseline_that_was_followed_suggests_no_day(athlete):
    first = captured(athlete, {ELBOW: 80.0}, days_ago=30)
    captured(athlete, {ELBOW: 80.0})
    assert page_of(first).baseline.again_on is None


def test_other_conditions_make_no_retest(athlete):
    captured(athlete, {ELBOW: 92.0}, days_ago=30)
    flat = captured(athlete, {ELBOW: 92.0})
    flat.throws.update(surface="flat_ground")
    rescore(flat)
    page = page_of(flat)
    assert (page.title, page.retest) == ("Baseline", None)
    assert page.baseline is not None


def test_who_may_not_change_gets_no_way_to_fill_a_gap(athlete, cast, client_of, coach):
    cast.athlete.body_sizes.update(arm_span_cm=None)
    capture = captured(cast.athlete, {ELBOW: 92.0})
    assert "Add body size" in client_of(coach).get(address(capture)).content.decode()
    html = client_of(cast["clinician"]).get(address(capture)).content.decode()
    assert "What is missing" in html
    assert "Add body size" not in html


# ---- re-test --------------------------------------------------------------------------------------------


@pytest.fixture
def retest(athlete):
    """The front leg gave way and holds now; the elbow was fine and is flagged; the trunk opens as early as before."""
    captured(athlete, {FRONT_KNEE: -25.0, ELBOW: 85.0, TRUNK: -60.0}, days_ago=42)
    return captured(athlete, {FRONT_KNEE: 8.0, ELBOW: 130.0, TRUNK: -58.0})


def test_a_retest_opens_with_what_mattered_last_time(retest):
    page = page_of(retest)
    assert (page.title, page.baseline) == ("Re-test", None)
    assert page.retest.date == factories.DAY - dt.timedelta(days=42)
    told = then_now(page)
    assert set(told) == {FRONT_KNEE, TRUNK}
    assert (told[FRONT_KNEE].then_mean, told[FRONT_KNEE].answer, told[FRONT_KNEE].stands) == (
        -25.0, "better", "now in range",
    )  # fmt: skip
    assert (told[TRUNK].answer, told[TRUNK].stands, told[TRUNK].is_real) == ("no real change", "still flag low", False)


def test_the_detectable_change_can_be_worked_out_from_the_findings_by_hand(retest):
    """numbers.md section 6; t by scipy.stats."""
    then, now = Finding.objects.filter(metric=FRONT_KNEE).order_by("session__date")
    s0 = now.decision["prior_sd"]
    pooled = (8 * s0**2 + (then.n - 1) * then.sd**2 + (now.n - 1) * now.sd**2) / (8 + then.n + now.n - 2)
    within = pooled / then.n + pooled / now.n
    u_squared = within + then.u_between**2 + now.u_between**2
    nu = u_squared**2 / (within**2 / (8 + then.n + now.n - 2))
    change = then_now(page_of(retest))[FRONT_KNEE].line.change
    assert change.difference == pytest.approx(33.0)
    assert change.detectable == pytest.approx(stats.t.ppf(0.975, nu) * u_squared**0.5)
    assert change.p == pytest.approx(2 * stats.t.sf(33.0 / u_squared**0.5, nu))


def test_how_a_finding_was_decided_has_the_numbers_of_its_change(retest, client_of, coach):
    change = then_now(page_of(retest))[FRONT_KNEE].line.change
    html = client_of(coach).get(address(retest, "metrics:finding", FRONT_KNEE)).content.decode()
    assert "What changed" in html
    for number in (change.difference, change.u, change.nu, change.detectable):
        assert f"{number:.4g}" in html


def test_new_flags_follow_and_what_was_flagged_before_is_none(retest):
    assert [line.key for line in page_of(retest).retest.new] == [ELBOW]


def test_a_flag_on_the_other_side_is_new(athlete):
    captured(athlete, {ELBOW: 30.0}, days_ago=42)
    page = page_of(captured(athlete, {ELBOW: 130.0}))
    assert then_now(page)[ELBOW].answer == "crossed"
    assert then_now(page)[ELBOW].stands == "now flag high"
    assert [line.key for line in page.retest.new] == [ELBOW]


def test_the_starting_point_of_last_time_stands_first_as_the_coach_took_it(athlete, coach):
    before = captured(athlete, {FRONT_KNEE: -25.0, STRIDE: 55.0, "shoulder_external_rotation_fp": 2.0}, days_ago=42)
    assert page_of(before).start.start.metric != FRONT_KNEE
    answer_starting_point(session=before, kind="own", node=Node(FRONT_KNEE, "low"), by=coach)
    page = page_of(captured(athlete, {FRONT_KNEE: -25.0, STRIDE: 55.0}))
    first, *others = page.retest.lines
    assert (first.key, first.was) == (FRONT_KNEE, "starting point, flag low")
    assert STRIDE in {one.key for one in others}


def test_the_starting_point_that_the_page_suggested_stands_first(athlete):
    before = captured(athlete, {STRIDE: 55.0, "shoulder_external_rotation_fp": 2.0}, days_ago=42)
    start = page_of(before).start.start.metric
    page = page_of(captured(athlete, {STRIDE: 80.0, "shoulder_external_rotation_fp": 60.0}))
    assert page.retest.lines[0].key == start
    assert page.retest.lines[0].was.startswith("starting point")


def test_a_flag_that_was_not_measured_again_says_so(athlete):
    captured(athlete, {STRIDE: 55.0}, days_ago=42)
    told = then_now(page_of(captured(athlete, {ELBOW: 92.0})))[STRIDE]
    assert (told.line, told.reason) == (None, "not measured this time")


@pytest.mark.parametrize(
    ("metric", "fields", "why"),
    [
        (STRIDE, {"moment": "fp"}, "not comparable: read at another moment"),
        ("elbow_flexion_br", {}, "not comparable: another filter or definition"),
    ],
)
def test_a_flag_whose_number_means_something_else_now_is_not_compared(athlete, metric, fields, why):
    unfiltered, filtered = {"filter_knowledge": "none"}, {"filter_knowledge": "known", "filter_hz": 18.0}
    captured(athlete, {metric: 55.0}, days_ago=42, **unfiltered)
    now = captured(athlete, {metric: 80.0}, **filtered)
    Finding.objects.filter(session__date__lt=now.date).update(zone="flag", side="low", sure="sure")
    Finding.objects.filter(session=now).update(**fields or {"n": 5})
    told = then_now(page_of(now))[metric]
    assert (told.line, told.answer, told.reason) == (None, "", why)


def test_with_an_unknown_spread_between_sessions_a_change_cannot_be_judged(retest):
    Finding.objects.filter(session=retest).update(u_between=None)
    told = then_now(page_of(retest))[FRONT_KNEE]
    assert (told.answer, told.line.change.detectable) == ("cannot be judged", None)


def test_what_no_range_judges_only_changed(athlete):
    captured(athlete, {"arm_slot_br": 30.0}, days_ago=42)
    page = page_of(captured(athlete, {"arm_slot_br": 80.0}), show_all=True)
    [slot] = [line for group in page.groups for line in group.lines if line.key == "arm_slot_br"]
    assert (slot.change.word, slot.change.is_real) == ("changed", True)


def test_how_many_changed_stands_beside_how_many_chance_gives(retest):
    assert page_of(retest).changes == (
        "Since 3 March, 2 of 3 comparable metrics changed by more than measuring gives; "
        "about 0.2 would by chance alone. Looked at all at once, these stand: "
        "Lead knee extension, touch to release and Elbow flexion, first touch."
    )


def test_page_and_share_say_the_same_of_a_change(retest):
    """Near the limit too: the same difference of the means, held against one uncertainty."""
    for mean in (-25.0, -6.0, -1.0, 2.0, 5.0):
        Finding.objects.filter(session__date__lt=retest.date, metric=FRONT_KNEE).update(mean=mean)
        line = next(
            line for group in page_of(retest).groups for line in group.lines if line.key == FRONT_KNEE
        )  # fmt: skip
        rows = read_session(CaptureSession.objects.select_related("athlete", *RELATED).get(pk=retest.pk))
        offered = {one.key: one.point for one in offer_of(rows, "us").better}
        assert (FRONT_KNEE in offered) == line.change.is_real
        assert all(point.before.is_real == line.change.is_real for key, point in offered.items() if key == FRONT_KNEE)


def test_the_words_stand_on_the_page(retest, client_of, coach):
    html = " ".join(client_of(coach).get(address(retest)).content.decode().split())
    assert "What mattered last time" in html
    assert "<b>better</b>, now in range" in html
    assert "no real change, still flag low" in html
    assert "Not flagged last time" in html


def test_hands_on_screens_open_with_what_was_flagged_before(athlete):
    for days_ago, value in ((60, 12.0), (0, 45.0)):
        day = factories.DAY - dt.timedelta(days=days_ago)
        hands_on = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="", date=day)
        for _ in range(3):
            thrown = factories.ThrowFactory(session=hands_on, ball_speed_m_s=None)
            values = {"hip_ir_front@screen": {"value": value}}
            factories.ReadingFactory(throw=thrown, source="screen", values=values)
        rescore(hands_on)
    told = then_now(page_of(hands_on))["hip_ir_front"]
    assert (told.was, told.answer) == ("flag low", "better")


# ---- turned ---------------------------------------------------------------------------------------------


def test_while_the_screen_is_turned_loads_and_ways_elsewhere_are_left_out(athlete):
    captured(athlete, {TORQUE: 200.0, FRONT_KNEE: -25.0}, days_ago=42)
    page = page_of(captured(athlete, {TORQUE: 200.0, FRONT_KNEE: -25.0}), for_visitor=True)
    assert (set(then_now(page)), page.retest.url, page.retest.new) == ({FRONT_KNEE}, "", ())


def test_while_the_screen_is_turned_nobody_reads_what_the_intake_lacks(athlete):
    assert page_of(captured(athlete, {ELBOW: 92.0}), for_visitor=True).baseline is None
