"""docs/change.md is recomputed here, number by number, so that the page cannot go stale."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

from bench import four_kinds, null_changes
from metrics.change.answer import really_changing
from metrics.change.days import series_of, uncertainties
from metrics.change.individuals import control_limits
from metrics.change.kendall import level_spent
from metrics.change.pair import change_between
from metrics.change.slopes import pair_slopes
from metrics.change.values import Measurement, Word
from metrics.judging.findings import steadied_spread, summarise
from metrics.judging.values import Limits
from tests.metrics.change.test_four_kinds import found

PAGE = (Path(__file__).parents[3] / "docs" / "change.md").read_text(encoding="utf-8")
FIRST = datetime.date(2026, 1, 5)
LIMITS = Limits(90.0, 110.0, 85.0, 110.0)


def session(day, throws):
    found = summarise(throws)
    return Measurement(FIRST + datetime.timedelta(day), found.mean, found.n, found.sd, 4.0, 1.5, LIMITS)


def of_spread(day, mean, sd):
    return Measurement(FIRST + datetime.timedelta(day), mean, 5, sd, 4.0, 1.5, LIMITS)


def table(head, nth=0):
    """Rows of the nth table whose head line begins so: a list of cells each."""
    lines = ("| " + head + PAGE.split("\n| " + head)[nth + 1].split("\n\n")[0]).splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if not line.startswith("|---")]


def printed_as(printed, value):
    """Whether a printed number is the value, rounded to as many digits."""
    digits = len(printed.partition(".")[2])
    return float(printed) == pytest.approx(value, abs=0.5 * 10**-digits + 1e-9)


THEN, NOW = session(0, [84, 88, 86, 91, 86]), session(35, [92, 95, 93, 97, 93])
PAIR = change_between(THEN, NOW)
SQUARE = steadied_spread(np.sqrt((4 * 7 + 4 * 4) / 8), 9, 4.0)[0] ** 2
COURSE_OF = [of_spread(day, mean, 4.0) for day, mean in zip([0, 14, 28, 42, 70], [84, 87, 86, 90, 94], strict=True)]
ANSWER = really_changing(COURSE_OF)
PAIRS = pair_slopes(series_of(COURSE_OF))

WORKED = [
    {
        "difference": PAIR.difference,
        "s_p²": SQUARE,
        "throws' share of u²": SQUARE * 2 / 5,
        "u": PAIR.u,
        "degrees of freedom": PAIR.nu,
        "detectable change": PAIR.detectable,
        "p": PAIR.p,
    },
    {
        "slope": ANSWER.course.slope_per_day,
        "line": ANSWER.course.starts_at,
        "line's end": ANSWER.course.ends_at,
        "S": PAIRS.score,
        "p of the order": ANSWER.course.p,
        "left of 5%": 0.05 - ANSWER.course.spent,
        "p of first and last": ANSWER.change.p,
    },
]


@pytest.mark.parametrize("example", [0, 1])
def test_every_step_of_the_worked_examples_is_what_the_package_computes(example):
    rows = table("step | arithmetic | value", example)[1:]

    assert [row[0] for row in rows] == list(WORKED[example])
    for step, _, value in rows:
        assert printed_as(value, WORKED[example][step]), step


def test_words_of_the_worked_examples():
    assert PAIR.word is Word.BETTER
    assert (ANSWER.word, ANSWER.by) == (Word.BETTER, ANSWER.change)
    assert PAGE.count(": **better**.") == 2


def test_pairs_of_the_worked_course():
    rows = table("sessions | slope a day")[1:]
    gaps = PAIRS.weight / PAIRS.weight.min() * 196

    assert len(rows) == 10
    for row, slope, gap, so_far in zip(rows, PAIRS.slope, gaps, np.cumsum(gaps), strict=True):
        assert printed_as(row[1], slope)
        if slope != pytest.approx(1 / 7):  # three slopes are alike: their order is nobody's
            assert float(row[2]) == pytest.approx(gap)
            assert float(row[3]) == pytest.approx(so_far)
    assert (ANSWER.course.low, ANSWER.course.high) == (PAIRS.slope[0], PAIRS.slope[-1])


def test_worked_individuals_chart():
    points = [of_spread(7 * week, mean, 7**0.5) for week, mean in enumerate([88, 90, 87, 91, 89, 90, 95])]
    limits = control_limits(points)

    assert "mean 89.17 and moving ranges of 2.4 on average; 2.66 · 2.4 = 6.38" in PAGE
    assert (limits.centre, 3 * uncertainties(points)[-1]) == pytest.approx((89.17, 6.61), abs=0.005)
    assert (limits.low, limits.high) == pytest.approx((82.56, 95.77), abs=0.005)


def test_what_the_exact_test_of_few_sessions_uses():
    spent = {sessions: round(100 * level_spent(np.arange(float(sessions)), 0.05), 1) for sessions in range(5, 11)}

    assert spent == {5: 1.7, 6: 1.7, 7: 3.0, 8: 3.1, 9: 4.5, 10: 4.7}
    assert "1.7% with five or six sessions, 3.0 and 3.1% with seven and eight, 4.5 and 4.7% with nine and ten" in PAGE


def test_with_five_sessions_the_order_alone_sees_half_of_what_four_had_shown():
    """400 athletes who improve by 6 u; 7.5 points are three Monte Carlo SD."""
    chance = np.random.default_rng(1)
    seen = 0
    for own_sd in 4.0 * null_changes.as_assumed(chance, 400):
        life = four_kinds.life_of(four_kinds.IMPROVES, chance, own_sd, 5, 6.0, "straight line")
        seen += really_changing(four_kinds.measured(life, chance, own_sd)).course.is_real

    assert seen / 400 == pytest.approx(0.45, abs=0.075)
    assert "98% were seen with four sessions and 45% with five" in PAGE


def percent(cell):
    return float(cell.rstrip("%")) / 100


@pytest.mark.parametrize("case", null_changes.CASES)
def test_cost_table_of_two_sessions(case):
    """100,000 athletes a cell instead of a million: 0.42 points are three SD at 26%."""
    head, *rows = table("n | u_b / s0")

    assert len(rows) == 15
    for row in rows:
        share = null_changes.false_changes(
            null_changes.CASES[case], int(row[0]), float(row[1]), athletes=100_000, number=2
        )
        assert percent(row[head.index(case)]) == pytest.approx(share, abs=0.0005 + 0.0042)


@pytest.mark.parametrize("sessions", [5, 12])
def test_cost_table_of_several_sessions(sessions):
    """1,500 athletes a cell: 2.6 points are three SD at 13%."""
    head, *rows = table("sessions | 2")
    for memory, row in zip((0.0, 0.5), rows, strict=True):
        share = null_changes.false_answers(sessions, athletes=1500, number=2, memory=memory)

        assert percent(row[head.index(str(sessions))]) == pytest.approx(share, abs=0.026)


def test_matrix_of_the_four_kinds():
    head, *rows = table("truth | ")
    said = found()

    assert [row[0] for row in rows] == list(said)
    for row in rows:
        counts = {f"{word}, {moved}": count for (word, moved), count in said[row[0]].items()}
        assert {name: int(cell) for name, cell in zip(head[1:-1], row[1:-1], strict=True) if cell != "0"} == counts
        assert row[-1] == f"{100 * four_kinds.share_right(row[0], said[row[0]]):.0f}%"


@pytest.mark.parametrize(("size", "sessions"), [("3", 5), ("3", 20), ("4", 8)])
def test_shares_by_sessions(size, sessions):
    head, *rows = table("true change | ")
    cell = next(row for row in rows if row[0] == f"{size} u, straight line")[head.index(f"{sessions} sessions")]
    said = four_kinds.said_of(four_kinds.IMPROVES, athletes=400, number=1, sessions=sessions, uncertainties=float(size))

    assert cell == f"{100 * four_kinds.share_right(four_kinds.IMPROVES, said):.0f}%"
