"""Each rule of the graph of causes: the shipped graph keeps it, and a copy that breaks it is answered in a sentence."""

from __future__ import annotations

from dataclasses import replace

import pytest

from metrics.catalogue.causes import Link, load_unanswered
from metrics.catalogue.causes.directions import sides_of, starting_sides, why_never
from metrics.catalogue.causes.moments import place_of
from metrics.catalogue.causes.rules import RULES, Graph, problems_of

STRIDE_ARM = "stride_length low > shoulder_external_rotation_fp low"


def a_link(cause: str, effect: str, **changes) -> Link:
    (cause, cause_direction), (effect, effect_direction) = cause.split(), effect.split()
    whole = Link(
        effect, effect_direction, cause, cause_direction, "mechanics", "weak", "It does.", "nobody", "common_practice"
    )
    return replace(whole, **changes)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_the_shipped_graph_keeps(rule, links, interventions, catalogue):
    graph = Graph(links, interventions, catalogue, load_unanswered(), starting_sides())
    assert list(rule(graph)) == []


def test_an_end_that_the_catalogue_does_not_have_is_named(problems):
    (found,) = problems(add=[a_link("lead_hip_path high", "stride_offset high")])
    assert "the catalogue has no metric or screen 'lead_hip_path'" in found
    assert "take the link away" in found


def test_a_screen_without_its_side_is_answered_with_the_sides_there_are(problems):
    (found,) = problems(add=[a_link("hip_ir low", "stride_offset high")])
    assert "Name the side: hip_ir_front, hip_ir_back." in found


def test_a_pair_stands_once(problems):
    found = problems(add=[a_link("stride_length low", "shoulder_external_rotation_fp low", both_ways="twice")])
    (twice,) = (one for one in found if one.endswith("stands 2 times. Keep one of them."))
    assert twice.startswith("Stride length at foot plant, low → Shoulder external rotation at foot plant, low")


@pytest.mark.parametrize(
    ("cause", "effect", "why"),
    [
        ("ankle_dorsiflexion_lunge_front high", "lead_knee_flexion_fp high", "every range is open on its high side"),
        ("lead_knee_extension high", "pelvis_braking low", "every range is open on its high side"),
        ("scapular_dyskinesis_throwing low", "shoulder_abduction_fp low", "its word for low is “normal”"),
        ("ball_speed high", "shoulder_distraction_force_max high", "it is an outcome without a range"),
        ("workload_7_days high", "throwing_pain low", "its word for low is “no pain”"),
    ],
)
def test_a_direction_that_cannot_occur_is_refused(problems, cause, effect, why):
    assert [one for one in problems(add=[a_link(cause, effect)]) if f"can never be, since {why}" in one]


@pytest.mark.parametrize(("effect", "why"), [("release_height low", "is style"), ("fp_br_time high", "is context")])
def test_what_is_never_flagged_needs_no_cause(problems, effect, why):
    found = problems(add=[a_link("lead_knee_flexion_br high", effect)])
    assert [one for one in found if f"{why}, never flagged" in one]


def test_an_outcome_is_no_cause(problems):
    found = problems(add=[a_link("elbow_varus_torque_norm high", "throwing_pain high")])
    assert [one for one in found if "is outcome, which is no cause" in one]


@pytest.mark.parametrize(
    ("cause", "effect"),
    [
        ("lead_knee_extension low", "stride_length high"),
        ("lead_knee_flexion_br high", "trunk_velocity_max low"),
        ("glove_arm_drift high", "trunk_opening_time low"),
        ("drive_force_max low", "stride_length low"),
        ("elbow_extension_velocity_max low", "elbow_flexion_br high"),
        ("ball_speed high", "trunk_velocity_max high"),
        ("stride_length low", "hip_extension_active_back low"),
        ("shoulder_external_rotation_max low", "shoulder_external_rotation_fp low"),
    ],
)
def test_a_cause_after_its_effect_is_refused(problems, cause, effect):
    found = problems(add=[a_link(cause, effect)])
    assert [
        one for one in found if one.endswith("the cause lies after its effect. Turn the link round or take it away.")
    ]


def test_a_path_must_not_lead_back_in_time_either(problems, catalogue):
    """Glove arm (after plant) and arm swing (from contact on) overlap; the bend of the elbow at plant is before."""
    found = problems(add=[a_link("glove_arm_drift high", "shoulder_horizontal_abduction_max high")])
    late = [one for one in found if "the cause lies after its effect" in one]
    assert late
    assert all(catalogue.metric("glove_arm_drift").name in one for one in late)
    assert [one for one in late if "Elbow flexion at foot plant, low: the cause" in one]


def test_both_ways_need_a_reason(problems):
    found = problems("stride_length high > pelvis_rotation_fp low", both_ways="")
    assert len(found) == 1
    assert "these two have another link too. Say in both_ways why both hold." in found[0]


