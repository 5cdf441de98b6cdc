"""The data says what the metric table says: key by key, in its order."""

from collections import Counter

import pytest

LANES = {"L": "lower_half", "T": "trunk", "A": "arm", "S": "sequence"}
VIEWS = {"s": "open_side", "b": "behind", "-": ""}

# The list of the definition, written out: layback and its time, everything at layback, the arm at release,
# the two arm speeds and their times, the gap that ends in one of them, torques, joint forces.
FILTER_DEPENDENT = {
    "shoulder_external_rotation_max", "shoulder_external_rotation_max_time",
    "lead_knee_flexion_mer", "pelvis_rotation_mer", "separation_mer",
    "trunk_forward_tilt_mer", "trunk_lateral_tilt_mer", "trunk_rotation_mer",
    "shoulder_abduction_mer", "shoulder_horizontal_adduction_mer", "elbow_flexion_mer",
    "elbow_flexion_br", "shoulder_abduction_br", "arm_slot_br", "release_height", "release_extension",
    "elbow_extension_velocity_max", "elbow_extension_velocity_max_time",
    "shoulder_internal_rotation_velocity_max", "shoulder_internal_rotation_velocity_max_time",
    "trunk_elbow_lag", "elbow_varus_torque_max", "elbow_varus_torque_norm",
    "shoulder_internal_rotation_torque_max", "shoulder_distraction_force_max", "shoulder_anterior_force_max",
}  # fmt: skip


def test_the_catalogue_holds_exactly_the_keys_of_the_table_in_its_order(catalogue, design_table):
    throws = [key for key, metric in catalogue.metrics.items() if not metric.is_screen]
    assert throws == [row["key"] for row in design_table]
    assert len(throws) == 84


def test_screens_stand_after_all_metrics_of_throws(catalogue):
    kinds = [metric.is_screen for metric in catalogue.metrics.values()]
    assert kinds == sorted(kinds)


def test_every_row_agrees_with_the_table(catalogue, design_table):
    for row in design_table:
        metric = catalogue.metric(row["key"])
        stated = (
            metric.unit, metric.lane, metric.moment, metric.view, metric.projected,
            metric.kind, metric.family, metric.first_look, metric.weight,
        )  # fmt: skip
        assert stated == (
            row["unit"], LANES[row["lane"]], row["moment"], VIEWS[row["view"]], row["projected"] == "yes",
            row["kind"], row["family"], row["first_look"] == "yes", float(row["weight"]),
        ), row["key"]  # fmt: skip


def test_first_look_is_a_dozen(catalogue, design_table):
    keys = [metric.key for metric in catalogue.first_look]
    assert len(keys) == 12
    assert keys == [row["key"] for row in design_table if row["first_look"]]


def test_families_gather_what_the_table_names_and_never_one_alone(catalogue, design_table):
    counted = Counter(row["family"] for row in design_table if row["family"])
    assert {name: len(members) for name, members in catalogue.families.items()} == counted
    assert min(counted.values()) >= 2


def test_exactly_the_listed_metrics_depend_on_the_filter(catalogue):
    assert {metric.key for metric in catalogue.metrics.values() if metric.filter_dependent} == FILTER_DEPENDENT


def test_lengths_in_percent_of_height_are_kept_in_metres_and_nothing_else_is(catalogue):
    in_metres = {m.key for m in catalogue.metrics.values() if m.storage_unit != m.unit}
    assert in_metres == {"peak_knee_lift", "stride_length", "release_height", "release_extension"}
    assert {catalogue.metric(key).storage_unit for key in in_metres} == {"m"}


@pytest.mark.parametrize(
    ("key", "number"),
    [("stride_length", 4), ("trunk_rotation_fp", 2), ("separation_fp", 2), ("elbow_flexion_fp", 0)],
)
def test_definitions_are_named_where_a_metric_has_several(catalogue, key, number):
    metric = catalogue.metric(key)
    assert len(metric.definitions) == number
    assert metric.definition_default == (metric.definitions[0] if number else "")


def test_the_version_is_a_hash_that_stays_the_same_for_the_same_data(catalogue):
    from metrics.catalogue.loader import DATA_FOLDER, read_catalogue

    assert read_catalogue(DATA_FOLDER).version == catalogue.version
    assert len(catalogue.version) == 12
    int(catalogue.version, 16)
