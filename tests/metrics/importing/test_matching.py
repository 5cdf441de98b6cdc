"""Headers of many rooms against the catalogue: metric, unit, sign, landing moment, other roles.

headers_corpus.csv was written by hand for this test; none of its headers is a name or synonym of the
catalogue, which `test_the_corpus_is_not_the_synonym_list` holds.
"""

import csv
import math
from pathlib import Path

import pytest

from metrics.catalogue import normalise_name
from metrics.importing.matching import suggest_columns
from metrics.importing.ranking import MetricIndex
from metrics.importing.recipes import ColumnTarget
from metrics.importing.words import read_header, split_unit
from tests.metrics.importing.tables import CATALOGUE, layout_of, suggested

CORPUS = list(csv.DictReader(Path(__file__).with_name("headers_corpus.csv").read_text("utf-8").splitlines()))
INDEX = MetricIndex(CATALOGUE)


def test_the_corpus_is_not_the_synonym_list():
    taken = {
        normalise_name(text)
        for metric in CATALOGUE.metrics.values()
        for text in (metric.key, metric.name, metric.short_name, metric.plain_name, *metric.synonyms)
    }
    assert [row["header"] for row in CORPUS if normalise_name(row["header"]) in taken] == []
    assert len(CORPUS) >= 60
    assert {row["metric"] for row in CORPUS} <= set(CATALOGUE.metrics)


def test_nineteen_of_twenty_unseen_headers_find_their_metric_first():
    wrong = {}
    for row in CORPUS:
        ranked = INDEX.rank(row["header"], row["unit"])
        if not ranked or ranked[0].metric != row["metric"]:
            wrong[row["header"]] = ranked[0].metric if ranked else None
    assert len(wrong) <= 0.05 * len(CORPUS), wrong


def test_every_name_and_synonym_of_the_catalogue_finds_its_own_metric_in_a_table_of_its_kind():
    wrong = {
        (metric.key, text)
        for metric in CATALOGUE.metrics.values()
        for text in (metric.key, metric.name, *metric.synonyms)
        if INDEX.rank(text, screens=metric.is_screen)[0].metric != metric.key
    }
    assert wrong == set()


@pytest.mark.parametrize(
    ("header", "landing"),
    [
        ("Elbow flexion at foot contact", "fc"),
        ("Elbow Flexion FC", "fc"),
        ("ElbowFlexSFC", "fc"),
        ("elbow flex @ foot strike", "fc"),
        ("Elbow flexion at foot plant", "fp"),
        ("elbow_flexion_FP", "fp"),
        ("Elbow flexion at landing", ""),
    ],
)
def test_every_word_for_landing_is_the_landing_metric_and_keeps_which_moment_was_said(header, landing):
    found = suggested(("Athlete", "Throw", header), ("A One", 1, 90), ("A One", 2, 92))[header]
    assert (found.metric, found.landing) == ("elbow_flexion_fp", landing)


def test_a_header_of_another_moment_is_another_metric():
    rows = (("Throw", "Elbow flexion BR", "Elbow flexion MER", "Max elbow flexion"), (1, 20, 90, 110))
    found = suggested(*rows)
    assert [found[header].metric for header in rows[0][1:]] == [
        "elbow_flexion_br",
        "elbow_flexion_mer",
        "elbow_flexion_max",
    ]


@pytest.mark.parametrize(
    ("header", "cells", "role"),
    [
        ("Athlete ID", ["P-1", "P-2"], "athlete_id"),
        ("Pitcher", ["Ada Moreno", "Ben Okafor"], "athlete_name"),
        ("Pitcher", ["P-104", "P-105"], "athlete_id"),
        ("DOB", ["2008-01-02", "2009-03-04"], "birth_date"),
        ("Session Date", ["2026-01-02", "2026-01-03"], "date"),
        ("Pitch #", [1, 2], "throw_number"),
        ("Pitch", [1, 2], "throw_number"),
        ("Pitch", ["FB", "CB"], "pitch_type"),
        ("Pitch Type", ["FB", "CB"], "pitch_type"),
        ("Effort %", [80, 100], "intent"),
        ("Mound/Flat", ["mound", "flat"], "surface"),
        ("Ball Weight (oz)", [5, 7], "ball"),
        ("Velo", [88.1, 87.9], "ball_speed"),
        ("Pitch Speed (mph)", [88.1, 87.9], "ball_speed"),
        ("Exclude", ["yes", "no"], "excluded"),
        ("Good trial", ["yes", "no"], "included"),
        ("Coach notes", ["slipped", "fine"], "comment"),
        ("Body Weight", [80, 81], "ignore"),
        ("Handedness", ["R", "L"], "ignore"),
        ("Throws", ["R", "L"], "ignore"),
        ("Throws", [1, 2], "throw_number"),
        ("Favourite colour", ["red", "blue"], "ignore"),
        ("Firmware build", [12, 12], "ignore"),
    ],
)
def test_columns_that_are_no_metric_get_their_role(header, cells, role):
    rows = [(header, "Elbow flexion FC", "Max ER"), *((cell, 90, 170) for cell in cells)]
    assert suggested(*rows)[header].role == role


