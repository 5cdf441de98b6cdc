"""The library beside the reference table of interventions: what each row addresses, and what could not be mapped.

The table is raw material (tests/reference/data/interventions.csv). Ours are its rows in its order, under other names.
"""

from __future__ import annotations

import csv

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import load_links
from plans.library import load_library
from tests.source import CHECKOUT

NEVER_WORKED_ON = {
    ("slow_lowering_turn_back", "shoulder_distraction_force_max"),
    ("wrist_and_grip", "elbow_varus_torque_norm"),
    ("side_lunge_push_off", "drive_force_max"),  # the push toward home is answered instead
    ("towel_delivery", "release_extension"),
}
"""An outcome is judged and a style is shown; neither is worked on."""

BY_ITS_CAUSE = {
    ("side_lying_chest_turn", "shoulder_external_rotation_max"),
    ("upper_back_over_roll", "shoulder_external_rotation_fp"),
    ("front_hip_turn_in_lifts", "trunk_lateral_tilt_br"),
    ("hip_flexor_half_kneeling", "stride_length"),
    ("ankle_rocks", "lead_knee_extension"),
    ("prone_turn_back", "shoulder_external_rotation_fp"),
    ("slow_step_down", "trunk_opening_time"),
    ("fewer_throws", "trunk_forward_tilt_br"),
    ("fewer_throws", "lead_knee_flexion_br"),
}
"""Reached over a cause link: the stiff or weak part is answered, and the trace names it."""

NOT_MAPPED = {("graded_return", "throwing_pain")}
"""Pain is answered by a referral only."""


@pytest.fixture(scope="module")
def pairs():
    """(row of the reference, intervention of ours)."""
    with (CHECKOUT / "tests/reference/data/interventions.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return list(zip(rows, load_library(), strict=True))


def keys_for(reference_key):
    """Keys of the catalogue that a key of the reference means: itself, or the sides of a screen."""
    catalogue = load_catalogue()
    own = {key for key in catalogue.metrics if key == reference_key or key.startswith(reference_key + "_")}
    return own | {screen.key for screen in catalogue.screens_for(reference_key)}


def unmapped(pairs):
    return {
        (one.key, key)
        for row, one in pairs
        for key in row["addresses"].split(";")
        if key != "workload" and not keys_for(key) & {metric for metric, _ in one.answers}
    }


def test_every_row_has_its_kind_and_its_weeks(pairs):
    for row, one in pairs:
        assert one.kind == row["kind"], one.key
        weeks = [int(week) for week in row["recheck_weeks"].split("-")]
        assert one.recheck_weeks == (weeks[0], weeks[-1]), one.key


def test_what_could_not_be_mapped_is_known(pairs):
    assert unmapped(pairs) == NEVER_WORKED_ON | BY_ITS_CAUSE | NOT_MAPPED


def test_what_is_never_worked_on_is_an_outcome_or_a_style():
    metrics = load_catalogue().metrics
    assert {metrics[key].kind for _, key in NEVER_WORKED_ON} <= {"outcome", "style"}


def test_what_is_reached_by_its_cause_has_a_link_from_there(pairs):
    ours = {one.key: one for _, one in pairs}
    for key, effect in BY_ITS_CAUSE:
        causes = {link.cause_end for link in load_links() if link.effect == effect}
        assert causes & set(ours[key].answers), (key, effect)


def test_every_name_is_our_own(pairs):
    same = {one.name for row, one in pairs if row["name"].lower() == one.name.lower()}
    assert same == set()
