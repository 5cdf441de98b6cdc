"""Force plate metrics by hand on plates with simple forces, and against the forces that the synthesiser wrote."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from metrics.kinematics import measure_throw
from metrics.kinematics.events import Events
from metrics.kinematics.force_metrics import READINGS, Ground, measures
from metrics.kinematics.plates import PlacedPlate
from metrics.kinematics.reading import Throw
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording

MASS, WEIGHT = 80.0, 80.0 * 9.80665  # kg, N
RATE, SAMPLES = 1000.0, 2001  # two seconds
EVENTS = Events(tw=1.7, pkh=0.5, fc=1.5, fp=1.55, mer=1.65, br=1.7, mir=1.75)


def plate(forward, upward):
    """A plate with these forces (N, as functions of the time in s); where it lies does not matter here."""
    times = np.arange(SAMPLES) / RATE
    forces = np.stack([forward(times), 0 * times, upward(times)], axis=-1)
    return PlacedPlate(forces, np.zeros((4, 3)), RATE)


def steady(newtons):
    return lambda times: np.full_like(times, newtons)


def pulse(newtons, at):
    """A parabola that is highest at a time and gone 0.1 s to either side of it."""
    return lambda times: newtons * np.maximum(0.0, 1 - ((times - at) / 0.1) ** 2)


def readings(rear=None, lead=None, mass=MASS, events=EVENTS, landing="fp"):
    throw = Throw(None, events, landing)
    return {key: measure(throw) for key, measure in measures(Ground(rear, lead, mass))}


@pytest.fixture
def both():
    rear = plate(steady(160.0), pulse(1.5 * WEIGHT, 1.2))
    lead = plate(lambda times: -pulse(0.9 * WEIGHT, 1.6)(times), pulse(2.0 * WEIGHT, 1.64))
    return {"rear": rear, "lead": lead}


@pytest.mark.parametrize(
    ("key", "value", "time_s"),
    [
        ("drive_force_max", 150.0, 1.2),
        ("drive_force_forward_max", 100 * 160.0 / WEIGHT, 0.5),
        ("drive_impulse_forward", 2.0, 1.5),  # 160 N for a second over 80 kg
        ("lead_force_max", 200.0, 1.64),
        ("lead_braking_force_max", 90.0, 1.6),
        ("lead_force_max_time", 140.0, 1.64),  # ms from contact at 1.5 s
    ],
)
def test_a_metric_is_as_worked_by_hand(both, key, value, time_s):
    found = readings(**both)[key]
    assert found.value == pytest.approx(value)
    assert found.time_s == pytest.approx(time_s)


def test_what_names_foot_plant_is_read_from_contact_too():
    """A peak of the lead foot between contact and plant counts only from contact on."""
    plates = {"rear": plate(steady(0.0), steady(WEIGHT)), "lead": plate(steady(0.0), pulse(WEIGHT, 1.51))}
    assert readings(**plates, landing="fc")["lead_force_max"].value == pytest.approx(100.0)
    assert readings(**plates, landing="fp")["lead_force_max"].value == pytest.approx(100 * (1 - 0.4**2))


def codes(**given):
    return {key: found.code for key, found in readings(**given).items()}


def test_without_plates_nothing_is_measured():
    assert set(codes().values()) == {"no_plate"}


def test_a_single_plate_under_both_feet_says_nothing_of_either(both):
    assert set(codes(rear=both["rear"], lead=both["rear"]).values()) == {"one_plate"}


def test_a_plate_that_was_not_stepped_on_is_silent(both):
    found = codes(rear=both["rear"], lead=plate(steady(0.0), steady(12.0)))
    assert {key: code for key, code in found.items() if READINGS[key][0] == "lead"} == dict.fromkeys(
        ("lead_force_max", "lead_braking_force_max", "lead_force_max_time"), "plate_silent"
    )


def test_a_plate_with_a_gap_between_the_events_is_not_guessed_over(both):
    both["rear"].forces[900:905] = np.nan
    assert codes(**both)["drive_force_max"] == "plate_silent"


def test_without_a_mass_only_the_time_of_the_peak_is_known(both):
    found = codes(**both, mass=None)
    assert found.pop("lead_force_max_time") == ""
    assert set(found.values()) == {"no_mass"}


def test_an_event_that_was_not_found_is_named(both):
    events = Events(tw=1.7, pkh=0.5, fc=1.5, fp=np.nan, mer=1.65, br=1.7, mir=1.75)
    found = readings(**both, events=events)
    assert found["lead_force_max"].code == "no_event"
    assert "foot plant" in found["lead_force_max"].sentence
    assert found["drive_force_forward_max"].measured


# --- whole throws --------------------------------------------------------------------------------------------------


@cache
def recorded(side="right"):
    delivery = synthesis.Delivery(synthesis.Body(1.86, MASS))
    return synthesis.record(delivery, synthesis.Room(plates=True, ball=True, side=side))


def measured(made):
    """With the true events, so that half a millisecond of release does not matter while the force is steep."""
    events = {name: getattr(made.throw.events, name) for name in ("pkh", "fc", "br")}
    found = measure_throw(as_recording(made), height_m=1.86, mass_kg=MASS, filter_hz=None, events=events)
    return {key: value.value for key, value in found.metrics.items() if key.split("@")[0] in READINGS}


def test_a_throw_has_the_forces_that_were_written():
    made = recorded()
    events, throw = made.throw.events, made.throw
    lifted, landed = (
        np.linspace(first, last, 5000) for first, last in ((events.pkh, events.fc), (events.fc, events.br))
    )
    rear, _ = synthesis.ground_forces(throw.delivery, lifted - throw.start)
    _, lead = synthesis.ground_forces(throw.delivery, landed - throw.start)
    expected = {
        "drive_force_max@pkh-fc": 100 * rear[:, 2].max() / WEIGHT,
        "drive_force_forward_max@pkh-fc": 100 * rear[:, 0].max() / WEIGHT,
        "drive_impulse_forward@pkh-fc": np.trapezoid(rear[:, 0], lifted) / MASS,
        "lead_force_max@fc-br": 100 * lead[:, 2].max() / WEIGHT,
        "lead_braking_force_max@fc-br": -100 * lead[:, 0].min() / WEIGHT,
    }
    found = measured(made)
    assert {key: found[key] for key in expected} == pytest.approx(expected, rel=2e-3)


def test_a_left_handers_forces_are_those_of_his_mirror_image():
    assert measured(recorded("left")) == pytest.approx(measured(recorded()), rel=1e-9)
