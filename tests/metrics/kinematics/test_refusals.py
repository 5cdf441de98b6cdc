"""What cannot be measured is refused: each reason by a sentence that says what was found, where, and what to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from metrics.kinematics import NotMeasured, Setup, find_throws
from metrics.kinematics.problems import NOTICES, QUESTIONS, REASONS, REFUSALS
from sessions.formats.recording import Recording
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.pitches import codes, delivery, made, measured, refused
from tests.synthesis import Body, Delivery, Room, RunningThrow, Standing, WalkingIn, Windmill, cut, record, style_of

pytestmark = pytest.mark.filterwarnings("error")

EVENTS = made().throw.events
FILE = as_recording(made())


def changed(**changes: object) -> Recording:
    return replace(FILE, **changes)  # type: ignore[arg-type]


def with_labels(rename: Callable[[str], str]) -> Recording:
    return changed(labels=tuple(rename(label) for label in FILE.labels))


def two_people() -> Recording:
    labels = tuple(f"{person}:{label}" for person in ("Anna", "Berta") for label in FILE.labels)
    return changed(labels=labels, positions=np.concatenate([FILE.positions, FILE.positions + 3.0], axis=1))


def tilted(axis: str, degrees: float) -> Recording:
    turn = Rotation.from_euler(axis, degrees, degrees=True).as_matrix()
    return changed(positions=FILE.positions @ turn.T)


def never_at_rest() -> synthesis.Recording:
    """The lead foot slides on through release at 1 m/s."""
    file = made()
    points, times = file.points.copy(), file.times
    slide = np.maximum(times - EVENTS.fc + 0.05, 0.0)[:, None] * np.array([1.0, 0.0, 0.0])
    for label in ("L_LM", "L_MM", "L_CA", "L_MT2"):
        points[:, file.labels.index(label)] += slide
    return file.but(points=points)


def pushed() -> synthesis.Recording:
    """The forearm stays upright, so that the wrist never passes the elbow."""
    file = made()
    points = file.points.copy()
    for marker, below, height in (("RS", "EL", 0.27), ("US", "EM", 0.27), ("MC3", "EL", 0.36)):
        points[:, file.labels.index(f"R_{marker}")] = file.marker(f"R_{below}") + np.array([-0.02, 0.0, height])
    return file.but(points=points)


def without_leg_lift() -> synthesis.Recording:
    return cut(made(), start=EVENTS.pkh + 0.2)


# code → what to try, and what its sentence has to say
CASES: dict[str, tuple[Callable[[], object], str]] = {
    "no_markers": (lambda: measured(changed(labels=(), positions=np.zeros((800, 0, 3)))), "holds no markers"),
    "no_known_labels": (
        lambda: measured(with_labels(lambda label: "M" + str(FILE.labels.index(label)))),
        "None of the file's 32 markers has a name that is known (M0, M1, M2, M3, M4, …).",
    ),
    "no_such_person": (
        lambda: measured(two_people(), setup=Setup(person="Clara")),
        "belongs to Clara; the file has those of Anna, Berta.",
    ),
    "labels_missing": (lambda: measured(changed(labels=("R_EL",), positions=FILE.positions[:, :1])), "C7, T8, IJ, PX"),
    "several_people": (lambda: measured(two_people()), "several people: Anna, Berta."),
    "too_short": (lambda: measured(changed(positions=FILE.positions[:0])), "has 0 frames"),
    "rate_too_low": (lambda: measured(changed(rate_hz=50.0)), "50 frames a second"),
    "markers_not_seen": (
        lambda: measured(changed(positions=np.full_like(FILE.positions, np.nan))),
        "in too few frames to find a throw: C7",
    ),
    "wrong_unit": (lambda: measured(changed(positions=1000 * FILE.positions)), "millimetres would fit"),
    "up_unclear": (lambda: measured(tilted("x", 25.0)), "25° off the nearest axis"),
    "forward_unclear": (lambda: measured(tilted("z", 30.0)), "off the nearest axis"),
    "no_travel": (
        lambda: measured(changed(positions=FILE.positions - hips_way())),
        "the pelvis travels only",
    ),
    "setup_up": (lambda: measured(made(), setup=Setup(axes=np.eye(3)[[2, 1, 0]] * [1, -1, 1])), "° away from up"),
    "thrown_other_way": (lambda: measured(made(), setup=Setup(axes=np.diag([-1.0, -1.0, 1.0]))), "° away from"),
    "labels_swapped": (
        lambda: measured(synthesis.with_sides_swapped(made(), ["R_RS", "R_US", "R_MC3"])),
        "some markers: RS, US, MC3.",
    ),
    "other_arm": (lambda: measured(made(), side="left"), "The right arm throws here and left was given"),
    "setup_mirrored": (lambda: measured(made(), setup=Setup(axes=np.diag([1.0, -1.0, 1.0]))), "the right arm throws"),
    "no_throw": (lambda: measured(record(WalkingIn())), "moves at 1.4 m/s and a throw needs 6."),
    "several_throws": (lambda: measured(record([delivery(), delivery()])), "The file holds 2 throws."),
    "cut_before_release": (lambda: measured(cut(made(), end=EVENTS.br - 0.02)), "at least half a second after"),
    "no_leg_lift": (lambda: measured(without_leg_lift()), "begins 0.84 s before release"),
    "windmill": (lambda: measured(record(Windmill())), "underhand windmill"),
    "running_throw": (lambda: measured(record(RunningThrow())), "the pelvis moves at 3.6 m/s"),
    "no_landing": (lambda: measured(never_at_rest()), "never comes to rest"),
    "no_release": (lambda: measured(pushed()), "does not pass the elbow"),
    "gap_at_event": (
        lambda: measured(synthesis.with_gap(made(), ["R_RS"], EVENTS.br - 0.03, EVENTS.br + 0.01)),
        "Ball release was not found, because R_RS is not seen",
    ),
    "event_outside": (
        lambda: measured(made(), events={"pkh": -0.5}),
        "Peak knee lift was set at -0.50 s, and this throw runs from 0.00 to 3.44 s",
    ),
    "events_out_of_order": (
        lambda: measured(made(), events={"fp": EVENTS.fc - 0.05}),
        f"foot plant ({EVENTS.fc - 0.05:.3f} s) before foot contact (",
    ),
}


def hips_way() -> np.ndarray:
    hips = FILE.positions[:, [FILE.labels.index("R_ASIS")]]
    return (hips - hips[:1]) * np.array([1.0, 1.0, 0.0])


def test_every_refusal_has_its_case():
    assert set(CASES) == set(REFUSALS)


@pytest.mark.parametrize("code", CASES)
def test_refusal_says_what_and_where(code):
    act, said = CASES[code]
    problem = refused(act)
    assert problem.code == code
    assert said in problem.sentence
    assert str(problem) == problem.sentence


@pytest.mark.parametrize("code", sorted(set(REFUSALS) - {"windmill", "running_throw"}))
def test_refusal_says_what_to_do(code):
    verbs = ("Export", "Say ", "Choose", "Label ", "Record ", "Fill ", "Set ", "Correct", "Check", "check ")
    assert any(verb in REFUSALS[code] for verb in verbs)


@pytest.mark.parametrize(
    "table", [REFUSALS, NOTICES, QUESTIONS, REASONS], ids=["refusals", "notices", "questions", "reasons"]
)
def test_sentences_are_whole(table):
    for code, sentence in table.items():
        assert sentence.endswith((".", "{sentence}")), code
        assert sentence[0].isupper() or sentence[0] == "{", code


@pytest.mark.parametrize("level", ["youth", "college", "professional"])
@pytest.mark.parametrize("circle", [0.4, 0.5, 0.7])
def test_windmill_pitches_are_known_at_any_level_and_speed(level, circle):
    pitch = Windmill(Delivery(Body(height=1.7), style_of(level)), circle=circle)
    assert refused(lambda: measured(record(pitch), height_m=1.7)).code == "windmill"


@pytest.mark.parametrize("speed", [2.0, 3.0, 5.0])
def test_throws_on_the_run_are_known_at_any_speed(speed):
    assert refused(lambda: measured(record(RunningThrow(speed=speed)))).code == "running_throw"


@pytest.mark.parametrize("level", ["youth", "high_school", "college", "professional"])
@pytest.mark.parametrize("side", ["right", "left"])
def test_no_pitch_is_taken_for_another_throw(level, side):
    found = measured(record(Delivery(Body(), style_of(level)), Room(side=side)), height_m=1.8, side=side)
    assert found.report.questions == ()


def test_standing_and_one_frozen_pose_are_no_throw():
    assert refused(lambda: measured(record(Standing()))).code == "no_throw"
    assert refused(lambda: measured(changed(positions=FILE.positions[[200] * 600]))).code == "no_throw"


@pytest.mark.parametrize("before", [0.3, 0.15, 0.12, 0.1, 0.08, 0.05, 0.03, 0.012, 0.002])
def test_throw_cut_before_release_is_never_measured(before):
    for side in ("right", None):
        problem = refused(lambda side=side: measured(cut(made(), end=EVENTS.br - before), side=side))
        assert problem.code in ({"no_throw"} if before > 0.15 else {"cut_before_release"})


@pytest.mark.parametrize("after", [0.010, 0.030, 0.055])
def test_throw_cut_just_after_release_gives_no_speeds_loads_or_inward_turn(after):
    found = measured(cut(made(), end=EVENTS.br + after))
    assert "ends_early" in codes(found)
    assert "mir" not in found.events
    withheld = {key for key, one in found.metrics.items() if one.code == "ends_early"}
    assert {"pelvis_velocity_max@fc-br", "elbow_varus_torque_max@fc-br", "trunk_elbow_lag@"} <= withheld
    assert found.metrics["elbow_flexion_br@br"].value is not None


def test_throw_that_ends_60_ms_after_release_has_everything():
    found = measured(cut(made(), end=EVENTS.br + 0.075))
    assert "ends_early" not in codes(found)
    assert {one.code for one in found.metrics.values() if one.value is None} <= {"no_ball", "no_plate"}


def test_lead_leg_out_of_the_file_is_said_to_begin_too_late():
    for start in (0.0, 0.3, 0.6):
        assert refused(lambda start=start: measured(cut(made(), start=EVENTS.pkh + start))).code == "no_leg_lift"


def test_all_markers_on_one_point_are_no_body():
    assert refused(lambda: measured(changed(positions=np.zeros_like(FILE.positions)))).code == "wrong_unit"


def test_labels_may_carry_a_prefix_and_any_case():
    expected = measured(FILE).events
    for rename in (str.lower, "Anna:{}".format, "lab:anna:{}".format, " {} ".format):
        assert measured(with_labels(rename)).events == expected


def test_one_of_two_people_is_chosen_by_the_setup_and_a_ball_belongs_to_anybody():
    chosen = measured(two_people(), setup=Setup(person="berta"))
    assert chosen.events == pytest.approx(measured(FILE).events, abs=1e-6)
    balled = as_recording(made(ball=True))
    names = tuple(label if label == "BALL" else f"Anna:{label}" for label in balled.labels)
    found = measured(replace(balled, labels=names), setup=Setup(person="Anna"))
    assert found.report.event_rules["br"] == "ball"


def test_setup_maps_the_rooms_own_names():
    own = {label: f"room {index}" for index, label in enumerate(FILE.labels)}
    names = {name: label for label, name in own.items()}
    assert measured(with_labels(own.__getitem__), setup=Setup(names=names)).events == measured(FILE).events
    # The room's "R_EL" is its own affair.
    crossed = {"r_em": "R_EL", "R_EL": "R_EM"}
    swap = {"R_EL": "R_EM", "R_EM": "R_EL"}
    found = measured(with_labels(lambda label: swap.get(label, label)), setup=Setup(names=crossed))
    assert found.events == measured(FILE).events
    with pytest.raises(ValueError, match="no landmarks: ELBOW"):
        Setup(names={"a": "ELBOW"})


def test_finding_throws_refuses_what_holds_none():
    for file in (changed(labels=(), positions=np.zeros((9, 0, 3))), as_recording(record(Standing()))):
        with pytest.raises(NotMeasured):
            find_throws(file)


@pytest.mark.parametrize(
    "wrong", [{"height_m": 186.0}, {"mass_kg": 880.0}, {"side": "R"}, {"events": {"plant": 1.0}},
              {"events": {"br": float("nan")}}],
)  # fmt: skip
def test_wrong_use_is_a_value_error(wrong):
    with pytest.raises(ValueError, match=r"height_m|mass_kg|side|events"):
        measured(FILE, **wrong)
