"""Joint centres against the published equations worked by hand, and against the skeleton that made the markers."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from metrics.kinematics import measure_throw
from metrics.kinematics.joints import (
    Sizes,
    find_joints,
    hip_centre,
    hip_offset,
    plane_normal,
    shoulder_centre,
    wrist_by_knuckle,
)
from metrics.kinematics.landmarks import Markers
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording

BODY = synthesis.Body(1.86, 88.0)
DELIVERY = synthesis.Delivery(BODY)
SIZES = Sizes(BODY.pelvis_width, BODY.pelvis_depth, BODY.length("biacromial"))
MM = 1e-3
MEDIAL = {"elbow": "EM", "wrist": "US", "knee": "FME", "ankle": "MM"}
UPRIGHT = np.array([[[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]])  # faces home


@cache
def recorded():
    return synthesis.record(DELIVERY, synthesis.Room(rate_hz=120.0))


@cache
def skeleton():
    made = recorded()
    local = np.clip(made.times - made.throw.start, DELIVERY.start, DELIVERY.end)
    return synthesis.place_skeleton(BODY, DELIVERY.pose(local))


def joints_without(*labels, sizes=SIZES):
    made = synthesis.without(recorded(), labels)
    return find_joints(Markers(made.labels, made.points, 120.0), sizes, BODY.half_width)


def off(joints, centre):
    """Distance from the skeleton's centre at every frame, m."""
    return np.linalg.norm(joints[centre] - skeleton().centres[centre], axis=1)


# --- published equations -------------------------------------------------------------------------------------------


def test_the_hip_by_one_predictor_each_is_as_worked_by_hand():
    """Harrington et al. 2007 with PW 240 and PD 150 mm: x = -0.24 × 150 - 9.9 = -45.9, y = -0.30 × 240 - 10.9 = -82.9,
    z = 0.33 × 240 + 7.3 = 86.5 mm."""
    assert hip_offset(Sizes(0.240, 0.150, 0.40)) == pytest.approx((-45.9 * MM, -82.9 * MM, 86.5 * MM))


def test_the_hip_with_a_leg_length_is_as_worked_by_hand():
    """The same pelvis and LL 900 mm: y = -0.16 × 240 - 0.04 × 900 - 7.1 = -81.5, z = 0.28 × 150 + 0.16 × 240 + 7.9 =
    88.3 mm; x stays."""
    assert hip_offset(Sizes(0.240, 0.150, 0.40, 0.900)) == pytest.approx((-45.9 * MM, -81.5 * MM, 88.3 * MM))


@pytest.mark.parametrize(("side", "sideward"), [("R", -86.5), ("L", 86.5)])
def test_hips_lie_behind_below_and_to_either_side_of_the_spines(side, sideward):
    """Facing home: X forward, Y to the left, Z up."""
    middle = np.array([[1.0, 2.0, 3.0]])
    found = hip_centre(UPRIGHT, middle, Sizes(0.240, 0.150, 0.40), side)
    np.testing.assert_allclose(found - middle, [[-45.9 * MM, sideward * MM, -82.9 * MM]], atol=1e-12)


def test_the_offset_goes_along_the_pelvis_however_it_is_turned():
    turn = Rotation.from_euler("ZYX", [50.0, 20.0, -15.0], degrees=True)
    straight, turned = (
        hip_centre(pelvis, np.zeros((1, 3)), SIZES, "R") for pelvis in (UPRIGHT, turn.as_matrix() @ UPRIGHT)
    )
    np.testing.assert_allclose(turned, turn.apply(straight), atol=1e-12)


def test_the_shoulder_lies_17_percent_of_the_acromias_distance_under_the_acromion():
    """Rab et al. 2002 (from memory): 0.17 × 400 mm = 68 mm down the trunk."""
    found = shoulder_centre(UPRIGHT, np.array([[0.1, 0.2, 1.5]]), Sizes(0.240, 0.150, 0.400))
    np.testing.assert_allclose(found, [[0.1, 0.2, 1.432]], atol=1e-12)


def test_sizes_are_medians_of_the_frames_that_are_seen():
    points = np.zeros((5, 6, 3))
    labels = ("R_ASIS", "L_ASIS", "R_PSIS", "L_PSIS", "R_AC", "L_AC")
    points[:, 0, 1], points[:, 1, 1] = -0.12, 0.12
    points[:, 2:4, 0] = -0.15
    points[:, 4, 1] = -0.20
    points[:, 5, 1] = [0.20, 0.20, 0.90, np.nan, 0.20]
    found = Sizes.of(Markers(labels, points, 100.0), 0.9)
    assert (found.pelvis_width, found.pelvis_depth, found.acromion_width) == pytest.approx((0.24, 0.15, 0.40))
    assert found.leg_length == 0.9