def test_a_unit_in_the_header_or_in_a_row_of_units_gives_the_conversion():
    found = suggested(
        ("Throw", "Elbow flexion FC (rad)", "Stride length", "Pelvis velocity"),
        ("", "", "in", "rad/s"),
        (1, 1.6, 58, 10),
    )
    elbow, stride = found["Elbow flexion FC (rad)"], found["Stride length"]
    assert elbow.conversion.apply(math.pi / 2) == pytest.approx(90)
    assert (stride.conversion.storage_unit, stride.conversion.apply(100)) == ("m", pytest.approx(2.54))
    assert found["Pelvis velocity"].conversion.apply(math.pi) == pytest.approx(180)
    assert (elbow.unit_guessed, stride.unit_guessed) == (False, False)


@pytest.mark.parametrize(
    ("header", "numbers", "unit"),
    [
        ("Max ER", [2.97, 3.02], "rad"),
        ("Max ER", [171, 174], "deg"),
        ("Peak pelvis ang vel", [10.5, 11.2], "rad/s"),
        ("Peak pelvis ang vel", [610, 650], "deg/s"),
        ("Stride length", [1.41, 1.46], "m"),
        ("Stride length", [82, 84], "% height"),
        ("Stride length", [0.82, 0.84], "ratio"),
        ("Stride length", [141, 146], "cm"),
        ("FC to BR time", [0.14, 0.15], "s"),
        ("FC to BR time", [140, 150], "ms"),
        ("Velo", [88, 91], "mph"),
        ("Velo", [39.3, 40.1], "m/s"),
        ("Velo", [141, 145], "km/h"),
    ],
)
def test_a_missing_unit_is_guessed_from_the_size_of_the_numbers_and_marked(header, numbers, unit):
    found = suggested(("Throw", header), *((i, n) for i, n in enumerate(numbers, 1)))[header]
    assert (found.unit_text, found.unit_guessed) == (unit, True)


def test_small_angles_follow_the_unit_of_the_tables_clear_ones():
    """Half a radian of trunk tilt could be half a degree; elbows of 1.6 beside it settle it."""
    numbers = {"Elbow flexion FC": 1.6, "Max ER": 3.0, "Trunk lateral tilt BR": 0.5}
    in_radians = suggested(("Throw", *numbers), (1, *numbers.values()), (2, *numbers.values()))
    assert in_radians["Trunk lateral tilt BR"].unit_text == "rad"
    in_degrees = suggested(("Throw", *numbers), (1, 92, 172, 0.5), (2, 95, 170, 0.6))
    assert in_degrees["Trunk lateral tilt BR"].unit_text == "deg"


def test_an_adduction_column_is_offered_to_abduction_with_the_sign_turned():
    header = "Horizontal adduction FC (deg)"
    found = suggested(("Throw", header), (1, -20), (2, -22))[header]
    assert found.metric == "shoulder_horizontal_abduction_fp"
    assert found.conversion.apply(-20) == -20
    assert [offer.conversion.apply(-20) for offer in found.offers] == [20]


def test_inner_angles_are_offered_as_flexion():
    found = suggested(("Throw", "Lead knee angle BR"), (1, 148), (2, 152))["Lead knee angle BR"]
    offer = found.offers[0]
    assert offer.advised
    assert (offer.conversion.factor, offer.conversion.offset) == (-1, 180)
    assert offer.conversion.apply(148) == 32


@pytest.mark.parametrize(
    "header", ["Elbow angle FC (180 = straight)", "Elbow angle FC, straight is 180", "Included elbow angle FC"]
)
def test_a_header_that_says_where_its_zero_is_gets_the_inner_angle_offered(header):
    found = suggested(("Throw", header), (1, 90), (2, 92))[header]
    assert (found.metric, found.offers[0].advised) == ("elbow_flexion_fp", True)
    assert found.offers[0].conversion.apply(90) == 90
    assert found.offers[0].conversion.apply(85) == 95


@pytest.mark.parametrize(
    ("cells", "role"), [(("FB 1", "FB 2"), "throw_number"), (("fastball", "curveball"), "pitch_type")]
)
def test_where_a_name_means_two_things_the_cells_win_over_an_earlier_table(cells, role):
    table = layout_of(("Pitch", "Max layback"), *((cell, 171) for cell in cells))
    for earlier in ("throw_number", "pitch_type"):
        (pitch, _) = suggest_columns(table, CATALOGUE, known=[ColumnTarget("pitch", earlier)])
        assert pitch.role == role


