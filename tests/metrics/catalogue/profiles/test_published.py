"""The published rules against the reference tables that they were taken from."""

import csv
import re

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.profiles import load_starting_profile
from tests.metrics.catalogue.profiles.build_published import (
    HERE,
    PUBLISHED_FILE,
    REFERENCE_FOLDER,
    SelectionError,
    build_published,
    find_one,
    read_rows,
)

LEVELS = ("youth", "high_school", "college", "professional")
KINEMATICS = read_rows(REFERENCE_FOLDER / "pitching_kinematics_by_level.csv")
SUBGROUP_WORDS = ("group", "quartile", "single-study", "included study", "markerless")
"""How the reference table says that a row is no norm of its level."""


def published_rules(method):
    return [rule for rule in load_starting_profile("published").rules if rule["method"] == method]


def plain_unit(text: str) -> str:
    return text.replace("×", "x").replace("·", "*").removesuffix(" contact to release").strip()


def test_the_file_is_what_the_script_makes_of_the_reference_tables():
    assert PUBLISHED_FILE.read_text(encoding="utf-8") == build_published()


@pytest.mark.parametrize(
    "rule", published_rules("motion_capture"), ids=lambda rule: f"{rule['metric']}-{rule['level']}"
)
def test_target_is_the_mean_and_one_sd_and_flag_two(rule):
    """Recomputed from the reference table, without the script."""
    named = [
        row
        for row in KINEMATICS
        if row["source"] == rule["source"]
        and row["level"] in (rule["level"], "mixed")
        and row["metric_key"].replace("fp_br_time", "fc_br_time") == rule["metric"]
    ]
    (row,) = named
    mean, sd = float(row["mean"]), float(row["sd"])
    assert (rule["source_mean"], rule["source_sd"]) == (mean, sd)
    limits = [rule[name] for name in ("flag_low", "target_low", "target_high", "flag_high")]
    assert limits == pytest.approx([mean - 2 * sd, mean - sd, mean + sd, mean + 2 * sd])
    assert plain_unit(row["unit"]) == plain_unit(load_catalogue().metric(rule["metric"]).unit)
    assert rule["status"] == {"verified": "published", "memory": "from_memory"}[row["status"]]


def test_a_norm_taken_at_contact_is_held_against_contact():
    """Published "foot contact" is nearly always first touch (event detection notes, section 3)."""
    for rule in published_rules("motion_capture"):
        metric = load_catalogue().metric(rule["metric"])
        moves = metric.is_landing_dependent and metric.landing_rate
        assert rule["landing"] == ("fc" if moves else None), rule["metric"]


def test_professional_sample_of_three_hundred_and_fifteen_strides():
    """78.3 (SD 5.3) % of height: professional stride length study 2021, J Sports Sci 39:2658, abstract."""
    (rule,) = (
        rule
        for rule in published_rules("motion_capture")
        if (rule["metric"], rule["level"]) == ("stride_length", "professional")
    )
    assert [rule["flag_low"], rule["target_low"], rule["target_high"], rule["flag_high"]] == [67.7, 73, 83.6, 88.9]


def test_arm_speeds_layback_and_elbow_at_release_keep_their_laboratorys_filter():
    """13.4 Hz, the long-time setting of that laboratory: from memory."""
    held = {rule["metric"] for rule in published_rules("motion_capture") if rule["filter_hz"] == 13.4}
    assert held == {
        "shoulder_external_rotation_max",
        "elbow_extension_velocity_max",
        "shoulder_internal_rotation_velocity_max",
        "elbow_flexion_br",
    }


def test_a_filter_that_was_not_seen_is_said():
    profile = load_starting_profile("published")
    for rule, note in zip(profile.rules, profile.notes, strict=True):
        if load_catalogue().metric(rule["metric"]).filter_dependent and rule["filter_hz"] is None:
            assert re.search(r"[Ff]ilter.* not seen", note), rule["metric"]


def test_a_seen_number_is_never_passed_over_for_a_recalled_one():
    chosen = {(rule["metric"], rule["level"]): rule for rule in published_rules("motion_capture")}
    catalogue = load_catalogue()
    for row in KINEMATICS:
        key, level = row["metric_key"], row["level"]
        usable = key in catalogue.metrics and catalogue.metric(key).kind in ("mechanic", "outcome")
        if not (usable and row["sd"] and level in LEVELS) or is_no_norm(row):
            continue
        rule = chosen[key, level]
        assert rule["status"] == "published" or row["status"] == "memory", (key, level)


def is_no_norm(row) -> bool:
    """A subgroup, an absolute torque (no range, since it grows with size), or part of a review."""
    note = row["note"].lower()
    return row["metric_key"] == "elbow_varus_torque_max" or any(word in note for word in SUBGROUP_WORDS)


def test_a_sample_of_two_levels_serves_only_where_a_level_has_none_of_its_own():
    for choice in read_rows(HERE / "selection.csv"):
        if choice["reference_level"] == "mixed":
            own = [
                row
                for row in KINEMATICS
                if (row["metric_key"], row["level"]) == (choice["metric"], choice["level"]) and row["sd"]
            ]
            assert not own, choice


def test_screen_norms_are_mean_and_sd_and_cut_offs_are_those_printed():
    screens = read_rows(REFERENCE_FOLDER / "physical_screens.csv")
    choices = read_rows(HERE / "selection_screens.csv")
    for rule, choice in zip(published_rules("hands_on"), choices, strict=True):
        row = find_one(screens, {"screen_name": choice["screen_name"]}, choice["reference_source"])
        if row["norm_sd"]:
            mean, sd = float(row["norm_mean"]), float(row["norm_sd"])
            assert [rule["target_low"], rule["flag_high"]] == pytest.approx([mean - sd, mean + 2 * sd])
        else:
            printed = float(re.search(r"[\d.]+", row["threshold"]).group())
            side = row["direction"]
            assert rule[f"target_{side}"] == rule[f"flag_{side}"] == printed
            assert row["threshold"].startswith({"low": "<", "high": ">"}[side])


def test_a_choice_that_names_no_row_is_refused(tmp_path):
    with pytest.raises(SelectionError, match="found 0"):
        find_one(KINEMATICS, {"metric_key": "stride_length"}, "A paper that nobody wrote")


def test_the_file_reads_as_one_row_a_rule():
    with PUBLISHED_FILE.open(encoding="utf-8", newline="") as file:
        assert len(list(csv.DictReader(file))) == len(load_starting_profile("published").rules)
