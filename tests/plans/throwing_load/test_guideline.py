"""The published charts: every row as the house's reference holds it, every age, every number of pitches."""

from __future__ import annotations

import csv
import datetime

import pytest

from plans.throwing_load import BadGuideline, Chart, load_guideline, read_guidelines
from plans.throwing_load.guideline import FILE
from tests.source import CHECKOUT

REFERENCE = CHECKOUT / "tests/reference/data/pitch_count_guidelines.csv"


def reference_rows() -> list[dict[str, str]]:
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def chart_of(row: dict[str, str]) -> Chart:
    """Told by the words of the source, not by the package's own column."""
    if "Canadian" in row["source"]:
        return Chart.CANADIAN
    return Chart.ABOUT_2015 if "about 2015" in row["source"] else Chart.CURRENT


def row_name(row: dict[str, str]) -> str:
    return f"{chart_of(row)}-{row['age_min']}-{row['pitches_min']}"


def test_the_reference_is_there():
    assert len(reference_rows()) == 72


@pytest.mark.parametrize("row", reference_rows(), ids=row_name)
def test_every_row_of_the_reference_is_what_the_guideline_answers(row):
    """For each age of the row, at its fewest and its most pitches."""
    guideline = load_guideline(chart_of(row))

    for age in range(int(row["age_min"]), int(row["age_max"]) + 1):
        band = guideline.band_for(age)
        assert band.daily_max == int(row["daily_max"])
        for pitches in (int(row["pitches_min"]), int(row["pitches_max"])):
            found = band.row_for(pitches)
            assert found.rest_days == int(row["rest_days"])
            assert found.source == row["source"]
            assert found.is_from_memory == (row["status"] == "memory")


def test_the_shipped_table_holds_no_row_that_the_reference_does_not():
    with FILE.open(encoding="utf-8", newline="") as file:
        shipped = list(csv.DictReader(file))

    assert [{name: cell for name, cell in row.items() if name != "chart"} for row in shipped] == reference_rows()


# (age, daily maximum, and the first number of pitches that asks for 1, 2, 3, 4, 5 days), typed from the reference.
CURRENT = [
    (7, 50, (21, 36)),
    (8, 50, (21, 36)),
    (9, 75, (21, 36, 51, 66)),
    (12, 85, (21, 36, 51, 66)),
    (14, 95, (21, 36, 51, 66)),
    (15, 95, (31, 46, 61, 76)),
    (18, 105, (31, 46, 61, 81)),
    (22, 120, (31, 46, 61, 81, 106)),
]


@pytest.mark.parametrize(("age", "most", "steps"), CURRENT, ids=lambda one: str(one))
def test_rest_by_every_number_of_pitches(age, most, steps):
    band = load_guideline().band_for(age)

    assert band.daily_max == most
    for pitches in range(1, most + 1):
        assert band.row_for(pitches).rest_days == sum(pitches >= step for step in steps)


@pytest.mark.parametrize("age", [0, 6, 23, 40])
def test_an_age_without_a_row_has_no_band(age):
    assert load_guideline().band_for(age) is None


def test_the_replaced_chart_knows_only_the_ages_that_the_reference_keeps():
    assert load_guideline(Chart.ABOUT_2015).ages == (17, 22)
    assert load_guideline(Chart.ABOUT_2015).band_for(16) is None
    assert load_guideline(Chart.ABOUT_2015).band_for(17).row_for(76).rest_days == 4
    assert load_guideline(Chart.CURRENT).band_for(17).row_for(76).rest_days == 3


def test_no_pitch_asks_for_nothing_and_too_many_for_the_last_row():
    band = load_guideline().band_for(8)

    assert band.row_for(0) is None
    assert band.row_for(51) is band.rows[-1]


def test_the_day_before_the_birthday_is_another_age():
    born = datetime.date(2011, 11, 24)
    guideline = load_guideline()

    assert guideline.age_on(born, datetime.date(2026, 11, 23)) == 14
    assert guideline.age_on(born, datetime.date(2026, 11, 24)) == 15


def test_the_canadian_chart_goes_by_the_calendar_year():
    born = datetime.date(2011, 12, 31)

    assert load_guideline(Chart.CANADIAN).age_on(born, datetime.date(2026, 1, 1)) == 15
    assert load_guideline(Chart.CURRENT).age_on(born, datetime.date(2026, 1, 1)) == 14


def test_born_on_29_february_turns_older_on_1_march_of_a_common_year():
    born = datetime.date(2016, 2, 29)

    assert load_guideline().age_on(born, datetime.date(2027, 2, 28)) == 10
    assert load_guideline().age_on(born, datetime.date(2027, 3, 1)) == 11


@pytest.mark.parametrize("chart", Chart)
def test_a_day_before_the_birth_is_refused(chart):
    with pytest.raises(ValueError, match="before the birth"):
        load_guideline(chart).age_on(datetime.date(2026, 11, 24), datetime.date(2026, 11, 23))


HEAD = "chart,age_min,age_max,daily_max,rest_days,pitches_min,pitches_max,source,status\n"
GOOD = HEAD + "current,7,8,50,0,1,20,a chart,verified\ncurrent,7,8,50,1,21,50,a chart,verified\n"


def test_a_table_of_ones_own_is_read():
    assert read_guidelines(GOOD)[Chart.CURRENT].band_for(7).row_for(21).rest_days == 1


@pytest.mark.parametrize(
    ("found", "written", "sentence"),
    [
        ("chart,age_min", "age_min,chart", "the head must be"),
        ("1,21,50", "1,22,50", "without a gap"),
        ("1,21,50", "1,20,50", "without a gap"),
        ("1,21,50", "1,21,49", "from 1 to 50"),
        ("1,21,50", "0,21,50", "rest rising"),
        ("1,21,50", "1,21,many", "row 3"),
        ("current,7,8,50,1", "local,7,8,50,1", "known chart"),
        ("1,21,50,a chart", "1,21,50,", "give a source"),
        ("50,a chart,verified", "50,a chart,heard", "verified or memory"),
    ],
)
def test_a_table_that_does_not_hold_together_is_refused(found, written, sentence):
    assert found in GOOD
    with pytest.raises(BadGuideline, match=sentence):
        read_guidelines(GOOD.replace(found, written))


@pytest.mark.parametrize("ages", ["8,9", "10,11"])
def test_an_age_in_two_bands_or_in_none_is_refused(ages):
    with pytest.raises(BadGuideline, match="one band, none between"):
        read_guidelines(GOOD + f"current,{ages},75,0,1,75,a chart,verified\n")
