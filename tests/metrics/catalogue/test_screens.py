"""The hands-on screens: all that the reference tables name, with the side in the key."""

# A screen that no reference table of screens holds: it comes from the date of birth and explains, as the links say.
FROM_THE_RECORD = {"age"}

# Causes that are neither a metric of the catalogue nor taken by hand; the reference README lists them.
OTHER_CAUSES = {
    "capture_filter", "drive_hip_external_rotation_fp", "drive_hip_flexion_excursion", "elbow_flexion_excursion",
    "lead_hip_path",
}  # fmt: skip


def test_every_screen_of_the_reference_table_is_in_the_catalogue(catalogue, published):
    named = {row["screen_key"] for row in published("physical_screens")}
    assert len(named) > 30
    assert {key for key in named if not catalogue.screens_for(key)} == set()


def test_every_cause_is_a_metric_a_screen_or_one_of_the_listed_others(catalogue, published):
    causes = {row["cause_metric_or_screen"] for row in published("cause_links")}
    left = {key for key in causes if key not in catalogue.metrics and not catalogue.screens_for(key)}
    assert left == OTHER_CAUSES


def test_screens_stand_for_keys_that_the_reference_tables_have(catalogue, published):
    named = {row["screen_key"] for row in published("physical_screens")}
    assert {key for screen in catalogue.screens for key in screen.reference_keys} == named | FROM_THE_RECORD


def test_a_screen_with_a_side_says_it_in_its_key_and_has_its_counterpart(catalogue):
    counterpart = {"throwing": "other", "other": "throwing", "front": "back", "back": "front"}
    alone = set()
    for screen in catalogue.screens:
        if screen.side:
            assert screen.key.endswith(f"_{screen.side}")
            stem = screen.key.removesuffix(screen.side)
            if stem + counterpart[screen.side] not in catalogue.metrics:
                alone.add(stem)
    assert alone == {
        "supraspinatus_strength_", "er_ir_strength_ratio_", "scapular_dyskinesis_", "elbow_valgus_pain_",
        "hip_extension_active_", "hip_er_active_", "hip_abduction_active_",
    }  # fmt: skip


def test_sides_and_total_arcs_are_derived_from_their_parts(catalogue):
    parts = {key: catalogue.metric(key).derived_from for key in
             ("shoulder_ir_deficit", "shoulder_total_arc_throwing", "hip_total_arc_front")}  # fmt: skip
    assert parts == {
        "shoulder_ir_deficit": ("shoulder_ir_90_other", "shoulder_ir_90_throwing"),
        "shoulder_total_arc_throwing": ("shoulder_ir_90_throwing", "shoulder_er_90_throwing"),
        "hip_total_arc_front": ("hip_ir_front", "hip_er_front"),
    }


def test_every_screen_says_how_it_is_measured(catalogue):
    assert [s.key for s in catalogue.screens if len(s.how_measured) < 20] == []


def test_what_explains_but_is_not_worked_on_is_marked_as_context(catalogue):
    """Age, body-mass index, workload, growth and bone shape; ball speed and plant to release among the throws."""
    assert {m.key for m in catalogue.metrics.values() if m.is_context} == {
        "age", "bmi", "workload_7_days", "workload_28_days", "height_velocity", "humeral_retrotorsion_difference",
        "ball_speed", "fp_br_time",
    }  # fmt: skip
