"""The delivery synthesiser against itself, geometry, published means and two independent C3D readers.

Angles are found again here from marker positions by plain vector formulas of this file's own: neither the
synthesiser's rotations nor the product's measurement is used for that.
"""

from __future__ import annotations

import csv
import io
import subprocess
import sys
import time
from pathlib import Path

import c3d
import ezc3d
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from tests.source import CHECKOUT
from tests.synthesis import (
    BALL,
    HABITS,
    LEVELS,
    REQUIRED,
    Body,
    Delivery,
    Mound,
    Room,
    RunningThrow,
    Standing,
    Style,
    WalkingIn,
    Windmill,
    c3d_bytes,
    cut,
    events_of,
    ground_forces,
    knob_names,
    metrics,
    other_side,
    place_skeleton,
    record,
    signed_permutations,
    speeds,
    style_of,
    with_gap,
    with_names,
    with_noise,
    with_sides_swapped,
    without_medial,
    write_c3d,
)
from tests.synthesis.curves import Curve, Knot, Landing, rest

PUBLISHED = Path(__file__).parent / "reference" / "data" / "pitching_kinematics_by_level.csv"
MILLIMETRE = 1e-3


def column(recording, label):
    """One landmark in metres and lab axes, whatever the room."""
    return recording.marker(label)


def middle(recording, first, second):
    return (column(recording, first) + column(recording, second)) / 2


def angle_between(first, second):
    return np.degrees(
        np.arctan2(np.linalg.norm(np.cross(first, second), axis=-1), (first * second).sum(axis=-1))
    )  # fmt: skip


def unit(vectors):
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def thorax_axes(recording):
    """X, Y and Z of the thorax by ISB (Wu et al. 2005), each (n, 3)."""
    low, high = middle(recording, "PX", "T8"), middle(recording, "IJ", "C7")
    y = unit(high - low)
    z = unit(np.cross(column(recording, "IJ") - low, column(recording, "C7") - low))
    z = z * np.sign((z * (column(recording, "R_AC") - column(recording, "L_AC"))).sum(axis=1, keepdims=True))
    return np.cross(y, z), y, z


def shoulder(recording, side):
    """17% of acromion to acromion, straight down the trunk (Rab et al. 2002)."""
    span = np.linalg.norm(column(recording, "R_AC") - column(recording, "L_AC"), axis=1, keepdims=True)
    return column(recording, f"{side}_AC") - 0.17 * span * thorax_axes(recording)[1]


@pytest.fixture(scope="module")
def delivery():
    return Delivery()


@pytest.fixture(scope="module")
def recording(delivery):
    return record(delivery, Room(rate_hz=240.0))


# ---- curves ---------------------------------------------------------------------------------------------


def test_a_curve_passes_through_everything_that_is_known_of_it():
    knots = [rest(-1.0, 3.0), Knot(0.1, 5.0), Knot(0.15, None, -40.0, 0.0), Knot(0.2, 1.0, 0.0), rest(0.9, 2.0)]
    curve = Curve(knots)
    for knot in knots:
        if knot.value is not None:
            assert curve(knot.time) == pytest.approx(knot.value, abs=1e-6)
        if knot.rate is not None:
            assert curve.rate(knot.time) == pytest.approx(knot.rate, abs=1e-5)


def test_a_curve_is_the_quintic_between_two_resting_knots():
    """The minimum-jerk movement (Flash & Hogan 1985): 10 s^3 - 15 s^4 + 6 s^5."""
    share = np.linspace(0, 1, 21)
    exact = 10 * share**3 - 15 * share**4 + 6 * share**5
    assert np.allclose(Curve([rest(0.0, 0.0), rest(2.0, 5.0)])(2.0 * share), 5.0 * exact, atol=1e-6)


def test_a_curve_stands_still_outside_its_knots():
    curve = Curve([rest(0.0, 1.0), rest(1.0, 2.0)])
    assert np.allclose(curve([-3.0, 4.0]), [1.0, 2.0])
    assert np.allclose(curve.rate([-3.0, 4.0]), 0.0)


def test_knots_out_of_order_are_refused():
    with pytest.raises(ValueError, match="rising time"):
        Curve([rest(1.0, 0.0), rest(0.0, 1.0)])


def test_a_landing_stops_without_a_step_in_value_rate_or_second_rate():
    approach = Curve([rest(0.0, 1.0), Knot(0.5, 0.0, -1.5, 0.0)])
    landing = Landing(approach, 0.5, 0.006)
    fine = np.arange(0.49, 0.52, 1e-5)
    second = np.diff(landing(fine), 2) / 1e-10
    assert landing(0.6) == pytest.approx(-1.5 * 0.006 / 2)
    assert np.abs(np.diff(second)).max() < 0.01 * np.abs(second).max()


