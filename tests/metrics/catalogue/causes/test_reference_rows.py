"""The shipped links beside the reference table of causes: every row of it is kept, turned, or left out for a reason.

The table is raw material (tests/reference/data/cause_links.csv); what was done to it stands here row by row.
"""

from __future__ import annotations

import pytest
from scipy.stats import norm

from metrics.catalogue.profiles import load_starting_profile

SIDED = {
    "thoracic_rotation_locked": "thoracic_rotation_locked_throwing",
    "pec_minor_table_distance": "pec_minor_table_distance_throwing",
    "latissimus_length": "latissimus_length_throwing",
    "supraspinatus_strength": "supraspinatus_strength_throwing",
    "shoulder_er_90": "shoulder_er_90_throwing",
    "elbow_extension": "elbow_extension_deficit",
    "hip_abduction_lead": "hip_abduction_active_front",
    "hip_extension_back": "hip_extension_active_back",
    "adductor_length": "adductor_length_back",
    "hamstring_90_90": "hamstring_90_90_front",
    "hip_flexor_thomas": "hip_flexor_thomas_back",
    "hip_er": "hip_er_front",
    "lead_leg_strength": "leg_strength_ratio",
    "hip_abductor_strength": "hip_abductor_strength_back",
    "hip_extensor_strength": "hip_extensor_strength_back",
    "workload": "workload_7_days",
    "drive_force_max": "drive_force_forward_max",
}
"""Keys without a side, and what one word of the reason made of them."""

SIDED_BY_EFFECT = {
    "hip_ir": {"stride_offset": "hip_ir_back", "": "hip_ir_front"},
    "lumbopelvic_step_down": {"trunk_opening_time": "lumbopelvic_step_down_back", "": "lumbopelvic_step_down_front"},
    "ankle_dorsiflexion_lunge": {
        "drive_knee_flexion_max": "ankle_dorsiflexion_lunge_back",
        "": "ankle_dorsiflexion_lunge_front",
    },
    "shoulder_horizontal_adduction": {"": "shoulder_horizontal_adduction_deficit"},
}
FLIPPED = {"shoulder_horizontal_adduction": "high"}
"""A side difference runs the other way than the reach that it is taken from."""

TURNED = {
    ("stride_length high", "lead_knee_extension low"): ("lead_knee_extension low", "stride_length high"),
    ("trunk_velocity_max low", "lead_knee_flexion_br high"): ("trunk_velocity_max low", "lead_knee_flexion_fp high"),
    ("elbow_flexion_br high", "elbow_extension_velocity_max low"): (
        "elbow_flexion_br high",
        "elbow_extension_velocity_max_time high",
    ),
}

DROPPED_CAUSES = {
    "capture_filter", "drive_hip_external_rotation_fp", "drive_hip_flexion_excursion", "elbow_flexion_excursion",
    "lead_hip_path",
}  # fmt: skip
DROPPED_EFFECTS = {
    "peak_knee_lift", "arm_slot_br", "release_extension", "release_height",  # styles
    "fp_br_time",  # context
    "elbow_varus_torque_max", "shoulder_distraction_force_max",  # loads without a range
}  # fmt: skip
DROPPED = {
    ("shoulder_horizontal_abduction_max high", "glove_arm_drift high"),  # leads back in time
    ("trunk_opening_time low", "glove_arm_drift high"),  # after its effect
    ("trunk_rotation_fp low", "hip_er_back high"),  # direction not confirmed
    ("lead_knee_flexion_fp high", "ankle_dorsiflexion_lunge high"),  # cannot be off that way
    ("drive_knee_flexion_max high", "ankle_dorsiflexion_lunge high"),  # cannot be off that way
    ("elbow_varus_torque_norm high", "lead_knee_extension low"),  # the reverse in high school
    ("elbow_varus_torque_norm high", "separation_fp high"),  # carries speed
    ("elbow_varus_torque_norm high", "trunk_velocity_max high"),  # carries speed
}

ADDED = {
    ("shoulder_external_rotation_fp low", "stride_length low"),
    ("elbow_flexion_fp low", "trunk_opening_time low"),
    ("shoulder_external_rotation_max low", "shoulder_er_90_throwing low"),
    ("shoulder_external_rotation_max low", "pec_minor_table_distance_throwing high"),
    ("shoulder_er_insufficiency low", "shoulder_er_90_throwing low"),
    ("trunk_rotation_fp low", "trunk_opening_time low"),
}
"""Links that no row has."""

WORDS = {"early": "low", "late": "high"}


