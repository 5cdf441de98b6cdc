"""Several throws in one recording: each is found, and measured as if it were alone."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from metrics.kinematics import NotMeasured, find_throws, measure_throw
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import HEIGHT_M, MASS_KG, measured, refused
from tests.synthesis import Body, Delivery, Room, Standing, WalkingIn, record, style_of, with_gap, with_sides_swapped

pytestmark = pytest.mark.filterwarnings("error")

PITCHER = Body(height=HEIGHT_M, mass=MASS_KG)
PITCHES = [Delivery(PITCHER, style_of("college", *habits)) for habits in ((), ("opens_early",), ())]


def series(*motions: synthesis.Motion, **room: object) -> synthesis.Recording:
    return record(list(motions), Room(**room))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def three() -> synthesis.Recording:
    return series(WalkingIn(PITCHER), *PITCHES, plates=True)


def test_every_throw_is_found_in_order_and_apart(three):
    found = find_throws(as_recording(three))
    assert len(found) == 3
    for throw, made in zip(found, three.throws, strict=True):
        assert throw.fastest_s == pytest.approx(made.events.br, abs=0.03)
        assert throw.arm == "R"
        assert throw.speed_mps > 20.0
        assert throw.first / 240 < made.events.pkh
        assert throw.last / 240 > made.events.br + 0.3
    assert all(earlier.last <= later.first for earlier, later in pairwise(found))


def test_each_is_measured_as_if_it_were_alone(three):
    file = as_recording(three)
    for throw, made in zip(find_throws(file), three.throws, strict=True):
        together = measured(file, throw=throw)
        alone = measured(record(made.delivery, Room(phase=0.0)))
        shift = made.start - record(made.delivery).throw.start
        for name, time in alone.events.items():
            # Frames fall elsewhere on the events, so a frame's share is the tolerance.
            assert together.events[name] == pytest.approx(time + shift, abs=0.004), name
        for key in ("elbow_flexion_fp@fp", "lead_knee_flexion_br@br", "trunk_velocity_max@fp-br", "stride_length@fp"):
            assert together.metrics[key].value == pytest.approx(alone.metrics[key].value, rel=0.03, abs=2.0), key


def test_forces_of_each_throw_are_its_own(three):
    file = as_recording(three)
    for throw, made in zip(find_throws(file), three.throws, strict=True):
        found = measured(file, throw=throw)
        assert found.report.event_rules["fc"] == "plate"
        assert found.events["fc"] == pytest.approx(made.events.fc, abs=0.001)
        assert found.metrics["lead_force_max@fp-br"].value is not None


def test_file_with_several_throws_asks_which_one(three):
    assert refused(lambda: measured(three)).sentence == "The file holds 3 throws. Choose one of them."


def test_one_bad_throw_does_not_spoil_the_others(three):
    second = three.throws[1].events
    spoiled = with_gap(three, ["R_RS", "R_US"], second.br - 0.03, second.br + 0.01)
    spoiled = with_sides_swapped(spoiled, ["L_LM"], three.throws[2].events.pkh, three.throws[2].events.pkh + 0.05)
    file = as_recording(spoiled)
    outcomes = []
    for throw in find_throws(file):
        try:
            outcomes.append(
                measure_throw(file, height_m=HEIGHT_M, mass_kg=MASS_KG, side="right", throw=throw).report.side
            )
        except NotMeasured as problem:
            outcomes.append(problem.code)
    assert outcomes == ["right", "gap_at_event", "right"]


def test_left_hander_in_a_turned_room_has_all_his_throws():
    axes = synthesis.signed_permutations()[17]
    file = as_recording(series(*PITCHES[:2], side="left", axes=axes))
    found = find_throws(file)
    assert [throw.arm for throw in found] == ["L", "L"]
    assert {measured(file, side="left", throw=throw).report.side for throw in found} == {"left"}


def test_standing_and_walking_between_throws_are_none():
    file = as_recording(
        series(Standing(PITCHER, duration=2.0), PITCHES[0], Standing(PITCHER, duration=2.0), PITCHES[1])
    )
    assert len(find_throws(file)) == 2


def test_throws_that_follow_at_once_share_no_frame():
    file = series(*PITCHES[:2], between=0.6)
    first, second = find_throws(as_recording(file))
    assert first.last <= second.first
    for throw, made in zip((first, second), file.throws, strict=True):
        found = measured(file, throw=throw)
        assert found.events["br"] == pytest.approx(made.events.br, abs=0.003)
        assert found.events["pkh"] == pytest.approx(made.events.pkh, abs=0.01)


def test_throw_is_found_in_ten_minutes_of_standing_about():
    one = as_recording(record(PITCHES[0]))
    still = round(300 * one.rate_hz)
    positions = np.concatenate([one.positions[[0] * still], one.positions, one.positions[[-1] * still]])
    (throw,) = find_throws(replace(one, positions=positions))
    assert throw.fastest_s == pytest.approx(300 + find_throws(one)[0].fastest_s)
    assert throw.last - throw.first == 4 * one.rate_hz