# ---- the body -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("height", [1.30, 1.55, 1.83, 2.05])
def test_both_forms_of_the_hip_regression_give_the_bodys_own_hip_centres(height):
    """Harrington et al. 2007 in millimetres along pelvis axes from the middle of both ASIS."""
    body = Body(height)
    marks = body.pelvis_markers
    front = (marks["R_ASIS"] + marks["L_ASIS"]) / 2
    back = (marks["R_PSIS"] + marks["L_PSIS"]) / 2
    width = np.linalg.norm(marks["R_ASIS"] - marks["L_ASIS"]) / MILLIMETRE
    depth = np.linalg.norm(front - back) / MILLIMETRE
    leg = body.leg_length / MILLIMETRE
    one_predictor = np.array([-0.24 * depth - 9.9, -0.30 * width - 10.9, 0.33 * width + 7.3])
    with_leg = np.array([-0.24 * depth - 9.9, -0.16 * width - 0.04 * leg - 7.1, 0.28 * depth + 0.16 * width + 7.9])
    own = (np.array([0.0, 0.0, body.half_hips]) - front) / MILLIMETRE
    assert np.allclose(one_predictor, own, atol=1e-9)
    assert np.allclose(with_leg, own, atol=1e-9)


def test_joint_centres_are_the_middles_of_their_landmarks(delivery, recording):
    centres = place_skeleton(delivery.body, delivery.pose(recording.times - recording.throw.start)).centres
    pairs = {"elbow": ("EL", "EM"), "wrist": ("RS", "US"), "knee": ("FLE", "FME"), "ankle": ("LM", "MM")}
    for side in "RL":
        for joint, (lateral, medial) in pairs.items():
            found = middle(recording, f"{side}_{lateral}", f"{side}_{medial}")
            assert np.abs(found - centres[f"{side}_{joint}"]).max() < 1e-12
        assert np.abs(shoulder(recording, side) - centres[f"{side}_shoulder"]).max() < 1e-12


def test_segments_keep_their_lengths(recording):
    body = Body()
    lengths = {"upper_arm": ("shoulder", "elbow"), "forearm": ("elbow", "wrist"), "thigh": ("hip", "knee"),
               "shank": ("knee", "ankle")}  # fmt: skip
    centres = place_skeleton(body, Delivery(body).pose(recording.times - recording.throw.start)).centres
    for side in "RL":
        for segment, (first, last) in lengths.items():
            span = np.linalg.norm(centres[f"{side}_{last}"] - centres[f"{side}_{first}"], axis=1)
            assert np.abs(span - body.length(segment)).max() < 1e-9


def test_lateral_landmarks_lie_outside_while_the_pitcher_stands(recording):
    z = thorax_axes(recording)[2][0]
    for side, sign in (("R", 1.0), ("L", -1.0)):
        for lateral, medial in (("FLE", "FME"), ("LM", "MM")):
            across = column(recording, f"{side}_{lateral}")[0] - column(recording, f"{side}_{medial}")[0]
            assert sign * across @ z > 0


# ---- feet -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("landing", ["heel", "toe", "flat"])
def test_planted_feet_do_not_slip(landing):
    delivery = Delivery(style=Style(landing=landing))
    thrown = record(delivery, Room(rate_hz=1000.0))
    events, local = thrown.throw.events, thrown.times - thrown.throw.start
    planted = (thrown.times > events.fp + 0.005) & (thrown.times < events.br + 0.5)
    on_rubber = (local > delivery.start) & (local < -0.2)
    toe_only = local < delivery.lower_half.toe_off
    for label, standing in (
        ("L_CA", planted),
        ("L_MT2", planted),
        ("R_CA", on_rubber),
        ("R_MT2", on_rubber & toe_only),
    ):
        travelled = column(thrown, label)[standing]
        assert np.ptp(travelled, axis=0).max() < 1e-4, label


def test_both_ends_of_the_landed_foot_touch_the_slope(recording):
    body, mound = Body(), Mound()
    events = recording.throw.events
    landed = np.searchsorted(recording.times, events.fp + 0.05)
    for label in ("L_CA", "L_MT2"):
        x, _, z = column(recording, label)[landed]
        off_ground = (z - float(mound.height(x))) * np.cos(np.radians(mound.slope))
        assert off_ground == pytest.approx(body.foot_marker_height, abs=2e-3)


