"""Gaps: short ones are filled and counted, longer ones leave what stands on them unmeasured, with the reason."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from metrics.kinematics import NotMeasured, ThrowMeasurement
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import codes, delivery, made, measured, refused, values
from tests.synthesis import Room, with_gap

pytestmark = pytest.mark.filterwarnings("error")

EVENTS = made().throw.events
# What a filled gap, or a filter that begins anew at the edge of a longer one, may change: by unit, and of the value.
ALLOWED = {"deg": 3.0, "m": 0.01, "cm": 1.0, "ms": 2.5, "s": 0.002, "deg/s": 20.0, "% fc-br": 1.5}
ALLOWED_SHARE = 0.09  # the worst of 1,500 random gaps took 8.1% of the shoulder's forward force


def gapped(labels: list[str], start: float, frames: int, rate: float = 240.0) -> synthesis.Recording:
    """The pitch with the labels unseen in ``frames`` frames from the first at or after ``start`` (s)."""
    file = synthesis.record(delivery(), Room(rate_hz=rate)) if rate != 240.0 else made()
    first = np.ceil(start * rate)
    return with_gap(file, labels, (first - 0.5) / rate, (first + frames - 0.5) / rate)


def differing(found: ThrowMeasurement, clean: ThrowMeasurement) -> dict[str, tuple[float, float]]:
    """Metrics that were measured in both and differ by more than a gap may cost."""
    pairs = ((key, one, clean.metrics[key].value) for key, one in found.metrics.items())
    return {
        key: (one.value, expected)
        for key, one, expected in pairs
        if one.value is not None
        and expected is not None
        and abs(one.value - expected) > max(ALLOWED.get(one.unit, 0.0), ALLOWED_SHARE * abs(expected))
    }


@cache
def without_gaps() -> ThrowMeasurement:
    return measured(made())


@pytest.fixture
def clean() -> ThrowMeasurement:
    return without_gaps()


@pytest.mark.parametrize(("rate", "filled", "left"), [(240.0, 4, 5), (300.0, 6, 7), (1000.0, 20, 21)])
def test_gaps_up_to_20_ms_are_filled_and_counted(rate, filled, left):
    before = EVENTS.fc - 0.15
    found = measured(gapped(["R_FLE", "R_RS"], before, filled, rate))
    assert found.report.gaps_filled == {"R_FLE": filled, "R_RS": filled}
    sentence = next(one.sentence for one in found.report.notices if one.code == "gaps_filled")
    assert (
        sentence
        == f"2 gaps of single markers up to {1000 * filled / rate:.0f} ms were filled ({2 * filled} frames in all)."
    )
    assert measured(gapped(["R_FLE", "R_RS"], before, left, rate)).report.gaps_filled == {}


@pytest.mark.parametrize(("rate", "filled", "left"), [(240.0, 1, 2), (300.0, 2, 3), (1000.0, 8, 9)])
def test_gaps_of_the_fast_arm_are_filled_up_to_8_ms(rate, filled, left):
    inside = EVENTS.fc + 0.05
    assert measured(gapped(["R_RS"], inside, filled, rate)).report.gaps_filled == {"R_RS": filled}
    found = measured(gapped(["R_RS"], inside, left, rate))
    assert found.report.gaps_filled == {}
    assert found.metrics["elbow_varus_torque_max@fc-br"].code == "gap"


def test_the_glove_arm_may_have_20_ms_there():
    assert measured(gapped(["L_RS"], EVENTS.fc + 0.05, 4)).report.gaps_filled == {"L_RS": 4}


def test_filled_gaps_change_no_metric_noticeably(clean):
    labels = [label for label in made().labels if label[2:] not in {"EL", "EM", "RS", "US", "MC3", "AC"}]
    found = measured(gapped(labels, EVENTS.fc - 0.05, 4))
    assert sum(found.report.gaps_filled.values()) == 4 * len(labels)
    for key, value in values(found).items():
        if value is not None:
            assert value == pytest.approx(clean.metrics[key].value, rel=0.02, abs=0.3), key


@pytest.mark.parametrize(
    ("label", "event", "metric"),
    [
        ("PX", "br", "trunk_forward_tilt_br@br"), ("R_EL", "fp", "elbow_flexion_fp@fp"),
        ("L_FLE", "br", "lead_knee_flexion_br@br"), ("R_PSIS", "mer", "pelvis_rotation_mer@mer"),
        ("L_EL", "fc", "glove_shoulder_abduction_fp@fc"), ("R_FLE", "fc", "drive_knee_flexion_fp@fc"),
        ("T8", "fp", "trunk_lateral_tilt_fp@fp"), ("R_LM", "pkh", "stride_length@fp"),
    ],
)  # fmt: skip
def test_longer_gap_at_its_moment_leaves_a_metric_unmeasured_and_names_the_marker(label, event, metric):
    found = measured(gapped([label], getattr(EVENTS, event) - 0.02, 10)).metrics[metric]
    assert (found.value, found.code) == (None, "gap")
    assert found.reason == f"Not measured, because {label} is not seen at its moment."


def test_reasons_name_a_left_handers_markers_by_their_own_side():
    file = with_gap(made(side="left"), ["L_EL"], EVENTS.fc - 0.005, EVENTS.fc + 0.035)
    found = measured(file, side="left")
    assert found.metrics["elbow_flexion_fp@fp"].reason == "Not measured, because L_EL is not seen at its moment."
    short = measured(with_gap(made(side="left"), ["L_FLE"], 1.0, 1.01), side="left")
    assert set(short.report.gaps_filled) == {"L_FLE"}


def test_marker_that_is_not_in_the_file_is_named():
    found = measured(synthesis.without(made(), ["R_MC3", "L_CA"])).metrics
    assert found["elbow_varus_torque_max@fc-br"].reason.endswith("these markers are not in the file: R_MC3.")
    assert found["lead_foot_angle@fp"].reason.endswith("these markers are not in the file: L_CA.")


def test_gap_of_the_toe_at_landing_leaves_foot_plant_unknown_and_contact_by_the_heel(clean):
    found = measured(gapped(["L_MT2"], EVENTS.fc - 0.01, 24))
    assert "fp" not in found.events
    assert found.events["fc"] == pytest.approx(clean.events["fc"], abs=0.001)
    assert found.metrics["stride_length@fp"].reason == "Not measured, because foot plant was not found."
    assert found.metrics["stride_length@fc"].value == pytest.approx(clean.metrics["stride_length@fc"].value, abs=0.01)
    assert found.metrics["stride_time@pkh-fp"].code == "no_event"


def test_gap_of_the_arm_at_its_furthest_layback_leaves_the_rest_measured(clean):
    found = measured(gapped(["R_US"], EVENTS.mer - 0.03, 8))
    assert "mer" not in found.events
    assert "turn_unseen" in codes(found)
    assert found.metrics["shoulder_external_rotation_max@mer"].code in {"gap", "no_event"}
    assert found.metrics["lead_knee_flexion_br@br"].value == pytest.approx(
        clean.metrics["lead_knee_flexion_br@br"].value, abs=0.02
    )


def test_greatest_value_in_a_gap_is_not_replaced_by_the_greatest_that_is_seen(clean):
    # The separation is greatest 31 ms before contact; an hidden top is not the highest of its shoulders.
    found = measured(gapped(["R_ASIS"], EVENTS.fc - 0.05, 9))
    assert found.metrics["separation_max@fc-br"].code == "gap"
    assert clean.metrics["separation_max@fc-br"].value is not None


@pytest.mark.parametrize(
    ("labels", "start", "frames", "event"),
    [
        (["R_RS", "R_US"], EVENTS.br - 0.03, 8, "Ball release"),
        (["L_LM", "L_CA", "L_MT2"], EVENTS.fc - 0.1, 60, "Foot contact"),
    ],
)
def test_event_that_a_gap_hides_refuses_the_throw_and_names_the_markers(labels, start, frames, event):
    problem = refused(lambda: measured(gapped(labels, start, frames)))
    assert problem.code == "gap_at_event"
    assert problem.sentence.startswith(f"{event} was not found, because {', '.join(labels)} is not seen around it.")


@pytest.mark.parametrize("label", ["L_CA", "L_MT2"])
def test_contact_by_one_end_of_the_foot_asks_unless_a_plate_lies_under_it(label):
    start, end = EVENTS.fc - 0.03, EVENTS.fc + 0.03
    assert "fc_unseen" in {one.code for one in measured(with_gap(made(), [label], start, end)).report.questions}
    plated = measured(with_gap(made(plates=True), [label], start, end))
    assert "fc_unseen" not in codes(plated)
    assert plated.events["fc"] == pytest.approx(EVENTS.fc, abs=0.001)


def test_gap_of_the_throwing_wrist_is_no_throw_with_the_glove_arm():
    file = with_gap(made(), ["R_RS"], EVENTS.br - 0.12, EVENTS.br + 0.1)
    assert refused(lambda: measured(file)).sentence.startswith("The throw was not found, because R_RS is not seen")
    glove = with_gap(made(), ["L_RS"], EVENTS.br - 0.12, EVENTS.br + 0.1)
    assert measured(glove).report.side == "right"
    assert "arm_unseen" in {one.code for one in measured(glove, side=None).report.questions}


def test_knee_that_is_not_seen_at_its_highest_asks_until_a_person_sets_the_moment():
    file = with_gap(made(), ["L_FLE"], EVENTS.pkh - 0.05, EVENTS.pkh + 0.1)
    assert "pkh_unseen" in {one.code for one in measured(file).report.questions}
    assert "pkh_unseen" not in codes(measured(file, events={"pkh": EVENTS.pkh}))


def test_numbers_that_are_no_places_count_as_not_seen(clean):
    file = as_recording(made())
    for wild in (np.inf, -np.inf, 3.4e38):
        positions = file.positions.copy()
        positions[200, 5] = wild
        found = measured(synthesis.cut(made()).but(points=positions))
        assert found.report.gaps_filled == {made().labels[5]: 1}
        assert differing(found, clean) == {}


def measured_or_refused(file: synthesis.Recording) -> ThrowMeasurement | NotMeasured:
    try:
        return measured(file)
    except NotMeasured as problem:
        return problem


def test_trunk_that_opens_unseen_is_a_gap_and_no_number():
    found = measured_or_refused(gapped(["PX"], EVENTS.fc, 16))
    assert isinstance(found, ThrowMeasurement)
    assert (found.metrics["trunk_opening_time@"].value, found.metrics["trunk_opening_time@"].code) == (None, "gap")


@settings(max_examples=30, deadline=None)
@given(
    labels=st.lists(st.sampled_from(made().labels), min_size=1, max_size=3, unique=True),
    start=st.floats(EVENTS.pkh - 0.1, EVENTS.br + 0.1),
    frames=st.integers(1, 60),
)
def test_no_gap_makes_a_guess(labels, start, frames):
    found = measured_or_refused(gapped(labels, start, frames))
    if isinstance(found, NotMeasured):
        assert found.code == "gap_at_event"
        return
    if codes(found) & {"pkh_unseen", "fc_unseen"}:  # asked about, and with it everything that is counted from there
        return
    assert differing(found, without_gaps()) == {}
    for key, one in found.metrics.items():
        if one.value is None and without_gaps().metrics[key].value is not None:
            assert one.code in {"gap", "no_event", "no_plate"}, (key, one.reason)
