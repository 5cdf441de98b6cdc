"""Force plates: what the ground does to either foot, in both hands and any axes, and contact by force."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from metrics.kinematics import Setup
from sessions.formats.recording import Plate, Recording
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import MASS_KG, codes, delivery, made, measured, values
from tests.synthesis import Mound, Room, signed_permutations

pytestmark = pytest.mark.filterwarnings("error")

FORCES = (
    "drive_force_max@pkh-fp", "drive_force_max@pkh-fc", "lead_force_max@fp-br", "lead_braking_force_max@fp-br",
    "drive_force_forward_max@pkh-fc", "drive_impulse_forward@pkh-fc", "lead_force_max_time@",
)  # fmt: skip
WEIGHT_N = MASS_KG * 9.80665  # standard gravity
EVENTS = made().throw.events
START = made().throw.start


def ground(times: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """True forces (k, 3) on rear and lead foot at times (s of the file)."""
    return synthesis.ground_forces(delivery(), times - START)


def between(first: float, last: float) -> np.ndarray:
    return np.arange(first, last, 1e-4)


def plated(**room: object) -> Recording:
    return as_recording(synthesis.record(delivery(), Room(plates=True, **room)))  # type: ignore[arg-type]


def with_plates(file: Recording, *plates: Plate) -> Recording:
    return replace(file, plates=plates)


def truth(events: Mapping[str, float]) -> dict[str, float]:
    """What the ground did between these moments; how well they are found is not asked here."""
    pkh, fc, fp, br = (events[name] for name in ("pkh", "fc", "fp", "br"))
    stance = between(fc, br)
    rear, lead = ground(between(pkh, fc))[0], ground(between(fp, br))[1]
    return {
        "drive_force_max@pkh-fp": 100 * ground(between(pkh, fp))[0][:, 2].max() / WEIGHT_N,
        "drive_force_max@pkh-fc": 100 * rear[:, 2].max() / WEIGHT_N,
        "lead_force_max@fp-br": 100 * lead[:, 2].max() / WEIGHT_N,
        "lead_braking_force_max@fp-br": -100 * lead[:, 0].min() / WEIGHT_N,
        "drive_force_forward_max@pkh-fc": 100 * rear[:, 0].max() / WEIGHT_N,
        "drive_impulse_forward@pkh-fc": rear[:, 0].sum() * 1e-4 / MASS_KG,
        "lead_force_max_time@": 1000 * (stance[ground(stance)[1][:, 2].argmax()] - fc),
    }


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize("level", [True, False], ids=["level plates", "plates on the slope"])
def test_forces_are_those_of_the_ground(side, level):
    found = measured(plated(side=side, level_plates=level), side=side)
    for key, expected in truth(found.events).items():
        # Between two samples (0.8 ms) the greatest may be missed by a little; a flat top's time by half a sample.
        assert found.metrics[key].value == pytest.approx(
            expected, rel=0.005, abs=1.0 if "impulse" not in key else 0.01
        ), key


def test_axes_turn_the_plates_too():
    expected = values(measured(plated()))
    for axes in signed_permutations()[::7]:
        found = values(measured(plated(axes=axes)))
        assert {key: found[key] for key in FORCES} == {key: expected[key] for key in FORCES}


def test_setup_takes_plates_along_when_it_corrects_the_unit():
    file = plated()
    wrong = replace(
        file,
        positions=1000 * file.positions,
        plates=tuple(replace(plate, corners=1000 * plate.corners) for plate in file.plates),
    )
    found, expected = values(measured(wrong, setup=Setup(scale=1e-3))), values(measured(file))
    for key in FORCES:
        assert found[key] == pytest.approx(expected[key]), key


def test_contact_is_the_first_force_of_20_newton_and_load_the_tenth_of_body_weight():
    found = measured(plated())
    times = between(EVENTS.fc - 0.01, EVENTS.br)
    vertical = ground(times)[1][:, 2]
    sample_s = 1 / (240 * 5)
    assert found.report.event_rules["fc"] == "plate"
    assert found.events["fc"] == pytest.approx(times[vertical > 20.0][0], abs=sample_s)
    assert found.events["load"] == pytest.approx(times[vertical > 0.1 * WEIGHT_N][0], abs=sample_s)
    assert found.events["fc"] <= found.events["load"] <= found.events["br"]


def test_contact_by_force_agrees_with_contact_by_markers():
    assert measured(made()).events["fc"] == pytest.approx(measured(plated()).events["fc"], abs=1 / 240)


@pytest.mark.parametrize("upside_down", [(True, True), (True, False), (False, True)], ids=str)
def test_plates_that_are_upside_down_are_turned_one_by_one_and_told(upside_down):
    file = plated()
    plates = (
        replace(plate, forces=-plate.forces) if down else plate
        for plate, down in zip(file.plates, upside_down, strict=True)
    )
    found = measured(with_plates(file, *plates))
    assert values(found) == values(measured(file))
    assert "plate_sign" in codes(found)
    assert "plate_sign" not in codes(measured(file))


def test_plates_belong_to_the_foot_that_stands_on_them_in_any_order():
    file = plated()
    assert values(measured(with_plates(file, *reversed(file.plates)))) == values(measured(file))


def test_foot_beside_every_plate_has_no_force_and_is_told():
    rear, lead = plated().plates
    aside = replace(lead, corners=lead.corners + np.array([0.0, 1.5, 0.0]))
    found = measured(with_plates(plated(), rear, aside))
    assert found.metrics["lead_force_max@fp-br"].code == "no_plate"
    assert found.metrics["drive_force_max@pkh-fp"].value is not None
    assert any(one.sentence == "No force plate lies under the front foot." for one in found.report.notices)
    assert found.report.event_rules["fc"] == "markers"


def test_one_plate_under_both_feet_says_nothing_of_either():
    rear, lead = plated().plates
    corners = np.stack([rear.corners, lead.corners])
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    whole = np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])
    one = Plate(rear.forces + lead.forces, rear.moments, np.column_stack([whole, np.zeros(4)]), rear.rate_hz)
    found = measured(with_plates(plated(), one))
    assert {found.metrics[key].code for key in FORCES} == {"one_plate"}
    assert found.report.event_rules["fc"] == "markers"
    assert found.events["fc"] == measured(made()).events["fc"]


def test_plate_that_carries_weight_before_the_foot_lands_does_not_say_when_it_does():
    rear, lead = plated().plates
    leaning = replace(lead, forces=lead.forces + np.array([0.0, 0.0, 60.0]))
    assert measured(with_plates(plated(), rear, leaning)).report.event_rules["fc"] == "markers"


def test_silent_or_broken_plates_are_named_and_do_not_hide_contact():
    rear, lead = plated().plates
    for forces in (np.zeros_like(lead.forces), np.full_like(lead.forces, np.nan)):
        found = measured(with_plates(plated(), rear, replace(lead, forces=forces)))
        assert found.metrics["lead_force_max@fp-br"].code == "plate_silent"
        assert found.report.event_rules["fc"] == "markers"


def test_plate_that_ends_early_gives_no_guess():
    rear, lead = plated().plates
    short = replace(lead, forces=lead.forces[: round((EVENTS.br - 0.03) * lead.rate_hz)])
    found = measured(with_plates(plated(), rear, short)).metrics
    assert found["lead_force_max@fp-br"].code == "plate_short"


def test_percent_of_body_weight_needs_the_mass():
    found = measured(plated(), mass_kg=None)
    assert found.metrics["drive_force_max@pkh-fp"].code == "no_mass"
    assert "load" not in found.events
    assert found.report.event_rules["fc"] == "plate"
    heavier = measured(plated(), mass_kg=2 * MASS_KG).metrics["drive_force_max@pkh-fp"].value
    assert heavier == pytest.approx(measured(plated()).metrics["drive_force_max@pkh-fp"].value / 2)


def test_noise_of_a_plate_costs_little():
    rng = np.random.default_rng(11)
    file = plated()
    noisy = (replace(plate, forces=plate.forces + rng.normal(0.0, 3.0, plate.forces.shape)) for plate in file.plates)
    found = measured(with_plates(file, *noisy))
    assert found.events["fc"] == pytest.approx(EVENTS.fc, abs=0.002)
    expected = truth(found.events)
    for key in FORCES[:-1]:  # the peak is flat: its time is not told to the millisecond
        assert found.metrics[key].value == pytest.approx(expected[key], rel=0.02, abs=1.0), key


def test_flat_ground_and_a_steep_mound_have_their_plates():
    for slope in (0.0, 6.0):
        pitch = replace(delivery(), mound=Mound(slope))
        found = measured(synthesis.record(pitch, Room(plates=True)))
        assert all(found.metrics[key].value is not None for key in FORCES)
        assert found.report.event_rules["fc"] == "plate"