def test_separation_with_the_sign_of_a_twist_is_offered_turned():
    """Published as trunk twist the number is negative; trunk minus pelvis rotation is positive."""
    found = suggested(("Throw", "Hip shoulder separation FC"), (1, -48.8), (2, -50.1))
    assert [o.conversion.apply(-48.8) for o in found["Hip shoulder separation FC"].offers] == [48.8]


def test_plausible_numbers_get_no_offer():
    assert suggested(("Throw", "Elbow flexion FC"), (1, 92), (2, 95))["Elbow flexion FC"].offers == ()


def test_a_unit_that_cannot_be_converted_is_said_and_not_matched_by_itself():
    header = "Stride time (deg)"
    found = suggested(("Throw", header, "Max ER"), (1, 0.6, 170))[header]
    assert found.target().role == "ignore"
    named = suggested(("Throw", "stride_time"), ("", "deg"), (1, 0.6))["stride_time"]
    assert "stride" in named.misfit.lower() or "knee lift" in named.misfit
    assert named.target().role == "ignore"


def test_two_columns_for_one_metric_are_marked_as_a_clash():
    found = suggested(("Throw", "Max ER", "Peak shldr ext rot", "Elbow flexion BR"), (1, 170, 171, 20))
    first, second = found["Max ER"], found["Peak shldr ext rot"]
    assert first.metric == second.metric == "shoulder_external_rotation_max"
    assert (first.clashes_with, second.clashes_with) == ((), (first.key,))
    assert second.target().role == "ignore"


def test_contact_and_plant_of_one_metric_stand_side_by_side():
    found = suggested(("Throw", "Elbow flexion FC", "Elbow flexion FP"), (1, 90, 95))
    assert [each.clashes_with for each in found.values()] == [(), (), ()]
    assert found["Elbow flexion FC"].target().landing == "fc"


def test_no_metric_is_suggested_twice_without_a_clash():
    headers = [row["header"] for row in CORPUS]
    layout = layout_of(("Throw", *headers), (1, *[50.0] * len(headers)))
    claims = [
        (each.metric, each.landing)
        for each in suggest_columns(layout, CATALOGUE)
        if each.role == "metric" and not each.clashes_with
    ]
    assert len(claims) == len(set(claims))


def test_alternatives_stand_beside_the_best_metric():
    found = suggested(("Throw", "Elbow flexion"), (1, 90), (2, 95))["Elbow flexion"]
    offered = [found.metric, *(each.metric for each in found.alternatives)]
    assert len(offered) == len(set(offered)) == 3
    assert {"elbow_flexion_fp"} <= set(offered)
    assert found.confidence < 0.95


def test_names_in_the_metric_column_of_a_long_table_are_matched_one_by_one():
    found = suggested(
        ("Athlete", "Throw", "Metric", "Value", "Unit"),
        ("A One", 1, "Max ER", 3.0, "rad"),
        ("A One", 1, "Stride length", 58, "in"),
        ("A One", 1, "Mood", 5, ""),
    )
    assert found["Metric"].role == "metric_name"
    assert found["Value"].role == "metric_value"
    assert found["Unit"].role == "metric_unit"
    assert found["Max ER"].in_metric_column
    assert found["Max ER"].metric == "shoulder_external_rotation_max"
    assert found["Stride length"].conversion.storage_unit == "m"
    assert found["Mood"].role == "ignore"


def test_an_earlier_decision_wins_over_the_words():
    known = [ColumnTarget("max er", "metric", "elbow_flexion_max", 1.0, 0.0, "deg", "deg")]
    found = suggested(("Throw", "Max ER"), (1, 120), known=known)["Max ER"]
    assert (found.metric, found.why, found.confidence) == ("elbow_flexion_max", ("known",), 1.0)


def test_case_order_and_punctuation_of_a_header_do_not_matter():
    forms = ["Lead knee flexion BR", "lead_knee_flexion_br", "LEAD KNEE FLEXION - BR", "BR: flexion, lead knee"]
    assert len({(read_header(form).tokens, read_header(form).moment) for form in forms}) == 1


@pytest.mark.parametrize(
    ("header", "name", "unit"),
    [
        ("Elbow flexion (deg)", "Elbow flexion", "deg"),
        ("Elbow flexion [°] FC", "Elbow flexion FC", "°"),
        ("elbow_flexion_deg", "elbow_flexion", "deg"),
        ("pelvis_vel_deg_s", "pelvis_vel", "deg/s"),
        ("stride_length_m", "stride_length", "m"),
        ("stride_length_pct_height", "stride_length", "pct height"),
        ("Elbow flexion (FC)", "Elbow flexion (FC)", ""),
        ("Release height", "Release height", ""),
    ],
)
def test_units_are_taken_off_headers(header, name, unit):
    assert split_unit(header) == (name, unit)
