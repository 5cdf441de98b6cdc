"""A file's bytes measured whole: values, units, reasons and refusals."""

from __future__ import annotations

import json
import math
import re
import time

import numpy as np
import pytest

from metrics.catalogue import load_catalogue
from metrics.kinematics import measure_throw
from metrics.measuring import (
    Asked,
    MeasuredFile,
    MeasuredThrow,
    MeasuredValue,
    as_json,
    as_text,
    measure_bytes,
)
from metrics.measuring.asked import parse_filter
from sessions.formats.c3d import read_c3d
from tests import synthesis
from tests.metrics.measuring.files import HEIGHT_M, MASS_KG, made, throw_file
from tests.sessions.formats.mutations import MOST_SECONDS, mutated

ASKED = Asked(HEIGHT_M, MASS_KG, "right", None)


@pytest.fixture(scope="module")
def measured() -> MeasuredFile:
    return measure_bytes(throw_file(), "throw.c3d", ASKED)


def test_every_metric_of_the_catalogue_is_there_with_its_unit_and_a_value_or_a_reason(measured):
    (throw,) = measured.throws
    catalogue = load_catalogue()
    assert set(throw.metrics) == {key for key, metric in catalogue.metrics.items() if not metric.is_screen}
    for key, value in throw.metrics.items():
        assert value.unit == catalogue.metric(key).unit
        assert (value.value is None) == bool(value.reason)
    assert throw.metrics["ball_speed"].reason.startswith("Not measured, because neither the file nor a person gave")


def test_lengths_in_percent_of_height_are_the_readings_over_the_height(measured):
    reading = measure_throw(read_c3d(throw_file()), height_m=HEIGHT_M, mass_kg=MASS_KG, side="right", filter_hz=None)
    metres = reading.at_landing("fp")["stride_length"]
    assert metres.unit == "m"
    assert measured.throws[0].metrics["stride_length"].value == pytest.approx(100 * metres.value / HEIGHT_M)


def test_times_are_seconds_from_the_files_first_frame(measured):
    assert measured.throws[0].events["br"] == pytest.approx(made().throw.events.br, abs=0.012)


def test_a_left_hander_has_the_numbers_of_the_same_right_hander(measured):
    left = measure_bytes(throw_file("left"), "left.c3d", Asked(HEIGHT_M, MASS_KG, "left", None))
    assert [throw.side for throw in (*measured.throws, *left.throws)] == ["right", "left"]
    for key, value in measured.throws[0].metrics.items():
        other = left.throws[0].metrics[key].value
        # 32-bit millimetres in the file; the greatest of a noisy course may move by a frame.
        assert other == (value.value if value.value is None else pytest.approx(value.value, rel=2e-3, abs=2e-2))


def test_every_throw_of_a_file_is_measured():
    two = measure_bytes(throw_file(throws=2), "two.c3d", ASKED)
    releases = [throw.events["br"] for throw in two.throws]
    true = [throw.events.br for throw in made(throws=2).throws]
    np.testing.assert_allclose(releases, true, atol=0.012)
    assert two.refusals == ()


def test_a_throw_of_several_that_is_refused_is_named_by_its_time():
    two = made(throws=2)
    second = two.throws[1].events.br
    hidden = synthesis.with_gap(two, ["R_EL", "R_EM"], second - 0.2, second + 0.2)
    result = measure_bytes(synthesis.c3d_bytes(hidden), "two.c3d", ASKED)
    assert len(result.throws) == 1
    (refusal,) = result.refusals
    named = re.match(r"Throw at (\d+\.\d\d) s: \w", refusal)
    assert float(named[1]) == pytest.approx(second, abs=0.05)