@pytest.mark.parametrize(("landing", "first", "second"), [("heel", "L_CA", "L_MT2"), ("toe", "L_MT2", "L_CA")])
def test_the_named_end_of_the_foot_lands_first_and_the_other_at_the_planned_delay(landing, first, second):
    thrown = record(Delivery(style=Style(landing=landing, flat_delay=0.030)), Room(rate_hz=2000.0))
    events = thrown.throw.events
    touches = {}
    for label in (first, second):
        height = column(thrown, label)[:, 2]
        resting = height[np.searchsorted(thrown.times, events.fp + 0.05)]
        above = (height - resting > 0.004) & (thrown.times < events.fp + 0.05)
        touches[label] = thrown.times[np.flatnonzero(above)[-1]]
    assert touches[first] == pytest.approx(events.fc, abs=0.003)
    assert touches[second] == pytest.approx(events.fc + 0.030, abs=0.003)


def test_no_leg_is_stretched_beyond_its_reach_in_any_level_habit_or_size():
    deliveries = [Delivery(style=style_of(level)) for level in LEVELS]
    deliveries += [Delivery(style=style_of("college", habit)) for habit in HABITS]
    deliveries += [Delivery(Body(height)) for height in (1.3, 2.05)] + [
        Delivery(mound=Mound(slope)) for slope in (0.0, 6.0)
    ]
    for delivery in deliveries:
        times = np.arange(delivery.start, delivery.end, 1 / 200)
        assert place_skeleton(delivery.body, delivery.pose(times)).reach < 0.9995, delivery.style


def test_a_stride_that_no_leg_reaches_is_refused():
    with pytest.raises(ValueError, match="too long"):
        Delivery(style=Style(stride_length=125.0)).pose(np.zeros(1))


# ---- angles ---------------------------------------------------------------------------------------------


def test_arm_angles_found_from_landmarks_are_the_curves_that_made_them(recording):
    x, y, z = thorax_axes(recording)
    elbow, wrist = middle(recording, "R_EL", "R_EM"), middle(recording, "R_RS", "R_US")
    upper, fore = unit(elbow - shoulder(recording, "R")), unit(wrist - elbow)
    up = unit(y - (y * upper).sum(axis=1, keepdims=True) * upper)
    ahead = np.cross(up, upper)
    found = {
        "shoulder_abduction": angle_between(upper, -y),
        "shoulder_horizontal_abduction": np.degrees(np.arctan2(-(upper * x).sum(axis=1), (upper * z).sum(axis=1))),
        "shoulder_external_rotation": np.degrees(np.arctan2((fore * up).sum(axis=1), (fore * ahead).sum(axis=1))),
        "elbow_flexion": angle_between(upper, fore),
    }
    truth = recording.throw.angles(recording.times)
    for name, values in found.items():
        defined = np.isfinite(truth[name])
        assert defined.mean() > 0.5
        assert np.abs((values - truth[name] + 180) % 360 - 180)[defined].max() < 1e-6, name


def test_trunk_and_pelvis_found_from_landmarks_are_the_curves_that_made_them(recording):
    x, y, _ = thorax_axes(recording)
    truth = recording.throw.angles(recording.times)
    right = unit(column(recording, "R_ASIS") - column(recording, "L_ASIS"))
    back = middle(recording, "R_PSIS", "L_PSIS")
    forward = middle(recording, "R_ASIS", "L_ASIS") - back
    pelvis_x = unit(forward - (forward * right).sum(axis=1, keepdims=True) * right)
    heading = np.arctan2(-pelvis_x[:, 1], pelvis_x[:, 0])
    pelvis_y = np.cross(right, pelvis_x)
    turned_back = np.cos(heading) * pelvis_y[:, 0] - np.sin(heading) * pelvis_y[:, 1]
    sideways = np.sin(heading) * pelvis_y[:, 0] + np.cos(heading) * pelvis_y[:, 1]
    found = {
        "trunk_rotation": np.degrees(np.arctan2(-x[:, 1], x[:, 0])),
        "trunk_forward_tilt": np.degrees(np.arctan2(y[:, 0], y[:, 2])),
        "trunk_lateral_tilt": np.degrees(np.arctan2(y[:, 1], y[:, 2])),
        "pelvis_rotation": np.degrees(heading),
        "pelvis_anterior_tilt": np.degrees(np.arctan2(turned_back, pelvis_y[:, 2])),
        "pelvis_lateral_tilt": np.degrees(np.arctan2(sideways, pelvis_y[:, 2])),
    }
    for name, values in found.items():
        assert np.abs((values - truth[name] + 180) % 360 - 180).max() < 1e-6, name


def test_knees_found_from_landmarks_bend_as_the_truth_says(delivery, recording):
    centres = place_skeleton(delivery.body, delivery.pose(recording.times - recording.throw.start)).centres
    truth = recording.throw.angles(recording.times)
    for side, leg in (("R", "drive"), ("L", "lead")):
        knee, ankle = middle(recording, f"{side}_FLE", f"{side}_FME"), middle(recording, f"{side}_LM", f"{side}_MM")
        bend = angle_between(knee - centres[f"{side}_hip"], ankle - knee)
        assert np.abs(bend - truth[f"{leg}_knee_flexion"]).max() < 1e-6


