"""Typical spreads: there for every method that can give a metric, honest about where they come from."""

import math

import pytest

from metrics.catalogue import NoSpread

# Fleisig et al. 2009 (abstract): the within-pitcher spread of these shrinks with level.
SHRINKS_WITH_LEVEL = (
    "stride_offset", "lead_knee_flexion_fp", "pelvis_velocity_max",
    "elbow_flexion_max", "shoulder_external_rotation_max", "trunk_forward_tilt_br",
)  # fmt: skip


def test_every_metric_has_a_spread_by_each_method_that_can_give_it(catalogue):
    for metric in catalogue.metrics.values():
        methods = ["hands_on"] if metric.is_screen else ["motion_capture", *(["video"] if metric.view else [])]
        for method in methods:
            assert metric.spread(method).within_sd > 0, metric.key
            assert metric.can_be_given_by(method)


def test_a_method_that_cannot_give_a_metric_is_answered_in_words(catalogue):
    for key, method in (("separation_fp", "video"), ("separation_fp", "hands_on"), ("hip_ir_front", "video")):
        metric = catalogue.metric(key)
        assert not metric.can_be_given_by(method)
        with pytest.raises(NoSpread, match="cannot be given by"):
            metric.spread(method)


def test_words_outside_the_lists_are_refused(catalogue):
    with pytest.raises(ValueError, match="capture method"):
        catalogue.metric("separation_fp").spread("radar")
    with pytest.raises(ValueError, match="level"):
        catalogue.metric("separation_fp").spread("motion_capture", "varsity")


@pytest.mark.parametrize("key", SHRINKS_WITH_LEVEL)
def test_spread_shrinks_with_level_where_that_was_published(catalogue, published, key):
    noted = {row["metric_key"] for row in published("reliability") if "Level-dependent within" in row["note"]}
    assert key in noted
    levels = ("youth", "high_school", "college", "professional")
    sizes = [catalogue.metric(key).spread("motion_capture", level).within_sd for level in levels]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] > sizes[-1]


def test_timing_has_one_spread_for_all_levels(catalogue, published):
    """Fleisig et al. 2009: no level effect on temporal variability."""
    assert any(r["metric_key"] == "pelvis_velocity_max_time" and "No level effect" in r["note"]
               for r in published("reliability"))  # fmt: skip
    metric = catalogue.metric("pelvis_velocity_max_time")
    assert metric.spread("motion_capture", "youth") == metric.spread("motion_capture", "professional")


def test_a_level_without_a_row_takes_the_one_for_all(catalogue):
    metric = catalogue.metric("separation_fp")
    assert metric.spread("motion_capture", "youth") == metric.spread("motion_capture")


def test_video_is_never_steadier_than_motion_capture(catalogue):
    for metric in catalogue.metrics.values():
        if metric.can_be_given_by("video"):
            for level in ("", "youth", "professional"):
                video, capture = metric.spread("video", level), metric.spread("motion_capture", level)
                assert video.within_sd >= capture.within_sd, metric.key
                assert video.session_sd >= capture.session_sd, metric.key


def test_no_spread_of_a_throw_claims_a_published_number(catalogue):
    """The published table holds none for throws: blanks are not found, not zero."""
    for metric in catalogue.metrics.values():
        for spread in metric.spreads.values():
            assert spread.source
            if not metric.is_screen:
                assert spread.within_status == "house default, no published source"
            assert spread.session_status == "house default, no published source" or metric.is_screen


def test_upper_back_rotation_takes_the_largest_published_within_day_error(catalogue, published):
    """Johnson et al. 2012: same-examiner SEM 0.8 to 2.1 degrees within a day: a spread of single tries, not of days."""
    [row] = [r for r in published("reliability") if r["metric_key"] == "screen_thoracic_rotation"]
    assert "SEM 0.8-2.1" in row["note"]
    spread = catalogue.metric("thoracic_rotation_locked_throwing").spread("hands_on")
    assert (spread.within_sd, spread.within_status) == (2.1, "published")


@pytest.mark.parametrize(
    ("key", "sd", "icc", "reference"),
    [("shoulder_ir_90_throwing", 10.9, 0.93, "screen_shoulder_ir"),
     ("shoulder_er_90_throwing", 11.0, 0.81, "screen_shoulder_er")],
)  # fmt: skip
def test_shoulder_rotation_errors_follow_from_published_icc_and_sd(catalogue, published, key, sd, icc, reference):
    """SEM = SD sqrt(1 - ICC)."""
    stem = key.removesuffix("_throwing")
    assert any(r["metric_key"] == reference and str(icc) in r["icc"] for r in published("reliability"))
    assert any(r["screen_key"] == stem and r["norm_sd"] and float(r["norm_sd"]) == sd
               for r in published("physical_screens"))  # fmt: skip
    spread = catalogue.metric(key).spread("hands_on")
    assert spread.within_sd == pytest.approx(sd * math.sqrt(1 - icc), abs=0.06)


def test_sums_and_differences_of_screens_carry_the_errors_of_their_parts(catalogue):
    checked = 0
    for screen in catalogue.screens:
        spread = screen.spread("hands_on")
        if spread.within_status == "derived from its parts":
            parts = [catalogue.metric(part).spread("hands_on").within_sd for part in screen.derived_from]
            assert spread.within_sd == pytest.approx(math.hypot(*parts), abs=0.06), screen.key
            checked += 1
    assert checked >= 10