REFUSED = {
    "no throw": (
        lambda: synthesis.c3d_bytes(synthesis.record(synthesis.Standing(synthesis.Body()), synthesis.Room())),
        "No throw was found",
    ),
    "one marker": (
        lambda: synthesis.c3d_bytes(synthesis.without(made(plates=False), made().labels[1:])),
        "These markers are needed and are not in the file: ",
    ),
    "the other arm": (lambda: throw_file("left"), "The left arm throws here and right was given"),
    "no recording": (lambda: b"Athlete,Date\n", "This is text, not a motion capture recording."),
    "cut": (lambda: throw_file()[:-5000], "The recording is cut short"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_measured_comes_back_as_a_sentence(name):
    make, start = REFUSED[name]
    result = measure_bytes(make(), "file.c3d", ASKED)
    assert result.throws == ()
    assert result.refusals[0].startswith(start)


def test_a_filter_that_the_frame_rate_cannot_carry_is_refused_in_words():
    result = measure_bytes(throw_file(), "throw.c3d", Asked(HEIGHT_M, MASS_KG, "right", 120.0))
    assert result.refusals == (
        "A filter of 120 Hz needs more than the file's 240 frames a second: choose one under 108 Hz, or none.",
    )


def test_a_measured_file_survives_the_way_between_processes(measured):
    assert MeasuredFile.from_json(json.loads(json.dumps(measured.to_json(), allow_nan=False))) == measured


def test_json_has_the_promised_shape_and_nothing_else(measured):
    (file,) = as_json([measured])
    assert set(file) == {"file", "throws"}
    (throw,) = file["throws"]
    assert set(throw) == {"events", "metrics"}
    assert set(throw["events"]) >= {"pkh", "fc", "fp", "mer", "br", "mir"}
    assert all(isinstance(time_s, float) for time_s in throw["events"].values())
    assert {frozenset(value) for value in throw["metrics"].values()} == {
        frozenset({"value", "unit", "uncertainty", "reason"})
    }
    assert json.loads(json.dumps(file, allow_nan=False)) == file


def test_text_says_how_uncertain_a_value_is_and_what_the_filter_takes_from_it():
    value = MeasuredValue(171.04, "deg", 1.26, low_by=6.2)
    throw = MeasuredThrow(
        "right", 240.0, 13.4, {"br": 2.5}, {"shoulder_external_rotation_max": value}, ("Noted.",), ("Sure?",)
    )
    lines = as_text(MeasuredFile("a.c3d", (throw,), problems=("The unit is odd.",))).splitlines()
    (line,) = (line for line in lines if "Maximum shoulder external rotation" in line)
    assert line.split()[4:] == ["171", "±", "1.3", "°", "reads", "low", "by", "about", "6"]
    assert lines[0] == ("a.c3d: throw 1 of 1, right arm, release at 2.500 s, filter of 13.4 Hz at 240 frames a second")
    assert lines[lines.index("  To confirm") + 1] == "  - Sure?"
    assert lines[lines.index("  To know") + 1 :][:2] == ["  - The unit is odd.", "  - Noted."]
    assert "  Foot plant" in "\n".join(lines)


def test_text_has_a_line_for_every_event_and_metric_under_its_lane(measured):
    text = as_text(measured)
    catalogue = load_catalogue()
    assert text.startswith("throw.c3d: throw 1 of 1, right arm, release at ")
    for title in ("Events", "Lower half", "Trunk", "Arm", "Sequence", "To know"):
        assert f"\n  {title}" in text
    lines = text.splitlines()
    for key in measured.throws[0].metrics:
        assert sum(line.startswith(f"  {catalogue.metric(key).name}  ") for line in lines) == 1
    (pelvis,) = (line.split() for line in lines if line.startswith("  Pelvis rotation at ball release  "))
    value = measured.throws[0].metrics["pelvis_rotation_br"]
    assert pelvis[5:] == [f"−{-value.value:.0f}", "±", "?", "°"]  # no cost of noise is kept for a throw without filter
    assert any("Not measured, because" in line for line in lines)


@pytest.mark.parametrize(
    ("words", "piece"),
    [
        ((186.0, 88.0, "right"), "The height is in metres, such as 1.86; 0.8 to 2.5 is expected, not 186."),
        ((math.nan, 88.0, "right"), "not nan"),
        ((1.86, 8.8, "right"), "The mass is in kilograms"),
        ((1.86, 88.0, "both"), "The throwing side is right or left, not both."),
        ((1.86, 88.0, "right", 0.0), "The filter is in hertz"),
    ],
)
def test_what_nobody_measures_is_refused(words, piece):
    with pytest.raises(ValueError, match=piece):
        Asked(*words)


def test_a_filter_is_a_number_or_none():
    assert parse_filter("none") is parse_filter(" None ") is None
    assert parse_filter("13.4") == 13.4
    with pytest.raises(ValueError):
        parse_filter("strong")


def test_mutated_throws_are_measured_or_refused_and_nothing_else():
    data = throw_file(rate_hz=100.0)
    gave = 0
    for damaged in mutated(data, count=300):
        started = time.perf_counter()
        result = measure_bytes(damaged, "damaged.c3d", ASKED)
        assert time.perf_counter() - started < MOST_SECONDS
        assert result.throws or result.refusals
        json.dumps(as_json([result]), allow_nan=False)
        gave += bool(result.throws)
    assert 50 < gave < 250
