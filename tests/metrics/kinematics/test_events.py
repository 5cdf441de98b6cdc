"""Events found on the lighter copy against the synthesiser's, without noise."""

from __future__ import annotations

import dataclasses
import math
from functools import cache

import numpy as np
import pytest

from metrics.kinematics import measure_throw
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.trials import EVENTS, RATES_HZ, Trial, event_errors_s, spread, trial


@cache
def spread_errors() -> list[tuple[float, dict[str, float]]]:
    """(frames a second, event → found less true, s)."""
    return [(one.made.room.rate_hz, event_errors_s(one.measured(), one)) for one in spread()]


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("event", EVENTS)
def test_event_is_within_one_frame_of_the_truth(event, rate_hz):
    errors = [found[event] for rate, found in spread_errors() if rate == rate_hz]
    assert len(errors) == 3
    assert np.abs(errors).max() <= 1 / rate_hz


@pytest.mark.parametrize("landing", ["heel", "toe", "flat"])
@pytest.mark.parametrize("speed", [0.5, 0.9, 1.6])
def test_contact_does_not_depend_on_how_fast_the_foot_falls(landing, speed):
    style = synthesis.style_of("college").but(landing=landing, landing_speed=speed)
    one = Trial(synthesis.record(synthesis.Delivery(style=style), synthesis.Room(rate_hz=240.0)))
    assert abs(event_errors_s(one.measured(), one)["fc"]) < 0.001


@pytest.mark.parametrize("habit", sorted(synthesis.HABITS))
def test_every_habit_of_delivery_keeps_its_events(habit):
    one = trial("high_school", habit)
    errors = event_errors_s(one.measured(), one)
    assert {event: error for event, error in errors.items() if not abs(error) <= 1 / 240} == {}


def test_release_is_when_a_ball_that_is_seen_leaves_the_hand():
    one = trial(ball=True)
    found = one.measured()
    assert found.report.event_rules["br"] == "ball"
    assert abs(event_errors_s(found, one)["br"]) < 1 / 240


def test_contact_is_the_plate_s_when_the_foot_lands_on_one():
    one = trial(plates=True)
    found = one.measured()
    assert found.report.event_rules["fc"] == "plate"
    assert abs(event_errors_s(found, one)["fc"]) < 0.003
    assert found.events["load"] > found.events["fc"]


def test_event_that_a_person_moves_is_used_and_the_automatic_one_kept():
    one = trial()
    made, usual = one.made, one.measured()
    body, moved_s = made.throw.delivery.body, usual.events["fp"] + 0.010
    found = measure_throw(
        as_recording(made), height_m=body.height, mass_kg=body.mass, side="right", events={"fp": moved_s}
    )
    assert math.isclose(found.events["fp"], moved_s)
    assert math.isclose(found.report.automatic_events["fp"], usual.events["fp"])
    turned = found.at_landing()["trunk_rotation_fp"].value - usual.at_landing()["trunk_rotation_fp"].value
    assert turned < -5.0  # a trunk that turns at 1000°/s opens on in 10 ms


def test_foot_plant_follows_the_first_touch_on_a_slow_landing():
    one = trial("professional", landing="heel")
    later = dataclasses.replace(one.made.throw.delivery.style, flat_delay=0.045)
    slow = Trial(synthesis.record(synthesis.Delivery(style=later), synthesis.Room(rate_hz=240.0)))
    found = slow.measured().events
    assert 0.040 < found["fp"] - found["fc"] < 0.055
