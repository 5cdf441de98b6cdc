"""docs/throwing-load.md: its examples are what the code says, and its numbers those of the table."""

from __future__ import annotations

import datetime
import re

import pytest

from plans.throwing_load import innings_limit, load_guideline, load_words
from tests.plans.throwing_load.logs import opening, rest_is_full, threw
from tests.source import CHECKOUT

PAGE = (CHECKOUT / "docs/throwing-load.md").read_text(encoding="utf-8")
ROW = re.compile(r"^\| (\d+) \| (\d+) \| (Tuesday|Wednesday) \| (.+) \|$", re.MULTILINE)
EXAMPLES = ROW.findall(PAGE)


def test_the_page_has_its_examples():
    assert len(EXAMPLES) == 8


@pytest.mark.parametrize(("age", "pitches", "read_on", "sentence"), EXAMPLES)
def test_an_example_of_the_page_is_what_the_code_says(age, pitches, read_on, sentence):
    on = {"Tuesday": 24, "Wednesday": 25}[read_on]
    counts = rest_is_full(threw(24, int(pitches)), on=on)
    found = opening(*counts, on=on, born=datetime.date(2026 - int(age), 3, 1))

    assert load_words(found, load_guideline()).main == sentence


def test_what_the_page_says_is_from_memory_is_from_memory_in_the_table():
    recalled = [
        (band.age_min, band.age_max, row.pitches_min, row.pitches_max, row.rest_days)
        for band in load_guideline().bands
        for row in band.rows
        if row.is_from_memory
    ]

    assert recalled == [(19, 22, 81, 105, 4), (19, 22, 106, 120, 5)]
    assert "ages 19 to 22, above 80 pitches: four days to 105, five above" in PAGE


def test_the_innings_of_the_page_are_those_of_the_code():
    assert "at most 60 to age 8, 80 at 9 to 12, 100 at 13 and 14" in " ".join(PAGE.split())
    assert [innings_limit(age) for age in (8, 9, 12, 13, 14)] == [60, 80, 80, 100, 100]