def test_hips_and_trunk_found_from_landmarks_flex_as_the_truth_says(recording):
    """First angle of Z-X'-Y'' between ISB frames built on landmarks; hip centres by Harrington et al. 2007."""
    right = unit(column(recording, "R_ASIS") - column(recording, "L_ASIS"))
    front, back = middle(recording, "R_ASIS", "L_ASIS"), middle(recording, "R_PSIS", "L_PSIS")
    forward = front - back
    pelvis_x = unit(forward - (forward * right).sum(axis=1, keepdims=True) * right)
    pelvis = np.stack([pelvis_x, np.cross(right, pelvis_x), right], axis=2)
    width = np.linalg.norm(column(recording, "R_ASIS") - column(recording, "L_ASIS"), axis=1).mean() / MILLIMETRE
    depth = np.linalg.norm(forward, axis=1).mean() / MILLIMETRE
    truth = recording.throw.angles(recording.times)

    def first_angle(axes):
        return Rotation.from_matrix(pelvis.transpose(0, 2, 1) @ axes).as_euler("ZXY", degrees=True)[:, 0]

    for side, sign, leg in (("R", 1.0, "drive"), ("L", -1.0, "lead")):
        offset = np.array([-0.24 * depth - 9.9, -0.30 * width - 10.9, sign * (0.33 * width + 7.3)]) * MILLIMETRE
        knee = middle(recording, f"{side}_FLE", f"{side}_FME")
        y = unit(front + pelvis @ offset - knee)
        across = sign * (column(recording, f"{side}_FLE") - column(recording, f"{side}_FME"))
        z = unit(across - (across * y).sum(axis=1, keepdims=True) * y)
        found = first_angle(np.stack([np.cross(y, z), y, z], axis=2))
        assert np.abs(found - truth[f"{leg}_hip_flexion"]).max() < 1e-6
    arched = first_angle(np.stack(thorax_axes(recording), axis=2))
    assert np.abs(arched - truth["trunk_extension"]).max() < 1e-6


@pytest.mark.parametrize("level", LEVELS)
def test_truth_passes_through_the_styles_numbers(level):
    """What a knob names is what the true metric is at its moment. Not so exact: speeds, since a turn must also fit its
    time; and what is read at release, which may come 0.7 ms before the plan while the elbow extends by 2,000 deg/s."""
    style = style_of(level)
    found = metrics(Delivery(style=style), "fc")
    for name in ("lead_knee_flexion", "drive_knee_flexion", "pelvis_rotation", "trunk_rotation", "trunk_forward_tilt",
                 "trunk_lateral_tilt", "shoulder_abduction", "shoulder_horizontal_abduction",
                 "shoulder_external_rotation", "elbow_flexion", "pelvis_anterior_tilt"):  # fmt: skip
        assert found[f"{name}_fp"] == pytest.approx(getattr(style, f"{name}_fc"), abs=0.01), name
    for name in ("lead_knee_flexion_br", "trunk_rotation_br", "pelvis_rotation_br", "elbow_flexion_br",
                 "shoulder_external_rotation_max", "trunk_forward_tilt_mer", "elbow_flexion_max"):  # fmt: skip
        assert found[name] == pytest.approx(getattr(style, name), abs=1.4), name
    for name in ("pelvis_velocity_max", "trunk_velocity_max", "elbow_extension_velocity_max",
                 "shoulder_internal_rotation_velocity_max"):  # fmt: skip
        assert found[name] == pytest.approx(getattr(style, name), rel=0.06), name
    at_plant = metrics(Delivery(style=style), "fp")
    assert at_plant["stride_length"] == pytest.approx(style.stride_length, abs=0.3)
    assert at_plant["lead_foot_angle"] == pytest.approx(style.lead_foot_angle, abs=0.3)


