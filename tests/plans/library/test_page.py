"""docs/interventions.md lists what the data holds, and counts it rightly."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from plans.library.checks import MOST_MINUTES
from plans.library.model import REPETITION_S, REST_S, THROW_S
from plans.library.page import tables_by_kind
from plans.library.words import BAND_WORDS
from tests.plans.library.test_reference_rows import BY_ITS_CAUSE, NEVER_WORKED_ON, NOT_MAPPED
from tests.source import CHECKOUT

MARK = "<!-- tables -->\n"


@pytest.fixture(scope="module")
def page():
    return (CHECKOUT / "docs/interventions.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def words(page):
    return " ".join(page.split(MARK)[0].split())


def test_the_tables_are_those_of_the_data(page, library):
    """To write them anew: everything after the mark is `tables_by_kind(load_library())`."""
    assert page.split(MARK)[1].strip() == tables_by_kind(library).strip()


def test_every_intervention_stands_in_a_table_once(page, library):
    rows = re.findall(r"^\| ([^|]+) \|", page.split(MARK)[1], re.MULTILINE)
    assert sorted(row for row in rows if row not in ("what", "---")) == sorted(one.name for one in library)


def test_the_counts_of_kinds_and_statuses(words, library):
    kinds, statuses = Counter(one.kind for one in library), Counter(one.status for one in library)
    assert (
        f"The library has {len(library)} interventions: {kinds['mobility']} mobility, {kinds['strength']} strength, "
        f"{kinds['drill']} drills, {kinds['referral']} referrals. {statuses['published']} are *published*"
    ) in words
    assert f"{statuses['common_practice']} are common practice" in words
    assert sum(statuses.values()) == statuses["published"] + statuses["common_practice"]


def test_the_seconds_that_minutes_are_made_of(words):
    assert f"A repetition counts {REPETITION_S} s, a rest between sets {REST_S} s, a throw {THROW_S} s" in words
    assert f"within {MOST_MINUTES} minutes a day" in words


def test_the_bands_of_age(words):
    *first, last = BAND_WORDS.values()
    assert f"The bands of age are {', '.join(first)}, and {last}." in words


def test_what_the_reference_named_and_the_library_does_not(words):
    numbers = {4: "Four", 9: "Nine"}
    assert f"{numbers[len(NEVER_WORKED_ON)]} of the reference's rows also named a load or a style" in words
    assert f"{numbers[len(BY_ITS_CAUSE)]} are reached over a cause link" in words
    assert {key for _, key in NOT_MAPPED} == {"throwing_pain"}
