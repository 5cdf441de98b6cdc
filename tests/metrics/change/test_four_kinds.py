"""Four kinds of athlete, and whether the page's own words tell them apart."""

from __future__ import annotations

from functools import cache

import pytest

from bench.four_kinds import (
    GROWS,
    IMPROVES,
    RIGHT,
    RISES,
    WOBBLES,
    called_changed,
    limits_on,
    matrix,
    said_of,
    share_right,
)
from metrics.change.answer import Moved
from metrics.change.values import Word


@cache
def found():
    """1,600 athletes, 400 of a kind: with the issue's 400 in all, a rate of 4.5% comes out between 1 and 9%."""
    return matrix(athletes=1600, number=1)


@pytest.mark.parametrize("kind", RIGHT)
def test_at_least_nine_of_ten_are_told_right(kind):
    assert found()[kind].total() == 400
    assert share_right(kind, found()[kind]) >= 0.90


@pytest.mark.parametrize("kind", [WOBBLES, GROWS, RISES])
def test_at_most_six_percent_of_those_who_did_not_change_are_called_changed(kind):
    assert called_changed(found()[kind]) <= 0.06


def test_nobody_who_improves_is_called_worse():
    assert {word for word, _ in found()[IMPROVES]} <= {Word.BETTER, Word.NO_REAL_CHANGE, Word.MOVED_INSIDE}


def test_whether_the_range_moved_is_never_mistaken():
    """The range is known, not measured."""
    for kind, said in found().items():
        moved = {who in (Moved.RANGE, Moved.BOTH) for _, who in said}

        assert moved == {kind in (GROWS, RISES)}


def test_six_u_of_improvement_are_seen_from_two_sessions_to_many():
    """The fifth session must not make the page blind (80 athletes a cell, one Monte Carlo SD is 2 points)."""
    for sessions in (2, 4, 5, 6, 8, 12, 20):
        said = said_of(IMPROVES, athletes=80, number=1, sessions=sessions, uncertainties=6.0)

        assert share_right(IMPROVES, said) >= 0.90


def test_growth_moves_the_limits_by_the_rules_slope():
    before, after = limits_on("high_school", 165.0), limits_on("high_school", 174.0)

    assert after.target_low - before.target_low == pytest.approx(0.8 * 9)
    assert after.flag_high - before.flag_high == pytest.approx(1.0 * 9)
