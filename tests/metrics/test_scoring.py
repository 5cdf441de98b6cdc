"""From the readings of one session to its decided findings, without a database."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from metrics.catalogue import load_catalogue
from metrics.judging.values import BodySize, Rule
from metrics.scoring import choose_scored_throws, decide_session
from tests.metrics.scoring_cases import BODY, catalogue_with, profile, session, throw, throws_of

ELBOW = "elbow_flexion_fp"
ROTATION = "shoulder_external_rotation_fp"
LAYBACK = "shoulder_external_rotation_max"

PRACTICE = (
    Rule(1, ROTATION, "motion_capture", target_low=40, target_high=75, flag_low=40, flag_high=75, landing="fp"),
    Rule(2, ELBOW, "video", target_low=90, target_high=110, flag_low=85, flag_high=110, landing="fp"),
    Rule(3, ELBOW, "motion_capture", target_low=85, target_high=100, flag_low=85, flag_high=100, landing="fp"),
    Rule(4, LAYBACK, target_low=160, target_high=180, flag_high=200),
)


def decide(facts, rules, catalogue=None):
    return decide_session(facts, rules, catalogue or load_catalogue())


def finding(score, metric):
    return next(one for one in score.findings if one.metric == metric)


# Facts of the trade: common practice, no published source. u in degrees, ν large.
CHECKS = [
    (ROTATION, "motion_capture", 5, 2, "flag", "low", "sure", 0.99),
    (ROTATION, "motion_capture", 55, 2, "in_range", "", "sure", 0.99),
    (ROTATION, "motion_capture", 75, 2, "in_range", "high", "cant_tell", 0.50),
    (ELBOW, "video", 92, 2, "in_range", "", "likely", 0.84),
    (ELBOW, "video", 80, 2, "flag", "low", "sure", 0.99),
    (ELBOW, "video", 115, 2, "flag", "high", "sure", 0.99),
    (ELBOW, "video", 88, 2, "watch", "low", "likely", 0.84),
    (ELBOW, "motion_capture", 88, 2, "in_range", "", "likely", 0.93),
    (LAYBACK, "motion_capture", 175, 2, "in_range", "", "sure", 0.99),
    (LAYBACK, "motion_capture", 205, 2, "flag", "high", "sure", 0.99),
    (LAYBACK, "motion_capture", 175, 6, "in_range", "", "likely", 0.79),
    (ELBOW, "video", 80, 6, "watch", "low", "sure", 0.95),
]


@pytest.mark.parametrize(("metric", "method", "mean", "u", "zone", "side", "sure", "chance"), CHECKS)
def test_practice_gets_its_verdicts_from_readings(metric, method, mean, u, zone, side, sure, chance):
    catalogue = catalogue_with(metric, within_sd=1e-6, session_sd=u)
    key = catalogue.metric(metric).reading_key("fp")
    score = decide(session(throws_of(key, [mean] * 8), method=method), profile(*PRACTICE), catalogue)
    verdict = finding(score, metric).verdict
    assert (verdict.zone, verdict.side, verdict.sure) == (zone, side, sure)
    assert min(0.99, math.floor(verdict.probability * 100) / 100) == chance


def test_a_wide_watch_adds_perhaps_flag():
    catalogue = catalogue_with(ELBOW, within_sd=1e-6, session_sd=6.0)
    score = decide(session(throws_of(f"{ELBOW}@fp", [80] * 5), method="video"), profile(*PRACTICE), catalogue)
    assert finding(score, ELBOW).verdict.perhaps_flag


def test_a_finding_is_what_a_person_works_out_by_hand():
    """n = 3: 86, 90, 94. s² = 16; s_p² = (8·9 + 2·16)/10 = 10.4, ν_s = 10; u² = 10.4/3 + 1.5² = 5.71667.

    ν = u⁴/((10.4/3)²/10) = 32.6803/1.201778 = 27.1933. Target 85 to 100: p_in from Student's t.
    """
    catalogue = catalogue_with(ELBOW, within_sd=3.0, session_sd=1.5)
    score = decide(session(throws_of(f"{ELBOW}@fp", [86, 90, 94])), profile(*PRACTICE), catalogue)
    found = finding(score, ELBOW)
    assert (found.measured.n, found.measured.mean, found.measured.sd) == (3, 90.0, pytest.approx(4.0))
    assert found.measured.pooled_sd == pytest.approx(math.sqrt(10.4))
    assert found.measured.u == pytest.approx(math.sqrt(10.4 / 3 + 2.25))
    assert found.measured.nu == pytest.approx(27.1933, abs=1e-3)
    t = stats.t(27.19333)
    by_hand = t.cdf((100 - 90) / found.measured.u) - t.cdf((85 - 90) / found.measured.u)
    assert found.verdict.p_in == pytest.approx(by_hand, abs=1e-6)
    assert found.severity == 0.0
    assert found.priority == 0.0


def test_priority_is_weight_times_severity_and_the_profile_may_set_the_weight():
    catalogue = catalogue_with(ELBOW, within_sd=1e-6, session_sd=1.0)
    facts = session(throws_of(f"{ELBOW}@fp", [77.5] * 5), method="video")
    usual = finding(decide(facts, profile(*PRACTICE), catalogue), ELBOW)
    # 12.5° below the target's edge, a watch zone of 5°: severity 2.5
    assert usual.severity == pytest.approx(2.5)
    assert usual.priority == pytest.approx(2.5 * catalogue.metric(ELBOW).weight)
    heavier = finding(decide(facts, profile(*PRACTICE, weights={ELBOW: 10}), catalogue), ELBOW)
    assert heavier.priority == pytest.approx(25.0)


# ---- which throws ---------------------------------------------------------------------------------------


def test_findings_are_made_of_full_effort_fastballs_from_the_mound_that_are_not_excluded():
    kept = throws_of(f"{ELBOW}@fp", [90, 92])
    others = [
        throw(7, {f"{ELBOW}@fp": {"value": 10}}, excluded=True),
        throw(8, {f"{ELBOW}@fp": {"value": 10}}, pitch_type="curveball"),
        throw(9, {f"{ELBOW}@fp": {"value": 10}}, intent="warm_up"),
        throw(10, {f"{ELBOW}@fp": {"value": 10}}, surface="flat_ground"),
        throw(11, {f"{ELBOW}@fp": {"value": 10}}, ball="weighted"),
    ]
    score = decide(session([*kept, *others]), profile(*PRACTICE))
    assert (score.scored_throws, score.throws, score.for_orientation) == (2, 7, False)
    assert finding(score, ELBOW).measured.mean == 91.0


def test_without_such_throws_the_largest_other_set_is_used_for_orientation():
    flat = throws_of(f"{ELBOW}@fp", [90, 92, 94], surface="flat_ground")
    curves = throws_of(f"{ELBOW}@fp", [50, 51], pitch_type="curveball")
    score = decide(session([*curves, *flat]), profile(*PRACTICE))
    assert score.for_orientation
    assert score.conditions_used["surface"] == "flat_ground"
    assert finding(score, ELBOW).measured.mean == 92.0
    assert score.condition_set == "fastball · full_effort · flat_ground · regulation"


def test_warm_up_is_used_only_when_there_is_nothing_else():
    warm = throws_of(f"{ELBOW}@fp", [80] * 6, intent="warm_up")
    easy = throws_of(f"{ELBOW}@fp", [90, 92], intent="controlled")
    chosen = choose_scored_throws([*warm, *easy], {}, "motion_capture")
    assert {one.intent for one in chosen.throws} == {"controlled"}
    assert {one.intent for one in choose_scored_throws(warm, {}, "motion_capture").throws} == {"warm_up"}


def test_a_session_of_excluded_throws_has_no_finding_and_no_error():
    score = decide(session(throws_of(f"{ELBOW}@fp", [90, 91], excluded=True)), profile(*PRACTICE))
    assert (score.findings, score.scored_throws, score.throws, score.coverage) == ((), 0, 2, 0.0)


def test_a_session_without_any_reading_shows_its_ball_speed_only():
    score = decide(session([throw(1, {})]), profile(*PRACTICE))
    assert [one.metric for one in score.findings] == ["ball_speed"]
    assert finding(score, "ball_speed").not_scored.code == "context"
    assert score.outside_by_variety_of == 0
    assert score.score is None


def test_hands_on_screens_need_no_conditions():
    screens = throws_of("hip_ir_front@screen", [28.0, 32.0], intent="warm_up", ball_speed_m_s=None)
    rule = Rule(1, "hip_ir_front", "hands_on", target_low=35, flag_low=25)
    score = decide(session(screens, method="hands_on"), profile(rule))
    assert score.condition_set == "hands_on"
    assert finding(score, "hip_ir_front").measured.mean == 30.0
    assert finding(score, "hip_ir_front").verdict is not None


# ---- units and moments ----------------------------------------------------------------------------------


def test_metres_become_percent_of_the_height_on_that_date():
    readings = tuple(throw(n, {"stride_length@fp": {"value": 1.48, "unit": "m"}}) for n in (1, 2))
    rule = Rule(1, "stride_length", target_low=75, target_high=90, flag_low=70, landing="fp")
    score = decide(session(readings), profile(rule))
    assert finding(score, "stride_length").measured.mean == pytest.approx(80.0)  # 1.48 m of 1.85 m


def test_without_a_height_a_percent_of_it_is_not_scored():
    readings = (throw(1, {"stride_length@fp": {"value": 1.48, "unit": "m"}}),)
    rule = Rule(1, "stride_length", target_low=75, target_high=90, flag_low=70, landing="fp")
    found = finding(decide(session(readings, body_size=BodySize()), profile(rule)), "stride_length")
    assert found.not_scored.code == "height_missing"
    assert found.verdict is None


def test_a_percent_that_was_read_as_such_needs_no_height():
    readings = (throw(1, {"stride_length@fp": {"value": 78.0}}),)
    rule = Rule(1, "stride_length", target_low=75, target_high=90, flag_low=70, landing="fp")
    found = finding(decide(session(readings, body_size=BodySize()), profile(rule)), "stride_length")
    assert found.measured.mean == 78.0


@pytest.mark.parametrize(("moment", "code"), [("fp", None), ("fc", "other_landing")])
def test_a_range_for_weight_on_the_foot_does_not_judge_first_touch(moment, code):
    found = finding(decide(session(throws_of(f"{ELBOW}@{moment}", [90] * 4)), profile(*PRACTICE)), ELBOW)
    assert (found.not_scored.code if found.not_scored else None) == code
    assert found.moment == moment


def test_a_landing_that_nobody_named_widens_the_uncertainty():
    """±20 ms at the metric's typical rate, rectangular: |rate|·0.020/√3."""
    rate = load_catalogue().metric(ELBOW).landing_rate
    found = finding(decide(session(throws_of(f"{ELBOW}@landing", [92] * 8)), profile(*PRACTICE)), ELBOW)
    assert found.measured.u_constant == pytest.approx(rate * 0.020 / math.sqrt(3))
    assert found.moment == "landing"
    assert any("not known" in note for note in found.notes)


