"""A file that breaks the schema is answered in a sentence that names file, entry and field."""

from __future__ import annotations

import pytest

from metrics.catalogue.causes import load_interventions
from plans.library import BadLibrary, library_version, load_library, read_library

ROW = load_interventions()[0]
TEXT = f"""
[[intervention]]
key = "{ROW.key}"
instructions = ["Stand at a wall.", "Lean in.", "Hold it there."]
cautions = ["Stop when it hurts."]
effort = "low"
load = "none"
has_throws = false
doses.13_15 = {{ sets = [2, 2], seconds = [30, 30], days = [5, 7], supervision = "alone", basis = "house" }}
doses.adult = {{ sets = [3, 3], seconds = [30, 30], days = [7, 7], supervision = "alone", basis = "reference" }}
doses.16_18 = {{ sets = [3, 3], seconds = [30, 30], days = [7, 7], supervision = "alone", basis = "reference" }}
"""


def test_a_library_is_read_and_joined_with_the_catalogues_row():
    (one,) = read_library(TEXT, [ROW])
    assert (one.name, one.kind, one.answers, one.source) == (ROW.name, ROW.kind, ROW.answers, ROW.source)
    assert one.instructions == ("Stand at a wall.", "Lean in.", "Hold it there.")
    assert list(one.doses) == ["13_15", "16_18", "adult"]
    assert one.doses["13_15"].days == (5, 7)
    assert not one.has_impact


FAULTS = {
    "no TOML": ('key = "', "key = ", "not readable as TOML"),
    "another table": ("[[intervention]]", "[other]\n[[intervention]]", "unknown field other"),
    "no key": (f'key = "{ROW.key}"', "", "intervention 1, key: text is needed"),
    "an unknown key": (ROW.key, "jump_rope", f"nothing is said of {ROW.key}"),
    "a missing field": ('effort = "low"', "", f"{ROW.key}, effort: the field is missing"),
    "an unknown field": ('effort = "low"', 'effort = "low"\ncolour = "red"', "colour: no such field"),
    "a switch in words": ("has_throws = false", 'has_throws = "no"', "has_throws: true or false is needed"),
    "a text that is a number": ('load = "none"', "load = 0", "load: text is needed"),
    "one text for a list": (
        'cautions = ["Stop when it hurts."]',
        'cautions = "Stop."',
        "cautions: a list of sentences",
    ),
    "an unknown band": ("doses.adult", "doses.elders", "doses, elders: not one of under_13"),
    "doses in a list": ("doses.13_15 = {", "doses.13_15 = 3 #", "doses.13_15: a table is needed"),
    "a lone number": ("sets = [2, 2]", "sets = 2", "doses.13_15, sets: two whole numbers are needed"),
    "half a set": ("sets = [2, 2]", "sets = [1.5, 2]", "doses.13_15, sets: two whole numbers are needed"),
    "a truth for a number": ("sets = [2, 2]", "sets = [true, 2]", "doses.13_15, sets: two whole numbers are needed"),
    "moves in words": ("sets = [2, 2]", 'sets = [2, 2], moves = "two"', "moves: a whole number is needed"),
    "a dose of zero": ("sets = [2, 2]", "sets = [0, 0]", "0 sets is no dose"),
    "phases in a list": ('effort = "low"', 'effort = "low"\nnot_in = ["rest"]', "not_in: a table of season phases"),
    "what the catalogue says": ('effort = "low"', 'effort = "low"\nname = "Reach"', "name: the catalogue's table says"),
    "an empty caution": ('"Stop when it hurts."', '""', "cautions: text is needed"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_bad_file_is_answered_in_words(fault):
    old, new, expected = FAULTS[fault]
    assert old in TEXT
    with pytest.raises(BadLibrary) as caught:
        read_library(TEXT.replace(old, new, 1), [ROW], "interventions.toml")
    assert str(caught.value).startswith("interventions.toml")
    assert expected in str(caught.value)


def test_an_entry_that_stands_twice_is_refused():
    with pytest.raises(BadLibrary, match="stands twice"):
        read_library(TEXT + TEXT, [ROW])


def test_an_entry_that_the_catalogue_lacks_is_refused():
    with pytest.raises(BadLibrary, match="the catalogue has no intervention jump_rope"):
        read_library(TEXT + TEXT.replace(ROW.key, "jump_rope"), [ROW])


def test_a_file_of_nothing_is_refused():
    with pytest.raises(BadLibrary, match="holds no"):
        read_library("", [ROW])


def test_the_shipped_library_is_read_once_and_has_one_version():
    assert load_library() is load_library()
    assert library_version() == library_version()
    assert len(library_version()) == 12