def test_speeds_are_the_rates_of_turning_between_close_frames(delivery):
    """Against plain differences of the markers' frames, a tenth of a millisecond apart."""
    step, times = 1e-4, np.array([-0.02, 0.04, 0.10, 0.13, 0.15])
    true = speeds(delivery, times)

    def axes(at):
        skeleton = place_skeleton(delivery.body, delivery.pose(at))
        return {name: skeleton.rotations[name].as_matrix() for name in ("pelvis", "thorax", "R_humerus")}

    before, now, after = axes(times - step), axes(times), axes(times + step)
    spin = {}
    for name in now:
        rate = (after[name] - before[name]) / (2 * step)
        skew = rate @ now[name].transpose(0, 2, 1)
        spin[name] = np.degrees(np.stack([skew[:, 2, 1], skew[:, 0, 2], skew[:, 1, 0]], axis=1))
    relative = spin["R_humerus"] - spin["thorax"]
    expected = {
        "pelvis_velocity": (spin["pelvis"] * now["pelvis"][:, :, 1]).sum(axis=1),
        "trunk_velocity": (spin["thorax"] * now["thorax"][:, :, 1]).sum(axis=1),
        "trunk_flexion_velocity": -(spin["thorax"] * now["thorax"][:, :, 2]).sum(axis=1),
        "shoulder_internal_rotation_velocity": (relative * now["R_humerus"][:, :, 1]).sum(axis=1),
    }
    for name, values in expected.items():
        assert np.allclose(true[name], values, rtol=2e-4, atol=0.5), name


def test_every_habit_moves_what_it_names_and_in_its_direction():
    plain = metrics(Delivery(style=style_of("college")), "fc")
    moved = {
        "short_stride": ("stride_length", -1), "lands_across": ("stride_offset", -1),
        "opens_early": ("trunk_opening_time", -1),
        "lead_knee_collapses": ("lead_knee_extension", -1), "little_layback": ("shoulder_external_rotation_max", -1),
        "much_layback": ("shoulder_external_rotation_max", 1), "arm_late": ("shoulder_external_rotation_fp", -1),
        "arm_early": ("shoulder_external_rotation_fp", 1), "elbow_low": ("shoulder_abduction_mer", -1),
        "elbow_behind": ("shoulder_horizontal_abduction_max", 1), "trunk_before_pelvis": ("pelvis_trunk_lag", -1),
        "arm_straight_at_landing": ("elbow_flexion_fp", -1), "leans_to_glove_side": ("trunk_lateral_tilt_br", 1),
        "upright_at_release": ("trunk_forward_tilt_br", -1), "glove_arm_flies_open": ("glove_arm_drift", 1),
        "hurried": ("stride_time", -1), "pelvis_opens_early": ("pelvis_rotation_fp", -1),
        "lead_knee_stiff": ("lead_knee_flexion_fp", -1), "lands_open": ("stride_offset", 1),
        "long_stride": ("stride_length", 1),
    }  # fmt: skip
    assert set(moved) == set(HABITS)
    for habit, (key, sign) in moved.items():
        changed = metrics(Delivery(style=style_of("college", habit)), "fc")[key]
        assert sign * (changed - plain[key]) > 0.04 * abs(plain[key]) + 1e-3, habit


def test_trunk_before_pelvis_is_a_sequence_inversion():
    assert metrics(Delivery(style=style_of("college")))["sequence_inversions"] == 0
    assert metrics(Delivery(style=style_of("college", "trunk_before_pelvis")))["sequence_inversions"] >= 1


def test_throws_of_one_person_differ_and_a_seed_repeats_them():
    style = style_of("college")
    first, again = (style.varied(np.random.default_rng(7)) for _ in range(2))
    assert first == again != style
    assert set(knob_names()) >= {"stride_length", "shoulder_external_rotation_max"}


# ---- events ---------------------------------------------------------------------------------------------


def varied_styles():
    rng = np.random.default_rng(20)
    return [style_of(level).varied(rng, 1.5) for level in LEVELS for _ in range(2)] + [
        style_of("college", habit) for habit in HABITS
    ]


@pytest.mark.parametrize("style", varied_styles())
def test_events_come_in_their_order_and_within_the_plausible_spans(style):
    events = events_of(Delivery(style=style))
    assert events.pkh < events.fc <= events.fp < events.mer < events.br < events.mir
    assert 0.09 < events.br - events.fc < 0.23
    assert events.fp - events.fc < 0.080
    assert 0.50 < (events.mer - events.fc) / (events.br - events.fc) < 0.97


@pytest.mark.parametrize("style", varied_styles()[::5])
def test_events_agree_with_their_definitions_on_the_markers(style):
    thrown = record(Delivery(style=style), Room(rate_hz=2000.0))
    events, times = thrown.throw.events, thrown.times
    knee = middle(thrown, "L_FLE", "L_FME")[:, 2]
    assert times[knee.argmax()] == pytest.approx(events.pkh, abs=0.001)
    ahead = (middle(thrown, "R_RS", "R_US") - middle(thrown, "R_EL", "R_EM"))[:, 0]
    near = (times > events.br - 0.04) & (times < events.br + 0.01)
    passing = times[1:][near[1:] & (ahead[:-1] < 0) & (ahead[1:] >= 0)][-1]
    assert passing + 0.010 == pytest.approx(events.br, abs=0.001)
    ankle = middle(thrown, "L_LM", "L_MM")
    speed = np.linalg.norm(np.gradient(ankle, times, axis=0), axis=1)
    fast = times[(speed > 0.5) & (times < events.br)][-1]
    assert fast == pytest.approx(events.fp, abs=0.002)