OPENING = "trunk_opening_time"
OPENING_RULE = Rule(1, OPENING, target_low=-5, target_high=45, flag_low=-30, flag_high=70)


def opening_of(landing: str):
    facts = session(throws_of(load_catalogue().metric(OPENING).reading_key("fc"), [20] * 8), landing=landing)
    return finding(decide(facts, profile(OPENING_RULE)), OPENING)


def test_a_time_from_contact_shares_the_doubt_of_an_unnamed_landing():
    """A millisecond a millisecond: 20/√3 ms."""
    assert opening_of("fc").measured.u_constant == 0
    assert opening_of("unknown").measured.u_constant == pytest.approx(20 / math.sqrt(3))
    assert any("zero is open" in note for note in opening_of("unknown").notes)


def test_a_time_that_counts_from_plant_is_not_held_against_ranges_from_contact():
    assert opening_of("fp").not_scored.code == "counted_from_plant"


def test_limits_move_with_height():
    rule = Rule(
        1, ELBOW, target_low=85, target_high=100, flag_low=80, landing="fp", size_basis="height",
        size_ref=180, size_low=150, size_high=200, slope_target_low=0.5, slope_flag_low=0.5,
    )  # fmt: skip
    found = finding(decide(session(throws_of(f"{ELBOW}@fp", [90] * 4)), profile(rule)), ELBOW)
    assert found.limits.target_low == pytest.approx(87.5)  # 85 + 0.5·(185 - 180)
    assert found.applied.size_used == BODY.height_cm