def test_a_reason_for_both_ways_needs_two(problems):
    (found,) = problems(STRIDE_ARM, both_ways="because")
    assert "these two have one link. Empty it." in found


def test_a_circle_is_refused_with_its_path(problems, catalogue):
    found = problems(add=[a_link("separation_fp low", "trunk_opening_time low", both_ways="x")])
    (circle,) = (one for one in found if one.startswith("These causes lead back to themselves: "))
    path = circle.removeprefix("These causes lead back to themselves: ").removesuffix(". Take one of the links away.")
    ends = path.split(" → ")
    assert ends[0] == ends[-1]
    assert {catalogue.metric(key).name + ", low" for key in ("separation_fp", "trunk_opening_time")} == set(ends)


def test_what_may_be_a_starting_point_needs_an_answer(links, interventions, catalogue):
    fewer = [one for one in interventions if "stride_length" not in dict(one.answers)]
    (found,) = (
        one for one in problems_of(links, fewer, catalogue) if one.startswith("Stride length at foot plant, low")
    )
    assert "nothing answers it. Add an intervention, or list it" in found


def test_what_has_nothing_in_the_library_is_listed_or_asked_for(links, interventions, catalogue):
    found = problems_of(links, interventions, catalogue, unanswered=())
    assert len(found) == len(load_unanswered())
    assert all("may be a starting point" in one for one in found)


def test_what_has_an_answer_is_not_listed_as_having_none(links, interventions, catalogue):
    one = replace(load_unanswered()[0], metric="stride_length", direction="low")
    (found,) = problems_of(links, interventions, catalogue, unanswered=(*load_unanswered(), one))
    assert (
        found == "Stride length at foot plant, low is listed as without an answer, but has one. Take it from the list."
    )


def test_context_needs_no_answer_since_it_is_never_a_starting_point(links, catalogue):
    listed = {(one.metric, one.direction) for one in load_unanswered()}
    assert not {one for one in listed if catalogue.metric(one[0]).is_context}
    assert ("bmi", "high") in {one.cause_end for one in links}


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        (("no_such", "low"), "the catalogue has no metric or screen 'no_such'"),
        (("elbow_varus_torque_norm", "high"), "is outcome, never worked on"),
        (("release_extension", "low"), "is style, never worked on"),
        (("hamstring_90_90_front", "low"), "every range is open on its low side"),
    ],
)
def test_an_intervention_answers_what_can_be(links, interventions, catalogue, answer, why):
    odd = replace(interventions[0], answers=(*interventions[0].answers, answer))
    (found,) = problems_of(links, [odd, *interventions[1:]], catalogue)
    assert why in found
    assert found.startswith(odd.name)


@pytest.mark.parametrize(
    "pair",
    [
        STRIDE_ARM,
        "latissimus_length_throwing low > shoulder_external_rotation_fp low",
        "pec_minor_table_distance_throwing high > shoulder_external_rotation_fp low",
        "trunk_opening_time low > elbow_flexion_fp low",
        "shoulder_er_90_throwing low > shoulder_external_rotation_max low",
        "pec_minor_table_distance_throwing high > shoulder_external_rotation_max low",
    ],
)
def test_a_path_of_a_check_value_must_stand(problems, pair):
    found = problems(without=[pair])
    assert [one for one in found if "this path is needed for a check of tracing and is not there" in one]


def test_an_empty_graph_lacks_only_the_check_paths(interventions, catalogue):
    found = problems_of([], interventions, catalogue)
    assert found
    assert all("needed for a check" in one for one in found)


def test_the_places_of_metrics_follow_the_order_of_the_delivery(catalogue):
    """Events as they follow in every throw; an extreme of an interval between the two events that it lies between."""

    def place(key):
        return place_of(catalogue.metric(key), catalogue)

    order = ["hip_ir_front", "peak_knee_lift", "stride_length", "shoulder_abduction_mer", "elbow_flexion_br"]
    assert sorted(order, key=place) == order
    assert place("stride_length") < place("trunk_velocity_max") < place("elbow_flexion_br")
    assert place("trunk_velocity_max") == place("trunk_velocity_max_time")
    assert place("elbow_varus_torque_norm") == place("ball_speed") > place("elbow_flexion_br")


def test_every_metric_of_the_catalogue_has_a_place(catalogue):
    for metric in catalogue.metrics.values():
        low, high = place_of(metric, catalogue)
        assert low <= high, metric.key


def test_directions_follow_the_ranges_of_an_installation(catalogue):
    """A facility that judges a long stretch of the ankle too may link it."""
    closed = {"metric": "ankle_dorsiflexion_lunge_front", "target_low": 10.0, "target_high": 16.0}
    sides = sides_of([{**closed, "flag_low": 9.0, "flag_high": None}])
    ankle = catalogue.metric("ankle_dorsiflexion_lunge_front")
    assert why_never(ankle, "high", sides) is None
    assert why_never(ankle, "high", starting_sides()) == "every range is open on its high side"