def test_the_ball_leaves_the_hand_at_release_at_its_speed(delivery):
    thrown = record(delivery, Room(rate_hz=1000.0, ball=True))
    events, ball = thrown.throw.events, column(thrown, BALL)
    apart = np.linalg.norm(ball - column(thrown, "R_MC3"), axis=1)
    held = thrown.times < events.br
    assert np.ptp(apart[held]) < 1e-9
    left = np.searchsorted(thrown.times, events.br)
    assert apart[left + 2] > apart[left - 1] + 0.005
    velocity = (ball[left + 12] - ball[left + 2]) * 100
    assert np.linalg.norm(velocity) == pytest.approx(delivery.style.ball_speed, rel=0.03)
    assert velocity[0] > 0.95 * delivery.style.ball_speed


# ---- plausible: against published tables ------------------------------------------------------------------


def published_rows():
    """Rows of the published table with mean and SD whose metric follows from movement alone."""
    with PUBLISHED.open() as handle:
        rows = list(csv.DictReader(handle))
    known = set(metrics(Delivery(), "fc"))
    return [row for row in rows if row["metric_key"] in known and row["mean"] and row["sd"]]


PRESETS = {level: metrics(Delivery(style=style_of(level)), "fc") for level in LEVELS}
# Rows that the presets do miss: (metric, published mean) by level. Arm slot: this body's arm is about 30 degrees
# lower than the one published value (in-game, markerless); whether body or definition is to blame is not known. Ball
# speed: fast and slow halves of one group with an SD of 0.8 each, which no single throw can meet.
KNOWN_MISSES = {"college": {("arm_slot_br", "59.4"), ("ball_speed", "37.4"), ("ball_speed", "33.3")}}


@pytest.mark.parametrize("level", LEVELS)
def test_presets_lie_within_two_standard_deviations_of_published_means(level):
    """Kageyama et al. 2014, 2015, Fleisig et al. 1996, 1999 and others as named in the table.

    The presets were set with this table in hand: this guards their calibration, it is no independent validation.
    """
    rows = [row for row in published_rows() if row["level"] == level]
    assert len(rows) >= 7
    far = {
        (row["metric_key"], row["mean"])
        for row in rows
        if abs(PRESETS[level][row["metric_key"]] - float(row["mean"])) > 2 * float(row["sd"])
    }
    assert far == KNOWN_MISSES.get(level, set())


# ---- rooms ----------------------------------------------------------------------------------------------


def test_a_left_hander_is_the_mirror_image(delivery, recording):
    left = record(delivery, Room(side="left"))
    for label in REQUIRED:
        mirrored = column(left, other_side(label)) * [1.0, -1.0, 1.0]
        assert np.array_equal(mirrored, column(recording, label))


def test_all_48_signed_permutations_are_there_once():
    matrices = signed_permutations()
    assert len({matrix.tobytes() for matrix in matrices}) == 48
    assert all(np.array_equal(np.abs(matrix) @ np.abs(matrix).T, np.eye(3)) for matrix in matrices)


def test_axes_unit_and_origin_of_a_room_only_rename_places(delivery, recording):
    axes = signed_permutations()[17]
    other = record(delivery, Room(axes=axes, unit="mm", shift=(0.5, -1.0, 2.0)))
    back = (other.points / 1000 - [0.5, -1.0, 2.0]) @ axes
    assert np.allclose(back, recording.points, atol=1e-12)


@pytest.mark.parametrize("rate", [100.0, 240.0, 500.0])
def test_frames_come_at_the_rooms_rate_and_show_the_same_delivery(delivery, rate):
    thrown = record(delivery, Room(rate_hz=rate))
    local = np.round(np.diff(thrown.times) * rate, 9)
    assert np.all(local == 1)
    at_release = thrown.throw.start + delivery.release
    fine = record(delivery, Room(rate_hz=2000.0))
    wanted = [np.interp(at_release, r.times, column(r, "R_US")[:, 0]) for r in (thrown, fine)]
    assert wanted[0] == pytest.approx(wanted[1], abs=0.02)


def test_several_throws_stand_in_one_recording_one_after_another(delivery):
    again = Delivery(style=delivery.style.but(stride_length=78.0))
    both = record([WalkingIn(), delivery, again], Room(between=1.0))
    first, second = both.throws
    assert second.events.pkh > first.events.mir + 1.0
    lone = record(again)
    shift = round((second.start - lone.throw.start) * 240) / 240
    for event in ("fc", "br"):
        when = getattr(second.events, event)
        here = [np.interp(when, both.times, column(both, "L_CA")[:, axis]) for axis in range(3)]
        there = [
            np.interp(getattr(lone.throw.events, event), lone.times, column(lone, "L_CA")[:, axis]) for axis in range(3)
        ]
        assert np.allclose(here, there, atol=4e-3), (event, shift)
    assert np.isfinite(both.points).all()