# ---- what is not scored ---------------------------------------------------------------------------------


def test_reasons_stand_where_there_is_no_verdict():
    readings = {
        "elbow_flexion_mer@mer": {"value": 95.0},
        "arm_slot_br@br": {"value": 30.0},
        "elbow_flexion_br@br": {"reason": "gap"},
        f"{ELBOW}@fp": {"value": 90.0},
    }
    score = decide(session([throw(1, readings), throw(2, readings)]), profile(*PRACTICE))
    reasons = {one.metric: one.not_scored.code for one in score.findings if one.not_scored}
    assert reasons == {
        "elbow_flexion_mer": "no_rule",
        "arm_slot_br": "style",
        "elbow_flexion_br": "not_measurable",
        "ball_speed": "context",
    }
    assert "2 throws without a value: gap." in finding(score, "elbow_flexion_br").notes
    assert math.isnan(finding(score, "elbow_flexion_br").measured.mean)


def test_a_metric_that_the_method_cannot_give_is_shown_but_not_scored():
    rule = Rule(1, "separation_fp", target_low=38, target_high=54, flag_low=30, landing="fp")
    found = finding(decide(session(throws_of("separation_fp@fp", [44] * 3), method="video"), profile(rule)),
                    "separation_fp")  # fmt: skip
    assert found.not_scored.code == "method_cannot_give"
    assert found.measured.mean == 44.0


