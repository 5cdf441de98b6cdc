"""What an athlete needs work for, and who needs some: one athlete read whole, many in two queries."""

from __future__ import annotations

import pytest

from metrics.services.standing import rebuild_standings
from metrics.services.starting_points import answer_starting_point
from metrics.tracing import Node
from plans.library import Situation, load_library, suggest
from plans.selectors.needs import NO_NEEDS, needs_of
from tests.factories import DAY
from tests.metrics.upstream.scenes import found, publish_links
from tests.plans.conftest import METRIC, WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

END = (METRIC, "low")
STRIDE, ARM = "stride_length", "shoulder_external_rotation_fp"
TILT, LAT = "trunk_forward_tilt_br", "latissimus_length_throwing"


@pytest.fixture
def recurring(athlete, measure):
    """The elbow is straight in the last two sessions of three."""
    session = measure(
        athlete,
        DAY - WEEK,
        78,
        flag=True,
        confirmation="recurring",
        decision={"flags_among_last": 2, "among_last": 3},
    )
    rebuild_standings([athlete.pk])
    return session


def test_a_flag_that_keeps_coming_back_is_a_need_with_its_count(athlete, recurring):
    (flag,) = needs_of(athlete).recurring
    assert (flag.end, flag.times, flag.among) == (END, 2, 3)
    assert [need.end for need in needs_of(athlete).wanted()] == [END]


@pytest.mark.parametrize(
    "changed",
    [
        {"confirmation": "to_confirm"},
        {"confirmation": "confirmed"},
        {"sure": "cant_tell"},
        {"is_family_head": False},
        {"zone": "watch"},
    ],
)
def test_a_flag_seen_once_or_not_told_or_counted_by_its_family_is_none(athlete, recurring, changed):
    recurring.findings.update(**changed)
    assert needs_of(athlete).recurring == ()


def test_the_needs_are_those_of_the_latest_session_thrown_in(athlete, recurring, measure):
    measure(athlete, DAY, 100, metric="hip_ir_front", method="hands_on", kind="screen")
    assert needs_of(athlete).session == recurring
    measure(athlete, DAY, 100)
    assert needs_of(athlete).recurring == ()


def test_who_was_never_measured_needs_nothing(athlete):
    assert needs_of(athlete) == NO_NEEDS


def test_the_starting_point_of_the_trace_comes_first_and_what_follows_is_named(athlete, measure):
    publish_links((f"{STRIDE} low", f"{ARM} low", "moderate"))
    found(athlete, {STRIDE: "low", ARM: "low"}).findings.filter(metric=ARM).update(confirmation="recurring")
    needs = needs_of(athlete)
    assert needs.start == (STRIDE, "low")
    assert needs.follows == ((ARM, "low"),)
    assert needs.is_provisional
    assert [(one.metric, one.is_starting_point) for one in needs.wanted()] == [
        (STRIDE, True),
        (ARM, False),
    ]
    assert [one.metric for one in needs.wanted(answered={needs.start})] == [ARM]


def test_the_starting_point_that_a_coach_put_first_comes_before_that_of_the_trace(athlete, coach):
    publish_links((f"{STRIDE} low", f"{ARM} low", "moderate"))
    session = found(athlete, {STRIDE: "low", ARM: "low"})
    answer_starting_point(session=session, kind="own", node=Node(ARM, "low"), by=coach)
    assert needs_of(athlete).start == (ARM, "low")


def test_a_fact_of_the_person_that_is_not_known_is_no_cause_to_act_on(athlete):
    """Many throws may lie behind a bent trunk; that nobody counted them is no reason to give fewer."""
    publish_links(("workload_7_days high", f"{TILT} high", "moderate"), (f"{LAT} low", f"{TILT} high", "moderate"))
    session = found(athlete, {TILT: "high"})
    session.findings.update(confirmation="recurring")
    needs = needs_of(athlete)
    assert ("workload_7_days", "high") in needs.ruled_out
    assert (LAT, "low") not in needs.ruled_out
    offered = suggest(load_library(), needs.wanted(), Situation(20), causes=needs.causes, ruled_out=needs.ruled_out)
    assert "fewer_throws" not in [one.key for one in offered.offered]
    assert "latissimus_stretch" in [one.key for one in offered.offered]
