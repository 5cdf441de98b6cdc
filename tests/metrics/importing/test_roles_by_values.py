"""Who, when and which throw under headers that no list holds: the cells speak."""

import pytest

from metrics.catalogue import load_catalogue
from metrics.importing.matching import suggest_columns
from metrics.importing.roles import guess_role_by_values
from sessions.formats import read_layouts

NAMES = ["Tove Marrin", "Tove Marrin", "Ikem Doull", "Ikem Doull"]


def role(values) -> str:
    guess = guess_role_by_values(values)
    return guess.role if guess else ""


@pytest.mark.parametrize("dates", [["14.10.2026"] * 4, ["3/31/2026"] * 4, ["2026-10-14"] * 4])
def test_dates_are_dates_in_any_order(dates):
    assert role(dates) == "date"


def test_repeated_words_with_capitals_are_names():
    assert role(NAMES) == "athlete_name"
    assert role(["Marrin, Tove", "Marrin, Tove", "Doull, Ikem"]) == "athlete_name"


def test_numbers_that_rise_by_one_are_throw_numbers():
    assert role([1.0, 2.0, 3.0, 4.0, 1.0, 2.0, 3.0, 4.0]) == "throw_number"


@pytest.mark.parametrize(
    "values",
    [
        [88.1, 90.2, 91.4, 92.0],  # a metric
        [2024.0, 2025.0, 2026.0, 2027.0],  # years
        [3.0, 4.0, 5.0, 6.0],  # rises, but does not begin a session
        ["slipped", "good", "good", "good"],
        ["fastball", "curveball", "fastball", "fastball"],
        ["Good Throw", "Bad Throw", "Slow Throw", "Long Throw"],  # each another: a remark, no name
        [None, None, None, None],
        ["14.10.2026"],  # too few to say
    ],
)
def test_other_cells_say_nothing(values):
    assert role(values) == ""


def test_a_table_in_another_language_is_matched_by_its_cells():
    text = "Spieler;Datum;Wurf;Elbow flexion FC [deg]\n" + "".join(
        f"Tove Marrin;14.10.2026;{n};{90 + n},5\n" for n in range(1, 7)
    )
    (layout,) = read_layouts(text.encode(), "walk.csv").layouts
    found = {each.header: each.role for each in suggest_columns(layout, load_catalogue())}
    assert found == {
        "Spieler": "athlete_name",
        "Datum": "date",
        "Wurf": "throw_number",
        "Elbow flexion FC [deg]": "metric",
    }


def test_a_name_that_is_known_stands_before_what_cells_suggest():
    text = "Birthday,Date,Throw,Elbow flexion FC (deg)\n" + "".join(
        f"2001-05-04,2026-03-02,{n},{90 + n}\n" for n in range(1, 7)
    )
    (layout,) = read_layouts(text.encode(), "room.csv").layouts
    found = {each.header: (each.role, each.clashes_with) for each in suggest_columns(layout, load_catalogue())}
    assert found["Date"] == ("date", ())
    assert found["Birthday"][0] == "birth_date" or found["Birthday"][1]