def test_a_range_narrower_than_the_method_can_resolve_is_not_scored():
    rule = Rule(1, ELBOW, target_low=90, target_high=90.5, landing="fp")
    found = finding(decide(session(throws_of(f"{ELBOW}@fp", [90] * 4)), profile(rule)), ELBOW)
    assert found.not_scored.code == "too_narrow"
    assert found.severity == 0.0


def test_a_count_is_the_median_when_four_fifths_agree():
    rule = Rule(1, "sequence_inversions", target_high=0.5, flag_high=1.5)
    agreed = throws_of("sequence_inversions@", [0, 0, 0, 0, 2])
    assert finding(decide(session(agreed), profile(rule)), "sequence_inversions").measured.mean == 0.0
    split = throws_of("sequence_inversions@", [0, 0, 1, 2])
    assert finding(decide(session(split), profile(rule)), "sequence_inversions").not_scored.code == "throws_disagree"


def test_a_counted_screen_is_averaged():
    rule = Rule(1, "leg_strength_front", "hands_on", target_low=8, flag_low=5)
    score = decide(session(throws_of("leg_strength_front@screen", [12, 15]), method="hands_on"), profile(rule))
    assert finding(score, "leg_strength_front").measured.mean == 13.5


def test_one_line_leads_a_family_and_outcomes_never_lead():
    readings = {
        f"{ELBOW}@fp": {"value": 60.0},
        "elbow_flexion_mer@mer": {"value": 70.0},
        "elbow_varus_torque_norm@fc-br": {"value": 12.0},
    }
    rules = profile(
        Rule(1, ELBOW, target_low=85, target_high=100, flag_low=80, landing="fp"),
        Rule(2, "elbow_flexion_mer", target_low=85, target_high=100, flag_low=60),
        Rule(3, "elbow_varus_torque_norm", target_high=6, flag_high=8),
    )
    score = decide(session([throw(n, readings) for n in range(1, 6)]), rules)
    heads = {one.metric for one in score.findings if one.is_family_head}
    assert heads == {ELBOW}
    load = finding(score, "elbow_varus_torque_norm")
    assert load.verdict.zone == "flag"
    assert load.priority == 0.0


def test_first_look_coverage_counts_what_the_method_can_give():
    """Of the video's first look (metrics that a camera can give) one is scored here."""
    possible = [one for one in load_catalogue().first_look if one.can_be_given_by("video")]
    facts = session(throws_of(f"{ELBOW}@fp", [100] * 5), method="video")
    assert decide(facts, profile(*PRACTICE)).first_look_coverage == pytest.approx(1 / len(possible))


def test_chance_is_counted_only_where_the_source_gives_mean_and_sd():
    """A source of mean 92.5 and SD 7.5 with flags at ± 2 SD: 4.55% of it lie outside (normal table)."""
    rule = Rule(
        1, ELBOW, target_low=85, target_high=100, flag_low=77.5, flag_high=107.5, landing="fp",
        source_mean=92.5, source_sd=7.5,
    )  # fmt: skip
    facts = session(throws_of(f"{ELBOW}@fp", [92] * 5))
    score = decide(facts, profile(rule))
    assert score.outside_by_variety == pytest.approx(0.0455, abs=1e-4)
    assert (score.outside_by_variety_of, score.flags_by_error_of) == (1, 0)
    assert decide(facts, profile(*PRACTICE)).outside_by_variety_of == 0


def test_the_same_session_scores_the_same_twice():
    facts = session(throws_of(f"{ELBOW}@fp", [88, 90, 95]))
    assert decide(facts, profile(*PRACTICE)).findings[0] == decide(facts, profile(*PRACTICE)).findings[0]
