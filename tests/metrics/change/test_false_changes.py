"""Athletes who never change: how often the page says that they did, cell by cell."""

from __future__ import annotations

import numpy as np
import pytest

from bench.null_changes import (
    BETWEEN,
    CASES,
    THROWS,
    called_changed,
    false_answers,
    false_changes,
    margin,
    unchanged,
)
from metrics.change.pair import change_between

ATHLETES = 400_000
CELLS = [(throws, between) for throws in THROWS for between in BETWEEN]


@pytest.mark.parametrize(("throws", "between"), CELLS)
def test_at_most_six_percent_when_true_spreads_vary_as_the_steadying_assumes(throws, between):
    share = false_changes(CASES["SDs vary as assumed"], throws, between, athletes=ATHLETES, number=1)

    assert 0.045 < share <= 0.06


@pytest.mark.parametrize(("throws", "between"), CELLS)
def test_at_most_five_percent_when_all_spreads_are_the_catalogues(throws, between):
    share = false_changes(CASES["all equal s0"], throws, between, athletes=ATHLETES, number=1)

    assert share <= 0.05 + margin(ATHLETES)


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize(("throws", "between"), CELLS)
def test_the_arrays_decide_as_the_package_does(case, throws, between):
    drawn = unchanged(CASES[case], throws, between, sessions=2, athletes=60, number=5)

    theirs = [change_between(then, now).is_real for then, now in drawn.measurements()]

    assert list(called_changed(drawn)) == theirs


def test_spreads_are_drawn_as_throws_would_give_them():
    drawn = unchanged(CASES["all equal s0"], 5, 0.5, sessions=2, athletes=200_000, number=1)

    assert np.mean(drawn.sd**2) == pytest.approx(1.0, abs=0.01)
    assert np.var(drawn.mean) == pytest.approx(1 / 5 + 0.25, abs=0.01)


@pytest.mark.parametrize("sessions", [2, 4, 5, 6, 8, 10, 12, 41])
def test_the_pages_one_word_calls_at_most_six_percent_changed(sessions):
    """2,500 athletes a cell; 1.3 points are three Monte Carlo SD."""
    assert false_answers(sessions, athletes=2500, number=1) <= 0.055 + margin(2500)
