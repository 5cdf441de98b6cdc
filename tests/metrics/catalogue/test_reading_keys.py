"""Moments, landing words and the keys of stored readings."""

import pytest

from metrics.catalogue import UnknownMetric, UnknownMoment, parse_reading_key

LANDINGS = ("fc", "fp", "unknown")


@pytest.mark.parametrize(
    ("key", "landing", "expected"),
    [
        ("elbow_flexion_fp", "fp", "elbow_flexion_fp@fp"),
        ("elbow_flexion_fp", "fc", "elbow_flexion_fp@fc"),
        ("elbow_flexion_fp", "unknown", "elbow_flexion_fp@landing"),
        ("lead_knee_extension", "fc", "lead_knee_extension@fc-br"),
        ("stride_time", "unknown", "stride_time@pkh-landing"),
        ("elbow_flexion_br", "fc", "elbow_flexion_br@br"),
        ("pelvis_velocity_max", "unknown", "pelvis_velocity_max@fc-br"),
        ("separation_max_time", "fp", "separation_max_time@"),
        ("hip_ir_front", "fc", "hip_ir_front@screen"),
    ],
)
def test_a_reading_key_names_metric_and_moment(catalogue, key, landing, expected):
    assert catalogue.metric(key).reading_key(landing) == expected


def test_every_reading_key_can_be_read_back(catalogue):
    for metric in catalogue.metrics.values():
        for landing in LANDINGS:
            assert parse_reading_key(metric.reading_key(landing)) == (metric, metric.moment_for(landing))


def test_landing_dependent_is_what_has_foot_plant_in_its_moment(catalogue, design_table):
    stated = {row["key"] for row in design_table if row["moment"] in ("fp", "pkh-fp", "fp-br")}
    assert {m.key for m in catalogue.metrics.values() if m.is_landing_dependent} == stated
    assert "elbow_flexion_fp" in stated
    assert not stated & {"pelvis_velocity_max", "elbow_flexion_br", "drive_force_forward_max", "separation_max"}


def test_only_landing_dependent_metrics_have_three_keys(catalogue):
    for metric in catalogue.metrics.values():
        keys = {metric.reading_key(landing) for landing in LANDINGS}
        assert len(keys) == (3 if metric.is_landing_dependent else 1), metric.key


def test_landing_dependent_metrics_know_their_rate_at_landing(catalogue):
    unknown = [m.key for m in catalogue.metrics.values() if m.is_landing_dependent and m.landing_rate is None]
    assert unknown == []


@pytest.mark.parametrize("text", ["", "@fp", "elbow@fp", "Elbow_flexion_fp@fp"])
def test_an_unknown_metric_is_refused(text):
    with pytest.raises(UnknownMetric):
        parse_reading_key(text)


@pytest.mark.parametrize("text", ["elbow_flexion_fp", "elbow_flexion_fp@br", "elbow_flexion_br@fc", "ball_speed@br@br"])
def test_a_moment_at_which_the_metric_is_never_read_is_refused(text):
    with pytest.raises(UnknownMoment):
        parse_reading_key(text)


def test_another_landing_word_is_refused(catalogue):
    with pytest.raises(ValueError, match="fc, fp, unknown"):
        catalogue.metric("elbow_flexion_fp").reading_key("touch")