@pytest.mark.parametrize(
    "motion", [Standing(), WalkingIn(), RunningThrow(), Windmill()], ids=lambda m: type(m).__name__
)
def test_what_is_no_pitch_has_a_whole_body_and_no_throw(motion):
    other = record(motion)
    assert other.throws == ()
    assert np.isfinite(other.points).all()
    thigh = middle(other, "R_FLE", "R_FME") - middle(other, "R_LM", "R_MM")
    assert np.ptp(np.linalg.norm(thigh, axis=1)) < 1e-9
    frame_to_frame = np.abs(np.diff(other.points, axis=0)).max() * 240
    assert frame_to_frame < 45.0  # m/s: nothing jumps


def test_a_windmill_pitch_goes_over_the_head_and_is_let_go_below_the_shoulder():
    pitch = record(Windmill())
    wrist, acromion = middle(pitch, "R_RS", "R_US")[:, 2], column(pitch, "R_AC")[:, 2]
    fastest = np.argmax(np.gradient(middle(pitch, "R_RS", "R_US")[:, 0]))
    assert (wrist - acromion).max() > 0.4
    assert wrist[fastest] < acromion[fastest] - 0.3


def test_a_running_throw_keeps_running():
    thrown = record(RunningThrow(speed=3.6))
    hips = middle(thrown, "R_ASIS", "L_ASIS")[:, 0]
    running = (thrown.times > 0.4) & (thrown.times < 1.6)
    assert np.gradient(hips, thrown.times)[running].mean() == pytest.approx(3.6, abs=0.2)


def test_a_second_of_throw_is_made_in_a_tenth_of_a_second():
    """A 3 s throw at 240 Hz under 0.3 s; the best of three, since other work shares the processor."""
    taken = []
    for _ in range(3):
        begin = time.perf_counter()
        record(Delivery(style=Style()), Room(rate_hz=240.0))
        taken.append(time.perf_counter() - begin)
    assert min(taken) < 0.3


# ---- spoiled recordings -----------------------------------------------------------------------------------


def test_noise_has_the_spread_that_was_asked_for(recording):
    noisy = with_noise(recording, (0.001, 0.002, 0.003), np.random.default_rng(1))
    spread = (noisy.points - recording.points).std(axis=(0, 1))
    assert np.allclose(spread, [0.001, 0.002, 0.003], rtol=0.02)


def test_a_gap_covers_its_labels_and_times_only(recording):
    gap = with_gap(recording, ["R_EL"], 1.0, 1.1)
    unseen = np.isnan(column(gap, "R_EL")).any(axis=1)
    assert unseen.sum() == pytest.approx(24, abs=1)
    assert np.isnan(gap.points).any(axis=(0, 2)).sum() == 1
    assert np.isfinite(recording.points).all()


def test_swapping_sides_twice_changes_nothing_and_once_names_the_other_side(recording):
    swapped = with_sides_swapped(recording)
    assert np.array_equal(column(swapped, "L_ASIS"), column(recording, "R_ASIS"))
    assert np.array_equal(with_sides_swapped(swapped).points, recording.points)
    flicker = with_sides_swapped(recording, ["R_LM"], 0.5, 0.6)
    assert (column(flicker, "L_LM") != column(recording, "L_LM")).any(axis=1).sum() == pytest.approx(24, abs=1)


def test_names_take_a_prefix_and_medial_landmarks_can_be_absent(recording):
    named = with_names(without_medial(recording), "subject", lower_case=True)
    assert "subject:r_el" in named.labels
    assert not any(label.endswith("_em") for label in named.labels)


def test_a_cut_recording_keeps_its_truth_in_step(recording):
    before_release = cut(recording, 0.5, recording.throw.events.br - 0.02)
    first = np.flatnonzero(recording.times >= 0.5)[0] / 240
    assert before_release.throw.events.fc == pytest.approx(recording.throw.events.fc - first)
    assert before_release.times[-1] < before_release.throw.events.br


# ---- force plates -------------------------------------------------------------------------------------------


def test_the_lead_plate_is_silent_until_first_touch_and_over_20_newtons_from_then_on(delivery):
    thrown = record(delivery, Room(plates=True, analog_per_frame=5))
    vertical = thrown.plates[1].force[:, 2]
    sample_times = np.arange(len(vertical)) / 1200
    over = sample_times[vertical > 20.0]
    assert vertical[sample_times < thrown.throw.events.fc].max() == 0.0
    assert 0 <= over[0] - thrown.throw.events.fc < 1 / 1200
    from_touch = (sample_times >= over[0]) & (sample_times < thrown.throw.events.br)
    assert vertical[from_touch].min() > 20.0