def raw_pair(row):
    effect = f"{row['flag_metric']} {WORDS.get(row['flag_direction'], row['flag_direction'])}"
    cause = f"{row['cause_metric_or_screen']} {WORDS.get(row['cause_direction'], row['cause_direction'])}"
    return effect, cause


def is_dropped(row):
    return (
        row["cause_metric_or_screen"] in DROPPED_CAUSES
        or row["flag_metric"] in DROPPED_EFFECTS
        or raw_pair(row) in DROPPED
    )


def kept_pair(row):
    """The pair of a row in the catalogue's keys."""
    pair = raw_pair(row)
    if pair in TURNED:
        return TURNED[pair]
    effect, direction = pair[0].split()
    cause, cause_direction = pair[1].split()
    by_effect = SIDED_BY_EFFECT.get(cause, {})
    named = by_effect.get(effect) or by_effect.get("") or SIDED.get(cause, cause)
    effect = SIDED.get(effect, effect)
    return f"{effect} {direction}", f"{named} {FLIPPED.get(cause, cause_direction)}"


@pytest.fixture(scope="module")
def rows(published):
    return published("cause_links")


@pytest.fixture(scope="module")
def by_pair(links):
    return {(" ".join(one.effect_end), " ".join(one.cause_end)): one for one in links}


def test_every_row_is_kept_or_left_out_for_a_reason(rows, by_pair):
    kept = {kept_pair(row) for row in rows if not is_dropped(row)}
    assert kept - set(by_pair) == set()
    assert set(by_pair) - kept == ADDED


def test_every_reason_for_leaving_out_has_its_row(rows):
    pairs = {raw_pair(row) for row in rows}
    assert set(TURNED) <= pairs
    assert pairs >= DROPPED
    assert {row["cause_metric_or_screen"] for row in rows} >= DROPPED_CAUSES
    assert {row["flag_metric"] for row in rows} >= DROPPED_EFFECTS


def test_what_is_practice_in_the_table_is_never_published_here(rows, by_pair):
    borrowed = [
        kept_pair(row)
        for row in rows
        if not is_dropped(row) and row["status"] != "verified" and by_pair[kept_pair(row)].status == "published"
    ]
    assert borrowed == []


def test_what_was_recalled_in_the_table_is_recalled_here(rows, by_pair):
    recalled = {kept_pair(row) for row in rows if row["status"] == "memory"}
    assert recalled == {pair for pair, one in by_pair.items() if one.status == "from_memory"}


def test_added_links_claim_no_source(by_pair):
    assert {by_pair[pair].status for pair in ADDED} == {"common_practice"}
    assert all(by_pair[pair].source.startswith("common practice") for pair in ADDED)


def test_no_reason_is_copied_from_the_table(rows, links):
    """The words are ours."""
    theirs = {row["rationale"].strip().rstrip(".").casefold() for row in rows}
    assert not theirs & {one.reason.rstrip(".").casefold() for one in links}


def test_a_reason_is_one_plain_sentence(links):
    for one in links:
        assert one.reason.endswith("."), one.reason
        assert one.reason.count(". ") == 0, one.reason
        assert one.reason[0].isupper(), one.reason


def test_status_and_source_agree(links):
    """What is practice says so in its source, what is recalled says that; a published one says where it was seen."""
    for one in links:
        claims_practice = one.source.startswith("common practice")
        assert claims_practice == (one.status == "common_practice"), one
        if one.status == "from_memory":
            assert "from memory" in one.source
        if one.status == "published":
            assert any(word in one.source for word in ("abstract", "second hand")), one.source


def test_a_published_link_is_more_than_weak_only_with_its_number(links):
    """docs/causes.md: a size of 0.4 SD per SD or more in 30 people or more. Of the kept rows only stride and pelvis.

    From the quarter with the shortest strides to that with the longest the pelvis goes from 70 to 59 deg.
    """
    stronger = {(one.effect, one.cause) for one in links if one.status == "published" and one.strength != "weak"}
    assert stronger == {("pelvis_rotation_fp", "stride_length")}
    rules = load_starting_profile("published").rules
    spreads = [rule["source_sd"] for rule in rules if rule["metric"] == "pelvis_rotation_fp" and rule["source_sd"]]
    outer_quarters_apart = 2 * norm.pdf(norm.ppf(0.25)) / 0.25
    assert spreads
    assert all((70 - 59) / spread / outer_quarters_apart >= 0.4 for spread in spreads)


def test_what_is_recalled_is_weak(links):
    assert {one.strength for one in links if one.status == "from_memory"} == {"weak"}
