"""The check values of tracing, walked on the shipped links. Common practice, no published source.

Findings are constructed: a flag has a chance of 95% to be beyond its limit, what is in range 90% to be inside.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import STRENGTHS, interventions_for, load_links
from metrics.catalogue.causes.rules import CHECK_PATHS
from metrics.tracing import CauseGraph, CauseLink, Evidence, Node, Trace, trace

ARM, ELBOW, LAYBACK = "shoulder_external_rotation_fp low", "elbow_flexion_fp low", "shoulder_external_rotation_max low"
STRIDE, OPENING = "stride_length low", "trunk_opening_time low"
LATISSIMUS, PECTORAL = "latissimus_length_throwing low", "pec_minor_table_distance_throwing high"
ROTATORS, GAIN = "shoulder_er_90_throwing low", "shoulder_er_insufficiency low"


def node(text: str) -> Node:
    return Node(*text.split())


@cache
def shipped() -> CauseGraph:
    return CauseGraph(
        CauseLink(Node(*one.effect_end), Node(*one.cause_end), STRENGTHS[one.strength], one.reason, one.source)
        for one in load_links()
    )


def kind_of(end: Node) -> str:
    metric = load_catalogue().metric(end.metric)
    return "context" if metric.is_context else metric.kind


def flagged(text: str) -> Evidence:
    weight = load_catalogue().metric(node(text).metric).weight
    return Evidence(node(text), kind_of(node(text)), True, 0.95, 0.01, 0.99, severity=1.0, weight=weight)


def in_range(end: Node) -> Evidence:
    return Evidence(end, kind_of(end), False, 0.01, 0.9, 0.1)


def traced(*flags: str, measured: str = "none") -> Trace:
    """The trace with these flags; of the other nodes nothing, every mechanic, or everything is in range."""
    known = {one.node: one for one in map(flagged, flags)}
    for end in sorted({*shipped().causes, *shipped().effects} - set(known)):
        kind = kind_of(end)
        if measured == "all" or (measured == "mechanics" and kind == "mechanic"):
            known[end] = in_range(end)
        else:
            known[end] = Evidence(end, kind)
    return trace(shipped(), known.values())


def cause_of(found: Trace, flag: str) -> Node | None:
    return next(one.cause for one in found.flags if one.flag == node(flag))


MEASURED = pytest.mark.parametrize("measured", ["none", "mechanics", "all"])


@MEASURED
def test_a_late_arm_with_a_short_stride_starts_at_the_stride(measured):
    found = traced(ARM, STRIDE, measured=measured)
    assert (found.starting_point, cause_of(found, ARM)) == (node(STRIDE), node(STRIDE))


@pytest.mark.parametrize("measured", ["mechanics", "all"])
@pytest.mark.parametrize("screen", [LATISSIMUS, PECTORAL])
def test_a_late_arm_with_a_normal_stride_and_a_short_muscle_starts_there(screen, measured):
    found = traced(ARM, screen, measured=measured)
    assert (found.starting_point, cause_of(found, ARM)) == (node(screen), node(screen))


@MEASURED
def test_a_straight_elbow_with_an_early_trunk_starts_at_the_trunks_opening(measured):
    found = traced(ELBOW, OPENING, measured=measured)
    assert (found.starting_point, cause_of(found, ELBOW)) == (node(OPENING), node(OPENING))


@MEASURED
@pytest.mark.parametrize("screens", [[ROTATORS], [GAIN], [ROTATORS, GAIN], [LATISSIMUS], [PECTORAL]], ids="+".join)
def test_reduced_layback_with_restricted_internal_rotators_starts_at_mobility(screens, measured):
    found = traced(LAYBACK, *screens, measured=measured)
    start = found.starting_point
    assert start == node(screens[0])
    kinds = {one.kind for one in interventions_for(*start)}
    assert "mobility" in kinds
    assert "drill" not in kinds


def test_layback_itself_is_answered_by_no_drill():
    assert interventions_for(*node(LAYBACK)) == ()


@pytest.mark.parametrize("flag", [ARM, LAYBACK])
@pytest.mark.parametrize("measured", ["none", "mechanics"])
def test_with_nothing_upstream_measured_the_cause_is_not_known_and_screens_are_checked_next(flag, measured):
    found = traced(flag, measured=measured)
    assert (found.starting_point, found.heading) == (node(flag), "cause not known yet")
    kinds = [kind_of(check.node) for check in found.check_next]
    assert kinds.count("screen") >= 2
    assert kinds[0] == "screen"


def test_with_everything_upstream_in_range_it_is_itself():
    found = traced(ARM, measured="all")
    assert (found.starting_point, found.heading, found.check_next) == (node(ARM), "itself", ())


def test_the_paths_of_the_checks_are_common_practice_and_say_so():
    """None of them is published; a link that is there for a check must not borrow an authority."""
    pairs = {step for path in CHECK_PATHS for step in pairwise(path)}
    found = [one for one in load_links() if (one.cause_end, one.effect_end) in pairs]
    assert len(found) == len(pairs)
    assert {one.status for one in found} == {"common_practice"}
