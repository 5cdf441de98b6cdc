"""Left and right: both hands give the same numbers, swapped labels are named, and flickering ones are put right."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from metrics.kinematics import Setup, find_throws, sides
from metrics.kinematics.landmarks import Markers
from metrics.kinematics.throws import read_markers
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import codes, made, measured, refused, values
from tests.synthesis import Body, Delivery, Room, style_of, with_noise, with_sides_swapped

NAMES = ("AC", "EL", "EM", "RS", "US", "MC3", "ASIS", "FLE", "FME", "LM", "MM", "CA", "MT2")


def markers_of(recording: synthesis.Recording) -> Markers:
    return read_markers(as_recording(recording), Setup())[0]


@cache
def noisy(rate_hz: float, height_m: float, level: str) -> synthesis.Recording:
    """A pitch with 1 mm of noise on every landmark."""
    pitch = Delivery(Body(height=height_m, mass=50.0), style_of(level))
    return with_noise(synthesis.record(pitch, Room(rate_hz=rate_hz)), 0.001, np.random.default_rng(7))


ROOMS = [(60.0, 1.35, "youth"), (240.0, 1.86, "college"), (1000.0, 1.86, "professional")]


# ---- both hands ----


def test_left_hander_has_exactly_the_right_handers_numbers_with_plates_and_ball():
    right, left = made(plates=True, ball=True), made(side="left", plates=True, ball=True)
    found = measured(left, side="left")
    assert values(found) == values(measured(right))
    assert found.report.side == "left"


def test_throwing_arm_is_found_when_nobody_says_it():
    for side, arm in (("right", "R"), ("left", "L")):
        (throw,) = find_throws(as_recording(made(side=side)))
        assert throw.arm == arm
        assert measured(made(side=side), side=None).report.side == side


def test_other_arm_than_the_given_one_is_refused():
    problem = refused(lambda: measured(made(side="left"), side="right"))
    assert (problem.code, problem.sentence.split(" arm")[0]) == ("other_arm", "The left")


# ---- swapped throughout ----


def test_all_labels_swapped_are_swapped_back_for_the_side_that_is_known():
    swapped = with_sides_swapped(made())
    found = measured(swapped, side="right")
    assert values(found) == values(measured(made()))
    assert "all_labels_swapped" in codes(found)


def test_all_labels_swapped_are_swapped_back_under_a_setup():
    found = measured(with_sides_swapped(made()), side=None, setup=Setup(axes=np.eye(3)))
    assert (found.report.side, "all_labels_swapped" in codes(found)) == ("right", True)


def test_all_labels_swapped_without_side_or_setup_are_asked_about():
    found = measured(with_sides_swapped(made()), side=None)
    assert "mirrored_or_swapped" in {one.code for one in found.report.questions}


@pytest.mark.parametrize("room", ROOMS, ids=str)
def test_labels_that_lie_right_are_left_alone(room):
    markers = markers_of(noisy(*room))
    assert sides.put_right(markers)[1] == {}
    assert sides.broken_links(markers) == {}
    sides.check_swaps(markers)


@settings(max_examples=150, deadline=None)
@given(names=st.sets(st.sampled_from(NAMES), min_size=1), room=st.sampled_from(ROOMS))
def test_any_labels_that_are_swapped_are_named(names, room):
    markers = markers_of(with_sides_swapped(noisy(*room), [f"R_{name}" for name in names]))
    others = set(NAMES) - names
    shoulders, hips = sides.handedness(markers)
    opposed = ("AC" in names) != ("ASIS" in names)
    assert (shoulders * hips < 0) == opposed
    found, instead = sides.swapped_labels(markers, opposed=opposed)
    if opposed:  # which of the two is the wrong one, nothing in the file says
        assert {frozenset(found), frozenset(instead)} == {frozenset(names), frozenset(others)}
        assert len(found) <= len(instead)
    else:  # with shoulders and pelvis crossed, those that are right stand out, and all others are seen together
        assert (set(found), instead) == (others if "AC" in names else names, [])


def test_swapped_wrists_refuse_the_throw_by_name():
    problem = refused(lambda: measured(with_sides_swapped(made(), ["R_RS", "R_US", "R_MC3"])))
    assert (problem.code, "RS, US, MC3." in problem.sentence) == ("labels_swapped", True)


def test_swapped_pelvis_names_both_possibilities():
    problem = refused(lambda: measured(with_sides_swapped(made(), ["R_ASIS"])))
    assert problem.code == "labels_swapped"
    assert "some markers: ASIS, or else AC, EL" in problem.sentence


# ---- flickering ----


@settings(max_examples=150, deadline=None)
@given(
    names=st.sets(st.sampled_from(NAMES), min_size=1),
    spans=st.lists(st.tuples(st.floats(0.0, 0.9), st.floats(0.02, 0.10)), min_size=1, max_size=2),
    room=st.sampled_from(ROOMS),
)
def test_flickering_labels_are_put_right_frame_by_frame(names, spans, room):
    clean = noisy(*room)
    spoiled = clean
    for start, length in spans:
        begin = start * clean.times[-1]
        spoiled = with_sides_swapped(spoiled, [f"L_{name}" for name in names], begin, begin + length)
    fixed, crossed = sides.put_right(markers_of(spoiled))
    assert np.array_equal(fixed.positions, markers_of(clean).positions)
    moved = np.any(markers_of(spoiled).positions != fixed.positions, axis=-1)
    assert {name for name in NAMES if moved[:, fixed.labels.index(f"R_{name}")].any()} == set(crossed)


@pytest.mark.parametrize("labels", [None, ["R_RS", "R_US", "R_MC3"], ["R_FLE", "R_LM"]])
def test_flicker_at_release_costs_nothing_and_is_told(labels):
    release = made().throw.events.br
    found = measured(with_sides_swapped(made(), labels, release - 0.030, release + 0.030))
    assert values(found) == values(measured(made()))
    sentence = next(one.sentence for one in found.report.notices if one.code == "labels_flicker")
    assert "(14 frames in all)" in sentence


def test_wrists_that_flicker_long_before_the_throw_do_not_hide_it():
    spoiled = made()
    for start in (0.30, 0.60):
        spoiled = with_sides_swapped(spoiled, ["R_RS"], start, start + 0.02)
    assert find_throws(as_recording(spoiled)) == find_throws(as_recording(made()))


def test_labels_that_change_for_the_rest_of_the_file_are_put_right():
    contact = made().throw.events.fc
    found = measured(with_sides_swapped(made(), ["R_FLE", "R_FME"], contact))
    assert values(found) == values(measured(made()))


def test_marker_that_jumps_off_its_limb_is_taken_as_not_seen_and_told():
    file = made()
    points = file.points.copy()
    contact = round(file.throw.events.fc * file.room.rate_hz)
    points[contact - 20, file.labels.index("R_RS")] += 0.3  # one frame, a ghost 30 cm off
    found = measured(file.but(points=points))
    stray = next(one.sentence for one in found.report.notices if one.code == "markers_stray")
    assert "R_RS" in stray
    assert found.report.gaps_filled["R_RS"] == 1
    clean = measured(file)
    for key, value in values(clean).items():
        if value is not None:
            assert values(found)[key] == pytest.approx(value, rel=0.01, abs=0.5), key


@pytest.mark.parametrize("place", [0.3, 0.6])
def test_change_of_sides_that_a_gap_hides_is_put_right_by_what_follows(place):
    start = place * made().times[-1]
    gapped = synthesis.with_gap(made(), ["R_CA", "L_CA"], start, start + 0.5)
    spoiled = with_sides_swapped(gapped, ["R_CA"], start + 0.5, start + 0.55)
    fixed, crossed = sides.put_right(markers_of(spoiled))
    assert np.array_equal(fixed.positions, markers_of(gapped).positions, equal_nan=True)
    assert set(crossed) == {"CA"}


def test_sides_that_are_wrong_from_gap_to_gap_are_hidden_by_the_broken_limb():
    gapped = made()
    for start in (0.9, 1.3):
        gapped = synthesis.with_gap(gapped, ["R_CA", "L_CA"], start, start + 0.2)
    fixed, _ = sides.put_right(markers_of(with_sides_swapped(gapped, ["R_CA"], 1.1, 1.3)))
    wrong = np.nan_to_num(fixed.positions) != np.nan_to_num(markers_of(gapped).positions)
    stray = sides.broken_links(fixed)
    for label in ("R_CA", "L_CA"):
        at = wrong[:, fixed.labels.index(label)].any(axis=-1)
        assert at.sum() > 40
        assert stray[label][at].all()
