"""A coach moves an event: the metrics follow, and the automatic one is kept beside it."""

from __future__ import annotations

import pytest

from metrics.kinematics import ThrowMeasurement, find_throws
from metrics.kinematics.events import ORDER
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import codes, delivery, made, measured, refused
from tests.synthesis import cut, record

pytestmark = pytest.mark.filterwarnings("error")

CURVES = {
    "fp": ("elbow_flexion_fp@fp", "elbow_flexion"), "br": ("lead_knee_flexion_br@br", "lead_knee_flexion"),
    "mer": ("elbow_flexion_mer@mer", "elbow_flexion"), "fc": ("trunk_rotation_fp@fc", "trunk_rotation"),
}  # fmt: skip


@pytest.fixture(scope="module")
def automatic() -> ThrowMeasurement:
    return measured(made())


@pytest.mark.parametrize(("event", "shift"), [("fp", 0.010), ("fp", -0.008), ("br", 0.006), ("br", -0.008),
                                              ("mer", -0.010), ("fc", 0.012), ("fc", -0.015)])  # fmt: skip
def test_metrics_follow_a_moved_event(automatic, event, shift):
    moment = automatic.events[event] + shift
    found = measured(made(), events={event: moment}, filter_hz=None)
    metric, curve = CURVES[event]
    assert found.events[event] == pytest.approx(moment, abs=1e-12)
    assert found.metrics[metric].value == pytest.approx(made().throw.angles([moment])[curve][0], abs=0.2)
    assert found.metrics[metric].value != measured(made(), filter_hz=None).metrics[metric].value


def test_automatic_events_are_kept_and_the_rule_is_a_person(automatic):
    found = measured(made(), events={"br": automatic.events["br"] + 0.004, "fp": automatic.events["fp"] + 0.004})
    assert found.report.automatic_events == automatic.events
    assert {name: rule for name, rule in found.report.event_rules.items() if rule == "person"} == {
        "br": "person", "fp": "person",
    }  # fmt: skip
    assert {name: found.events[name] for name in ("pkh", "fc", "mer")} == {
        name: pytest.approx(automatic.events[name], abs=1e-9) for name in ("pkh", "fc", "mer")
    }


def test_values_at_other_events_stay_as_they_are(automatic):
    found = measured(made(), events={"fp": automatic.events["fp"] + 0.010})
    for key in ("elbow_flexion_mer@mer", "lead_knee_flexion_br@br", "elbow_flexion_fp@fc", "peak_knee_lift@pkh"):
        assert found.metrics[key].value == automatic.metrics[key].value, key


def test_events_set_where_they_were_found_change_nothing(automatic):
    found = measured(made(), events={name: automatic.events[name] for name in ORDER})
    expected = {key: one.value for key, one in automatic.metrics.items()}
    assert {key: one.value for key, one in found.metrics.items()} == {
        key: value if value is None else pytest.approx(value, rel=1e-6, abs=1e-6) for key, value in expected.items()
    }


def test_extremes_of_the_arm_are_sought_between_moved_contact_and_release(automatic):
    # Release before the automatic furthest layback: the furthest until then is at that release.
    earlier = automatic.events["mer"] - 0.010
    found = measured(made(), events={"br": earlier})
    assert found.events["mer"] == pytest.approx(earlier, abs=0.001)
    assert "order" in codes(found) or "mer_place" in codes(found)
    # Set too, it stays where it was set.
    both = measured(made(), events={"br": automatic.events["br"] + 0.003, "mer": automatic.events["mer"] - 0.004})
    assert both.events["mer"] == pytest.approx(automatic.events["mer"] - 0.004)


@pytest.mark.parametrize(
    ("moved", "sentence"),
    [
        ({"fp": -0.05}, "foot plant ({fp:.3f} s) before foot contact ({fc:.3f} s)"),
        ({"fc": 0.04}, "foot plant ({fp:.3f} s) before foot contact ({fc:.3f} s)"),
        ({"br": -0.13}, "maximum external rotation (2.312 s) before foot plant ({fp:.3f} s)"),
    ],
    ids=str,
)
def test_impossible_order_is_refused_with_names_and_the_files_times(automatic, moved, sentence):
    times = {name: automatic.events[name] + shift for name, shift in moved.items()}
    problem = refused(lambda: measured(made(), events=times))
    assert problem.code == "events_out_of_order"
    assert sentence.format(**{**automatic.events, **times}) in problem.sentence


def test_times_count_from_the_files_first_frame_in_a_later_throw_too():
    file = as_recording(record([delivery(), delivery()]))
    second = find_throws(file)[1]
    alone = measured(file, throw=second)
    moment = alone.events["fp"] + 0.010
    found = measured(file, throw=second, events={"fp": moment})
    assert found.events["fp"] == pytest.approx(moment)
    problem = refused(lambda: measured(file, throw=second, events={"fp": 1.0}))
    assert (problem.code, f"from {second.first / 240:.2f} to" in problem.sentence) == ("event_outside", True)


@pytest.mark.parametrize(
    ("moved", "question"),
    [({"fc": -0.12}, "fc_br_span"), ({"fp": 0.06, "fc": -0.03}, "fc_fp_span"), ({"mer": -0.06}, "mer_place"),
     ({"br": 0.12}, "fc_br_span")],
    ids=str,
)  # fmt: skip
def test_unlikely_moments_are_asked_about(automatic, moved, question):
    times = {name: automatic.events[name] + shift for name, shift in moved.items()}
    found = measured(made(), events=times)
    assert question in {one.code for one in found.report.questions}


def test_good_throw_asks_nothing(automatic):
    assert automatic.report.questions == ()


@pytest.mark.parametrize(("height", "low"), [(1.86, False), (0.95, True)])
def test_release_height_against_body_height_is_asked_about(height, low):
    asked = {one.code for one in measured(made(), height_m=height).report.questions}
    assert ("release_height" in asked) == low


def test_release_set_near_the_end_of_the_file_gives_no_speeds():
    file = cut(made(), end=made().throw.events.br + 0.075)
    moment = made().throw.events.br + 0.030
    found = measured(file, events={"br": moment})
    assert found.metrics["trunk_velocity_max@fp-br"].code == "ends_early"
    assert "mir" not in found.events
