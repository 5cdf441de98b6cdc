"""The list of screens that a person enters: each once, with its sides, and never what follows from others."""

import csv
from pathlib import Path

import pytest

from metrics.catalogue import BadCatalogue, load_catalogue
from metrics.catalogue.loader import DATA_FOLDER
from metrics.catalogue.screen_form import (
    CLASS_WORDS,
    SCREEN_FORM_FILE,
    is_entered,
    load_screen_form,
    read_screen_form,
    worked_out_from,
)

ROWS = list(csv.reader((DATA_FOLDER / SCREEN_FORM_FILE).read_text(encoding="utf-8").splitlines()))


def written(path: Path, rows: list[list[str]]) -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    return path


def test_every_screen_that_is_no_consequence_stands_once():
    keys = [key for one in load_screen_form().screens for key in one.keys]
    assert sorted(keys) == sorted(metric.key for metric in load_catalogue().screens if is_entered(metric))


def test_what_follows_from_other_screens_or_the_person_is_not_entered():
    metrics = load_catalogue().metrics
    for key in ("shoulder_total_arc_deficit", "grip_strength_ratio", "bmi", "height_velocity", "workload_7_days"):
        assert not is_entered(metrics[key])


def test_the_sides_of_a_screen_are_throwing_before_other_and_front_before_back():
    metrics = load_catalogue().metrics
    for one in load_screen_form().screens:
        sides = tuple(metrics[key].side for key in one.keys)
        assert sides in {("throwing", "other"), ("front", "back"), ("throwing",), ("front",), ("back",), ("",)}
        assert len({metrics[key].unit for key in one.keys}) == 1
        assert len({(metrics[key].plausible_low, metrics[key].plausible_high) for key in one.keys}) == 1


def test_every_entered_screen_has_a_plausible_span():
    metrics = load_catalogue().metrics
    for one in load_screen_form().screens:
        assert all(metrics[key].plausible_low is not None for key in one.keys)
        assert all(metrics[key].plausible_high is not None for key in one.keys)


def test_classes_are_called_as_the_catalogue_calls_them():
    for key, words in CLASS_WORDS.items():
        metric = load_catalogue().metric(key)
        assert metric.plausible_high == len(words) - 1
        assert all(f"{place} {word}" in metric.how_measured for place, word in enumerate(words))


FORMULAS = {
    "shoulder_total_arc_throwing": "sum",
    "shoulder_total_arc_deficit": "difference",
    "shoulder_ir_deficit": "difference",
    "elbow_extension_deficit": "difference",
    "hip_total_arc_back": "sum",
    "thoracic_rotation_asymmetry": "difference",
    "grip_strength_ratio": "percent",
    "leg_strength_ratio": "percent",
}


@pytest.mark.parametrize("key", FORMULAS)
def test_the_page_works_out_what_the_catalogue_says(key):
    """By the catalogue's own words for each: plus, minus, against."""
    metric = load_catalogue().metric(key)
    assert metric.formula == FORMULAS[key]


def test_a_worked_out_screen_needs_all_its_parts_at_any_depth():
    both = ["shoulder_ir_90_throwing", "shoulder_ir_90_other", "shoulder_er_90_throwing", "shoulder_er_90_other"]
    assert "shoulder_total_arc_deficit" in {one.key for one in worked_out_from(both)}
    assert {one.key for one in worked_out_from(both[:3])} == {"shoulder_total_arc_throwing", "shoulder_ir_deficit"}


FAULTS = {
    "a key of no screen": (2, 4, "elbow_flexion_fp", "which is no screen that a person enters"),
    "a worked-out key": (2, 4, "shoulder_ir_deficit", "which is no screen that a person enters"),
    "an unknown part": (2, 1, "tail", "known are shoulder"),
    "a screen twice": (2, 4, "hip_ir_front hip_ir_back", "each entered screen stands here once"),
    "a place twice": (2, 5, "1", "numbered 1 to 12"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_faulty_list_is_refused_with_its_fault(tmp_path, fault):
    row, column, text, sentence = FAULTS[fault]
    rows = [list(one) for one in ROWS]
    rows[row][column] = text
    with pytest.raises(BadCatalogue, match=sentence):
        read_screen_form(written(tmp_path / SCREEN_FORM_FILE, rows), load_catalogue())
