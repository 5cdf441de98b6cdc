"""docs/responses.md is recomputed here, number by number, so that the page cannot go stale."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bench.null_claims import GROUPS, claim_chance
from bench.null_responses import ROUTES, Setting, flagged_athletes, margin, shares
from metrics.change.values import Measurement
from metrics.judging.findings import summarise
from metrics.judging.values import Limits
from plans.responding.response import LEVELS, Answered, respond_finding
from plans.responding.shares import newcombe, wilson
from plans.responding.values import Flag, Reason, ResponseWord, Seen, Source
from tests.plans.responding.cases import TERM, day

PAGE = (Path(__file__).parents[3] / "docs" / "responses.md").read_text(encoding="utf-8")
FLAG = Flag("elbow_flexion", "low")


def table(head, nth=0):
    """Rows of the nth table whose head line begins so: a list of cells each."""
    lines = ("| " + head + PAGE.split("\n| " + head)[nth + 1].split("\n\n")[0]).splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if not line.startswith("|---")]


def printed_as(printed, value):
    """Whether a printed number is the value, rounded to as many digits."""
    digits = len(printed.partition(".")[2])
    return float(printed) == pytest.approx(value, abs=0.5 * 10**-digits + 1e-9)


def session(number, throws):
    found = summarise(throws)
    limits = Limits(90.0, 110.0, 80.0, 120.0)
    return Seen(number, Measurement(day(number), found.mean, found.n, found.sd, 4.0, 1.5, limits))


RAISED, NOW = session(0, [78, 74, 77, 81, 75]), session(40, [84, 88, 86, 91, 86])
BETWEEN = session(5, [80, 79, 83, 82, 81])
ESTIMATED = respond_finding(Answered(FLAG, RAISED, [NOW], Source(100.0, 10.0)), TERM)
MEASURED = respond_finding(Answered(FLAG, RAISED, [NOW, BETWEEN], Source(100.0, 10.0)), TERM)


def throws_share(change, kept):
    """What of u_d² is not u_b's."""
    return change.u**2 - 1.5**2 * (kept + 1)


R = ESTIMATED.baseline.kept
U2 = 100 / R - 100

WORKED = [
    {
        "s_p² of the flag": 5 * (U2 - 1.5**2),
        "u² of the flag": U2,
        "r": R,
        "baseline, estimated": ESTIMATED.baseline.point.mean,
        "change": ESTIMATED.change.difference,
        "s_p² of both": 5 * throws_share(ESTIMATED.change, R) / (R + 1),
        "throws' share of u_d²": throws_share(ESTIMATED.change, R),
        "u_d": ESTIMATED.change.u,
        "degrees of freedom": ESTIMATED.change.nu,
        "p": ESTIMATED.change.p,
    },
    {
        "change": MEASURED.change.difference,
        "s_p² of both": 5 * throws_share(MEASURED.change, 1) / 2,
        "u_d": MEASURED.change.u,
        "degrees of freedom": MEASURED.change.nu,
        "p": MEASURED.change.p,
    },
]


@pytest.mark.parametrize("example", [0, 1])
def test_every_step_of_the_worked_examples_is_what_the_package_computes(example):
    rows = table("step | arithmetic | value", example)[1:]

    assert [row[0] for row in rows] == list(WORKED[example])
    for step, _, value in rows:
        assert printed_as(value, WORKED[example][step]), step


def test_words_of_the_worked_examples():
    assert (ESTIMATED.word, ESTIMATED.baseline.estimated) == (ResponseWord.BETTER, True)
    assert (MEASURED.word, MEASURED.reason) == (ResponseWord.CANT_TELL, Reason.CLOSE)
    assert "**better**, *baseline estimated*" in PAGE
    assert "**can’t tell**. One more session will" in PAGE


def test_every_word_is_explained():
    assert {row[0] for row in table("word | when")[1:]} == {word.value for word in ResponseWord}


def test_levels():
    rows = table("baseline | five throws")[1:]
    printed = {(row[0] == "estimated", enough): percent(row[2 - enough]) for row in rows for enough in (True, False)}

    assert printed == pytest.approx(LEVELS)


def test_the_worked_cell():
    def ends(found):
        return f"{100 * found.low:.0f}", f"{100 * found.high:.0f}"

    assert ends(wilson(9, 10)) == ("60", "98")
    assert ends(wilson(3, 10)) == ("11", "60")
    assert ends(newcombe(9, 10, 3, 10)) == ("17", "81")
    assert ends(wilson(8, 10)) == ("49", "94")
    assert ends(newcombe(9, 10, 8, 10)) == ("-24", "42")
    for words in ("60% to 98%", "11% to 60%", "interval 17 to 81", "49% to 94%", "-24 to 42"):
        assert words in PAGE


def percent(cell):
    return float(cell.rstrip("%")) / 100


def test_table_of_claims():
    head, *rows = table("true share of better")

    assert head[1:] == [f"{one} and {other}" for one, other in GROUPS]
    assert len(rows) == 9
    for name, *cells in rows:
        share, other = (float(one) / 100 for one in (re.findall(r"(\d+)%", name) * 2)[:2])
        assert [float(cell.rstrip("%")) for cell in cells] == pytest.approx(
            [100 * claim_chance(*group, share, other) for group in GROUPS], abs=0.0501
        )


def check_cells(setting, cells, routes, athletes):
    drawn = flagged_athletes(setting, athletes=athletes, number=2)
    for route, cell in zip(routes, cells, strict=True):
        flagged = int(drawn.second_is_flag.sum()) if route in ("recurring", "second flag") else drawn.first.size
        for printed, found in zip(cell.split(" / "), shares(setting, drawn, route), strict=True):
            allowed = 0.0005 + margin(flagged, max(percent(printed), 2 / flagged), 4.0)
            assert percent(printed) == pytest.approx(found, abs=allowed), (setting, route)


def test_table_of_unchanged_athletes():
    head, *rows = table("n | u_b / s0")

    assert (head[3:], len(rows)) == (list(ROUTES), 30)
    for row in rows:
        check_cells(Setting(int(row[0]), float(row[1]), float(row[2])), row[3:], ROUTES, 100_000)


def test_no_cell_of_what_is_done_says_better_of_more_than_three_percent():
    for row in table("n | u_b / s0")[1:]:
        assert max(float(cell.split(" / ")[0]) for cell in row[3:7]) <= 3.0
