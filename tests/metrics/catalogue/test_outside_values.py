"""Spans and rates against published tables: the catalogue must not call an ordinary pitcher implausible."""

import math

import pytest

# The units of the published table in the catalogue's writing.
UNITS = {"N*m": "N·m", "% weight x height": "% weight × height", "% contact to release": "% fc-br"}

# event_detection: speeds at the event from Kageyama et al. 2014 and companions, degrees per second.
SPEED_AT_EVENT = {
    "lead_knee_flexion_br": 300,
    "trunk_forward_tilt_br": 340,
    "pelvis_rotation_mer": 377,
    "trunk_rotation_mer": 1172,
    "elbow_flexion_br": 2300,
}


def measured(published, catalogue):
    """Published rows that carry a mean of a catalogue metric, with unit and key in the catalogue's writing."""
    for row in published("pitching_kinematics_by_level"):
        if row["mean"] and row["metric_key"] in catalogue.metrics:
            yield catalogue.metric(row["metric_key"]), row, UNITS.get(row["unit"], row["unit"])


def test_published_means_have_the_unit_of_their_metric(published, catalogue):
    rows = list(measured(published, catalogue))
    assert len(rows) > 150
    assert {(m.key, unit) for m, _, unit in rows if unit != m.unit} == set()


def test_published_means_lie_inside_the_plausible_span(published, catalogue):
    outside = [
        (metric.key, row["level"], row["mean"])
        for metric, row, _ in measured(published, catalogue)
        if catalogue.check_value(metric.key, float(row["mean"])) is not None
    ]
    assert outside == []


def test_two_published_standard_deviations_lie_inside_the_plausible_span(published, catalogue):
    outside = [
        (metric.key, row["level"], row["mean"], row["sd"])
        for metric, row, _ in measured(published, catalogue)
        if row["sd"]
        for sign in (-2, 2)
        if catalogue.check_value(metric.key, float(row["mean"]) + sign * float(row["sd"])) is not None
    ]
    assert outside == []


def test_published_stride_in_metres_is_plausible_in_the_storage_unit(published, catalogue):
    rows = [r for r in published("pitching_kinematics_by_level") if r["metric_key"] == "stride_length_m"]
    assert len(rows) >= 3
    for row in rows:
        assert catalogue.check_value("stride_length", float(row["mean"]), unit="m") is None


def test_published_screen_norms_lie_inside_the_plausible_span(published, catalogue):
    checked = 0
    for row in published("physical_screens"):
        if not row["norm_mean"] or "injured" in row["screen_name"]:
            continue  # differences between groups are no values of the screen
        for screen in catalogue.screens_for(row["screen_key"]):
            assert catalogue.check_value(screen.key, float(row["norm_mean"])) is None, screen.key
            checked += 1
    assert checked > 40


@pytest.mark.parametrize("key", SPEED_AT_EVENT)
def test_rates_at_the_event_are_the_published_speeds(catalogue, key):
    metric = catalogue.metric(key)
    assert metric.event_rate == SPEED_AT_EVENT[key]
    assert "published" in metric.rate_status
    assert "no published" not in metric.rate_status


def test_the_pelvis_turns_9_to_21_degrees_in_30_ms_between_touch_and_plant(catalogue):
    """Published speeds of 300 to 700 degrees per second over 30 ms."""
    assert 9 <= catalogue.metric("pelvis_rotation_fp").landing_rate * 0.030 <= 21


def test_one_frame_at_240_hz_costs_what_the_published_table_says(catalogue):
    """Published cost of one frame of event error, degrees, at 240 Hz: elbow 9.6, trunk turn 4.9, knee 1.2."""
    costs = {"elbow_flexion_br": 9.6, "trunk_rotation_mer": 4.9, "lead_knee_flexion_br": 1.2}
    for key, cost in costs.items():
        assert catalogue.metric(key).event_rate / 240 == pytest.approx(cost, abs=0.06)


def test_extremes_have_no_rate_and_times_run_with_the_clock(catalogue):
    for metric in catalogue.metrics.values():
        if metric.is_screen:
            continue
        if metric.key.endswith("_max") or metric.key.endswith("_norm"):
            assert metric.event_rate == 0, metric.key
        if metric.unit == "% fc-br":
            assert metric.event_rate == pytest.approx(100 / 0.145, rel=0.01), metric.key
        if metric.key.endswith("_lag"):
            assert metric.event_rate == pytest.approx(1000 * math.sqrt(2), rel=0.01), metric.key


def test_spans_are_ordered_and_given_for_everything(catalogue):
    for metric in catalogue.metrics.values():
        assert metric.plausible_low < metric.plausible_high, metric.key


def test_implausible_values_are_answered_in_a_sentence(catalogue):
    assert catalogue.check_value("elbow_flexion_fp", 92) is None
    assert catalogue.check_value("elbow_flexion_fp", 20) is None
    assert catalogue.check_value("elbow_flexion_fp", -400) == (
        "Elbow flexion at foot plant of −400° is not plausible: at least 20° is expected."
    )
    assert "at most 0.23 s" in catalogue.check_value("fc_br_time", 150)
    for odd in (math.nan, math.inf, -math.inf):
        assert catalogue.check_value("elbow_flexion_fp", odd) == "Elbow flexion at foot plant is not a finite number."
    assert catalogue.check_value("stride_length", 1.41, unit="m") is None
    assert "m is expected" in catalogue.check_value("stride_length", 85, unit="m")
    with pytest.raises(ValueError, match="kept in m"):
        catalogue.check_value("stride_length", 1.41, unit="cm")
