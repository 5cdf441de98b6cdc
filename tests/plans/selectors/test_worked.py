"""What the order of suggestions is told of others here, and of the athlete alone."""

from __future__ import annotations

import pytest
from django.core.cache import cache

from plans.library import WorkedHere
from plans.library.words import OUTCOMES
from plans.responding.shares import wilson
from plans.responding.values import ResponseWord
from plans.selectors.worked import OUTCOME_OF, kept_table, tried_by, worked_here
from plans.services.follow_ups import close_follow_up
from plans.services.works_here import work_out_table
from tests.factories import AthleteFactory
from tests.plans.conftest import METRIC
from tests.plans.roster import CLEARED, KEY, SAME, WORSE, roster, worked

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


@pytest.fixture(autouse=True)
def no_table():
    cache.clear()
    yield
    cache.clear()


def test_before_it_is_worked_out_nothing_is_said():
    roster(better=5)
    assert (worked_here(), kept_table()) == ({}, None)


def test_the_table_is_kept_with_its_moment(clock):
    roster(better=3, same=2)
    work_out_table()
    assert worked_here() == {(KEY, (METRIC, "low")): WorkedHere(5, 3, wilson(3, 5).low)}
    assert kept_table().at == clock.now


def test_it_stays_as_it_was_until_it_is_worked_out_again():
    roster(better=5)
    work_out_table()
    roster(same=1)
    assert worked_here()[KEY, (METRIC, "low")].athletes == 5
    work_out_table()
    assert worked_here()[KEY, (METRIC, "low")].athletes == 6


def test_of_four_athletes_nothing_is_said():
    roster(better=4)
    work_out_table()
    assert worked_here() == {}


def test_reading_it_asks_no_database(django_assert_num_queries):
    roster(better=5)
    work_out_table()
    with django_assert_num_queries(0):
        worked_here()


@pytest.mark.parametrize(("later", "word"), [(CLEARED, "better"), (SAME, "no_change"), (WORSE, "worse")])
def test_what_an_athlete_tried_is_told_in_the_words_of_the_library(later, word):
    assert tried_by(worked(later).athlete) == {KEY: word}


def test_every_word_that_says_something_has_one_of_the_library():
    assert set(OUTCOME_OF) == set(ResponseWord) - {ResponseWord.NOT_COMPARABLE}
    assert set(OUTCOME_OF.values()) == set(OUTCOMES)


def test_a_decided_response_is_what_was_decided(coach):
    given = worked(CLEARED)
    close_follow_up(follow_up=given.follow_ups.get(), seen=0, by=coach)
    assert tried_by(given.athlete) == {KEY: "better"}


def test_what_was_never_measured_was_not_tried():
    assert tried_by(worked(None).athlete) == {}
    assert tried_by(AthleteFactory()) == {}
