"""The check values: facts of the trade, common practice, no published source (see check_values.csv)."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from metrics.judging.ranges import limits_for_size, resolve_rule
from metrics.judging.values import Applied, BodySize, Conditions, Limits, Rule
from metrics.judging.verdicts import judge_one

LINES = Path(__file__).with_name("check_values.csv").read_text(encoding="utf-8").splitlines()
ROWS = list(csv.DictReader(line for line in LINES if not line.startswith("#")))


def limits_of(row):
    given = {name: row[name] for name in ("target_low", "target_high", "flag_low", "flag_high")}
    return Limits(**{name: float(text) for name, text in given.items() if text})


def name_of(row):
    return f"{row['metric']}-{row['method']}-{row['mean']}-u{row['u']}"


@pytest.mark.parametrize("nu", [math.inf, 1e6])
@pytest.mark.parametrize("row", ROWS, ids=name_of)
def test_check_value_stands_where_the_trade_puts_it(row, nu):
    verdict = judge_one(float(row["mean"]), float(row["u"]), nu, limits_of(row))

    expected = (row["zone"], row["side"], row["sure"], row["other_zone"], row["perhaps_flag"] == "yes")
    got = (verdict.zone, verdict.side, verdict.sure, verdict.other_zone, verdict.perhaps_flag)
    assert got == expected
    # Tolerance: the table gives two digits.
    assert verdict.probability == pytest.approx(float(row["probability"]), abs=0.005)


def test_every_stated_value_is_in_the_table():
    assert len(ROWS) == 13


def test_slope_by_height_moves_the_limits():
    # Common practice, no published source: a taller pitcher may stride sideways a little farther.
    rule = Rule(
        1,
        "stride_offset",
        size_basis="height",
        size_ref=180.0,
        size_low=150.0,
        size_high=200.0,
        target_low=-10.0,
        target_high=10.0,
        flag_low=-20.0,
        flag_high=20.0,
        slope_target_low=-0.1,
        slope_target_high=0.1,
        slope_flag_low=-0.2,
        slope_flag_high=0.2,
    )

    applied = resolve_rule(
        [rule],
        metric="stride_offset",
        method="motion_capture",
        level="college",
        conditions=Conditions(),
        body_size=BodySize(height_cm=190.0),
    )

    assert isinstance(applied, Applied)
    assert (applied.limits.target_low, applied.limits.target_high) == pytest.approx((-11.0, 11.0))
    assert (applied.limits.flag_low, applied.limits.flag_high) == pytest.approx((-22.0, 22.0))
    assert judge_one(21.0, 0.5, math.inf, limits_for_size(rule, 180.0)[0]).zone == "flag"
    assert judge_one(21.0, 0.5, math.inf, applied.limits).zone == "watch"
