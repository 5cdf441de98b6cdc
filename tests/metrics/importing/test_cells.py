"""Numbers and dates as tables write them. Expected values are read off by hand."""

import datetime as dt
import math

import pytest

from metrics.importing.cells import (
    AMBIGUOUS_DATE,
    DATE_IN_PLACE_OF_NUMBER,
    NOT_A_DATE,
    NOT_A_NUMBER,
    NOT_FINITE,
    Unreadable,
    guess_date_order,
    is_missing,
    parse_date,
    parse_number,
    text_of,
)


@pytest.mark.parametrize(
    ("cell", "mark", "expected"),
    [
        (12.5, ".", 12.5),
        ("12.5", ".", 12.5),
        ("12,5", ",", 12.5),
        ("12,5", ".", 12.5),
        ("−12.5", ".", -12.5),
        ("1,234.5", ".", 1234.5),
        ("1.234,5", ",", 1234.5),
        ("1,234", ".", 1234.0),
        ("1,234", ",", 1.234),
        ("1 234,5", ",", 1234.5),
        ("88°", ".", 88.0),
        ("1e2", ".", 100.0),
    ],
)
def test_numbers_are_read_with_either_decimal_mark(cell, mark, expected):
    assert parse_number(cell, mark) == expected


@pytest.mark.parametrize("cell", [None, "", "  ", "-", "n/a", "NaN", "#N/A", math.nan])
def test_missing_cells_are_absent_and_no_error(cell):
    assert is_missing(cell)
    assert parse_number(cell) is None
    assert parse_date(cell) is None


@pytest.mark.parametrize("cell", ["#DIV/0!", "not measured", "invalid"])
def test_words_for_missing_are_missing_where_a_number_is_expected(cell):
    assert parse_number(cell) is None
    assert not is_missing(cell)


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("inf", NOT_FINITE),
        ("-∞", NOT_FINITE),
        (math.inf, NOT_FINITE),
        ("1e999", NOT_FINITE),
        ("eighty", NOT_A_NUMBER),
        ("1_000", NOT_A_NUMBER),
        ("1.2.3", NOT_A_NUMBER),
        (True, NOT_A_NUMBER),
        (dt.date(2026, 3, 4), DATE_IN_PLACE_OF_NUMBER),
    ],
)
def test_what_is_no_number_says_why(cell, code):
    assert parse_number(cell) == Unreadable(code)


@pytest.mark.parametrize(
    ("cell", "order", "expected"),
    [
        ("2026-03-04", "unknown", dt.date(2026, 3, 4)),
        ("2026/3/4", "mdy", dt.date(2026, 3, 4)),
        ("20260304", "unknown", dt.date(2026, 3, 4)),
        (20260304.0, "unknown", dt.date(2026, 3, 4)),
        ("2026-03-04T18:30:00Z", "unknown", dt.date(2026, 3, 4)),
        ("03/04/2026", "mdy", dt.date(2026, 3, 4)),
        ("03/04/2026", "dmy", dt.date(2026, 4, 3)),
        ("3.4.26", "dmy", dt.date(2026, 4, 3)),
        ("04/04/2026", "unknown", dt.date(2026, 4, 4)),
        ("25/12/2025", "unknown", dt.date(2025, 12, 25)),
        ("12/25/2025 10:15", "unknown", dt.date(2025, 12, 25)),
        ("4 Mar 2026", "unknown", dt.date(2026, 3, 4)),
        ("March 4, 2026", "unknown", dt.date(2026, 3, 4)),
        ("04-Mar-26", "unknown", dt.date(2026, 3, 4)),
        (dt.datetime(2026, 3, 4, 23, 59), "unknown", dt.date(2026, 3, 4)),
        (dt.date(2026, 3, 4), "unknown", dt.date(2026, 3, 4)),
        ("7/8/69", "mdy", dt.date(1969, 7, 8)),
        ("7/8/68", "mdy", dt.date(2068, 7, 8)),
    ],
)
def test_dates_are_read_in_the_order_of_the_recipe(cell, order, expected):
    assert parse_date(cell, order) == expected


@pytest.mark.parametrize(
    ("cell", "order", "code"),
    [
        ("03/04/2026", "unknown", AMBIGUOUS_DATE),
        ("25/12/2025", "mdy", NOT_A_DATE),
        ("2026-02-30", "unknown", NOT_A_DATE),
        ("soon", "unknown", NOT_A_DATE),
        (7.0, "unknown", NOT_A_DATE),
    ],
)
def test_what_is_no_date_says_why(cell, order, code):
    assert parse_date(cell, order) == Unreadable(code)


@pytest.mark.parametrize(
    "text",
    [
        "12. März 2026",
        "12 Mrz 2026",
        "12 Maerz 2026",
        "12 de marzo de 2026",
        "12 mars 2026",
        "March 12, 2026",
        "12-Mar-26",
    ],
)
def test_months_are_known_by_their_names(text):
    assert parse_date(text) == dt.date(2026, 3, 12)


@pytest.mark.parametrize(
    ("names", "month"),
    [
        ("January Januar enero janvier", 1),
        ("February Februar febrero février", 2),
        ("April April abril avril", 4),
        ("May Mai mayo mai", 5),
        ("June Juni junio juin", 6),
        ("July Juli julio juillet", 7),
        ("August August agosto août", 8),
        ("September September septiembre septembre", 9),
        ("October Oktober octubre octobre", 10),
        ("November November noviembre novembre", 11),
        ("December Dezember diciembre décembre", 12),
    ],
)
def test_every_month_has_its_name_in_four_languages(names, month):
    assert {parse_date(f"3 {name} 2026") for name in names.split()} == {dt.date(2026, month, 3)}


def test_a_word_that_is_no_month_is_no_date():
    assert parse_date("12 Throws 2026") == Unreadable(NOT_A_DATE)


def test_the_date_order_is_taken_from_the_dates_that_allow_only_one():
    assert guess_date_order(["03/04/2026", "25/04/2026"]) == "dmy"
    assert guess_date_order(["03/04/2026", "03/25/2026"]) == "mdy"
    assert guess_date_order(["03/04/2026", "05/06/2026"]) == "unknown"
    assert guess_date_order(["2026-03-04", dt.date(2026, 3, 5), None]) == "ymd"


def test_whole_numbers_read_as_text_have_no_decimals():
    assert text_of(12.0) == "12"
    assert text_of(" A-7 ") == "A-7"
