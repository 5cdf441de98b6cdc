"""German, Spanish and French headers come out in English words; English ones stay as they are."""

from __future__ import annotations

import csv
from importlib.resources import files

import pytest

from metrics.importing.languages import english_words, fold, in_english
from metrics.importing.units import parse_unit
from metrics.importing.words import read_header


@pytest.mark.parametrize(
    ("text", "english"),
    [
        ("Beckenrotationsgeschwindigkeit", "pelvis rotation velocity"),
        ("Hüftbeugung", "hip flexion"),
        ("Hueftbeugung", "hip flexion"),
        ("Rumpfrotation bei Fußaufsatz", "trunk rotation foot plant"),
        ("flexión de codo en el contacto del pie", "flexion elbow foot contact"),
        ("vitesse angulaire maximale du bassin", "angular velocity max pelvis"),
        ("elbow flexion", "elbow flexion"),
    ],
)
def test_words_and_compounds_are_put_into_english(text, english):
    assert in_english(text) == english


@pytest.mark.parametrize("word", ["Kugelstoßen", "Beckenbauer", "Schulterblick", "xyzflexion"])
def test_a_compound_with_an_unknown_part_stays_whole(word):
    assert in_english(word) == fold(word)


def test_an_endless_word_is_no_compound():
    assert in_english("knie" * 50_000) == "knie" * 50_000


def test_no_word_of_the_english_vocabularies_is_changed():
    """Else an English header would be read as another one. D.O.B. is met before languages are asked."""
    for name, column in (("words.csv", "phrases"), ("roles.csv", "names")):
        text = files("metrics.importing").joinpath(name).read_text(encoding="utf-8")
        phrases = {phrase for row in csv.DictReader(text.splitlines()) for phrase in row[column].split("|")}
        changed = {p for p in phrases - {"d o b"} if english_words(tuple(p.split())) != tuple(p.split())}
        assert changed == set()


@pytest.mark.parametrize(
    ("unit", "canonical"),
    [("Grad", "deg"), ("grados", "deg"), ("degrés", "deg"), ("% Körpergröße", "% height"), ("Sekunden", "s")],
)
def test_units_are_read_in_other_languages(unit, canonical):
    assert parse_unit(unit).canonical == canonical


def test_one_header_in_four_languages_says_the_same():
    headers = (
        "Elbow flexion at foot contact (deg)",
        "Ellenbogenbeugung bei Fußkontakt (Grad)",
        "Flexión de codo en el contacto del pie (grados)",
        "Flexion du coude au contact du pied (degrés)",
    )
    assert len({(read_header(header).tokens, read_header(header).moment) for header in headers}) == 1