def test_forces_carry_the_body_and_stop_what_they_pushed(delivery):
    """Standing: its weight. Over the stride: the forward impulse is what the centre of mass gains."""
    weight = delivery.body.mass * 9.80665
    rear, lead = ground_forces(delivery, np.array([delivery.start + 0.3]))
    assert rear[0, 2] == pytest.approx(weight, rel=0.02)
    assert np.all(lead == 0)
    times = np.arange(delivery.moments.pkh, -0.10, 1e-3)
    impulse = np.trapezoid(sum(ground_forces(delivery, times))[:, 0], times) / delivery.body.mass
    assert impulse == pytest.approx(2.0, abs=1.0)


def test_the_lead_force_reaches_the_order_of_body_weight_and_brakes(delivery):
    times = np.arange(0.0, delivery.release, 1e-3)
    lead = ground_forces(delivery, times)[1] / (delivery.body.mass * 9.80665)
    assert 0.9 < lead[:, 2].max() < 3.8
    assert lead[:, 0].min() < -0.25


# ---- files --------------------------------------------------------------------------------------------------

ROOMS = {
    "plain": Room(),
    "everything": Room(unit="mm", head=True, ball=True, plates=True, analog_per_frame=5),
    "left-handed, turned": Room(unit="mm", side="left", axes=signed_permutations()[11], plates=True),
    "upside down plates on the slope": Room(plates=True, plate_sign=-1.0, level_plates=False),
}


@pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS)
def test_the_pure_python_reader_reads_what_was_written(delivery, room):
    written = with_gap(record(delivery, room), ["R_EL", "L_CA"], 0.7, 0.8)
    reader = c3d.Reader(io.BytesIO(c3d_bytes(written)))
    frames = [(points[:, :3].copy(), points[:, 3] >= 0) for _, points, _ in reader.read_frames()]
    points = np.stack([points for points, _ in frames])
    seen = np.stack([seen for _, seen in frames])
    assert tuple(label.strip() for label in reader.point_labels) == written.labels
    assert reader.point_rate == room.rate_hz
    assert reader.get("POINT:UNITS").string_value.strip() == room.unit
    assert np.array_equal(seen, np.isfinite(written.points).all(axis=-1))
    assert np.allclose(points[seen], written.points[seen], rtol=1e-6)


@pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS)
def test_a_second_reader_reads_what_was_written(delivery, room, tmp_path):
    written = with_gap(record(delivery, room), ["R_EL", "L_CA"], 0.7, 0.8)
    path = write_c3d(written, tmp_path / "throw.c3d", events=True)
    read = ezc3d.c3d(str(path), extract_forceplat_data=bool(room.plates))
    points = read["data"]["points"][:3].transpose(2, 1, 0)
    assert read["parameters"]["POINT"]["LABELS"]["value"] == list(written.labels)
    assert read["parameters"]["POINT"]["UNITS"]["value"] == [room.unit]
    assert read["header"]["points"]["frame_rate"] == room.rate_hz
    assert np.array_equal(np.isfinite(points).all(axis=-1), np.isfinite(written.points).all(axis=-1))
    assert np.allclose(points, written.points, rtol=1e-6, equal_nan=True)
    minutes, seconds = read["parameters"]["EVENT"]["TIMES"]["value"]
    assert np.allclose(minutes * 60 + seconds, list(written.throw.events.as_dict().values()), atol=1e-5)
    platforms = read["data"].get("platform", [])
    assert len(platforms) == len(written.plates)
    scale = {"m": 1.0, "mm": 1000.0}[room.unit]
    for found, plate in zip(platforms, written.plates, strict=True):
        assert np.allclose(found["force"].T, plate.force, atol=0.01)
        loaded = np.abs(plate.force @ np.asarray(found["corners"].T)[0]) > 0
        heavy = loaded & (np.linalg.norm(plate.force, axis=1) > 200)
        assert np.allclose(found["center_of_pressure"].T[heavy] / scale, plate.centre[heavy], atol=0.02)


def test_the_synthesiser_needs_no_test_framework_and_nothing_of_the_product():
    """The demonstration imports it in a running server."""
    check = (
        "import sys, tests.synthesis;"
        "bad = [n for n in sys.modules if n.split('.')[0] in {'pytest', 'metrics', 'sessions', 'django', 'ezc3d'}];"
        "print(','.join(bad))"
    )
    done = subprocess.run([sys.executable, "-c", check], cwd=CHECKOUT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