def test_a_size_that_nobody_saw_is_nan():
    assert np.isnan(Sizes.of(Markers((), np.zeros((5, 0, 3)), 100.0)).pelvis_width)


# --- the skeleton that made the markers ----------------------------------------------------------------------------


@pytest.mark.parametrize("leg_length", [None, BODY.leg_length])
def test_every_joint_centre_is_the_skeletons(leg_length):
    found = joints_without(sizes=Sizes(SIZES.pelvis_width, SIZES.pelvis_depth, SIZES.acromion_width, leg_length))
    for centre in found.centres:
        assert off(found, centre).max() < 1e-6, centre


@pytest.mark.parametrize("joint", ["elbow", "knee", "ankle"])
@pytest.mark.parametrize("side", ["R", "L"])
def test_a_joint_without_its_inner_marker_is_the_skeletons_where_the_limb_is_bent(side, joint):
    """To a fifth of a millimetre; within 20° of a straight limb there is none."""
    found = joints_without(f"R_{MEDIAL[joint]}", f"L_{MEDIAL[joint]}")
    upper, middle, lower = (
        skeleton().centres[f"{side}_{name}"]
        for name in (("shoulder", "elbow", "wrist") if joint == "elbow" else ("hip", "knee", "ankle"))
    )
    first, second = middle - upper, lower - middle
    cosine = (first * second).sum(axis=1) / np.linalg.norm(first, axis=1) / np.linalg.norm(second, axis=1)
    bend = np.degrees(np.arccos(cosine))
    distance = off(found, f"{side}_{joint}")
    assert (bend > 25.0).mean() > 0.5
    assert distance[bend > 25.0].max() < 2e-4
    assert np.isnan(distance[bend < 15.0]).all()


@pytest.mark.parametrize("labels", [("R_US", "L_US"), synthesis.MEDIAL])
def test_a_wrist_without_its_inner_marker_is_the_skeletons_from_contact_to_release(labels):
    """The thrower's wrist is bent back until then, the glove's always; a millimetre when the elbow's is missing too."""
    made = recorded()
    throwing = (made.times >= made.throw.events.fc) & (made.times <= made.throw.events.br)
    found = joints_without(*labels)
    for side in "RL":
        assert off(found, f"{side}_wrist")[throwing].max() < 1e-3
        assert off(found, f"{side}_elbow")[throwing].max() < 1e-3


def test_a_throw_without_inner_wrist_markers_keeps_its_layback_and_has_no_moment_of_internal_rotation():
    """Through the default filter, 0.5 mm of noise; after release, when the wrist flexes, its side is not known."""
    made = synthesis.record(DELIVERY, synthesis.Room(rate_hz=240.0, ball=True))
    made = synthesis.with_noise(made, 0.0005, np.random.default_rng(1))
    whole, less = (
        measure_throw(as_recording(one), height_m=1.86, mass_kg=88.0)
        for one in (made, synthesis.without(made, ["R_US", "L_US"]))
    )
    for key, degrees in (("shoulder_external_rotation_max@mer", 1.0), ("shoulder_external_rotation_fp@fc", 1.5)):
        assert less.metrics[key].value == pytest.approx(whole.metrics[key].value, abs=degrees)
    assert "mir" not in less.events
    assert less.metrics["shoulder_internal_rotation_velocity_max@mer-mir"].code == "no_event"
    assert "wrist_by_knuckle" in {notice.code for notice in less.report.notices}


def test_a_straight_wrist_lies_half_its_width_from_the_outer_marker():
    elbow, knuckle = np.array([[0.0, 0.0, 0.0]]), np.array([[0.0, 0.0, -0.34]])
    radial = np.array([[0.0, -0.03, -0.25]])
    np.testing.assert_allclose(wrist_by_knuckle(elbow, radial, knuckle, 0.03, "R"), [[0.0, 0.0, -0.25]], atol=1e-9)


def test_an_outer_wrist_marker_on_the_line_to_the_knuckle_shows_no_side():
    elbow, knuckle = np.array([[0.0, 0.0, 0.0]]), np.array([[0.0, 0.0, -0.34]])
    radial = np.array([[0.0, -0.005, -0.25]])
    assert np.isnan(wrist_by_knuckle(elbow, radial, knuckle, 0.03, "R")).all()


@pytest.mark.parametrize(("bend", "known"), [(19.0, False), (21.0, True)])
def test_a_limb_has_a_plane_from_20_degrees_of_bend(bend, known):
    upper = np.array([[0.0, 0.0, -1.0]])
    lower = np.array([[np.sin(np.radians(bend)), 0.0, -np.cos(np.radians(bend))]])
    assert np.isfinite(plane_normal(upper, lower)).all() == known
