"""docs/numbers.md is recomputed here, number by number, so that the page cannot go stale."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from bench import thresholds
from metrics.judging.findings import event_uncertainty, measure_one
from metrics.judging.ranges import LANDING_HALF_WINDOW_S
from metrics.judging.severity import priority, severity
from metrics.judging.values import STARTING_THRESHOLDS, Limits
from metrics.judging.verdicts import judge_one, supported_decimals

PAGE = (Path(__file__).parents[3] / "docs" / "numbers.md").read_text(encoding="utf-8")
LIMITS = Limits(90.0, 110.0, 85.0, 110.0)
FINDING = measure_one([84, 88, 86, 91, 86], prior_sd=4.0, u_between=1.5)
VERDICT = judge_one(FINDING.mean, FINDING.u, FINDING.nu, LIMITS)
SEVERITY = float(severity(FINDING.mean, LIMITS))

RECOMPUTED = {
    "mean": FINDING.mean,
    "own SD": FINDING.sd,
    "steadied SD": FINDING.pooled_sd,
    "throws' share of u": FINDING.u_within,
    "u": FINDING.u,
    "degrees of freedom": FINDING.nu,
    "p_out": VERDICT.p_out,
    "p_flag": VERDICT.p_flag,
    "p_in": VERDICT.p_in,
    "severity": SEVERITY,
    "priority": float(priority(8, SEVERITY)),
}


def worked_rows():
    table = PAGE.split("| step | arithmetic | value |")[1].split("\n\n")[0]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines()[2:]]
    return {step: value for step, _, value in cells}


def test_page_works_out_every_step():
    assert list(worked_rows()) == list(RECOMPUTED)


@pytest.mark.parametrize("step", RECOMPUTED)
def test_worked_value_is_what_the_package_computes(step):
    printed = worked_rows()[step]
    digits = len(printed.partition(".")[2])

    assert float(printed) == pytest.approx(RECOMPUTED[step], abs=0.5 * 10**-digits + 1e-9)


def test_worked_verdict_is_what_the_package_says():
    assert (VERDICT.zone, VERDICT.side, VERDICT.sure) == ("watch", "low", "likely")
    assert "**watch, low side**, and *likely*" in PAGE
    assert supported_decimals(FINDING.u) == 0


def test_price_of_an_open_landing_is_what_the_package_adds():
    assert LANDING_HALF_WINDOW_S == 0.020
    assert f"500 · 0.020 / √3 = {event_uncertainty(500.0, LANDING_HALF_WINDOW_S):.1f} degrees" in PAGE


def test_table_of_costs_is_what_the_bench_measures():
    printed = [line for line in PAGE.splitlines() if line.startswith("| 0.")]

    assert printed == thresholds.table()[2:]


@pytest.mark.parametrize("name", ["flag", "in_range", "watch", "sure", "perhaps_flag", "too_narrow"])
def test_thresholds_on_the_page_are_those_that_are_shipped(name):
    assert f"{getattr(STARTING_THRESHOLDS, name):.2f}" in PAGE.split("## 3.")[1].split("### What")[0]


def test_costs_without_uncertainty_are_the_normal_tables():
    one = thresholds.cost(1e-6)

    # Normal table: 68.27%, 27.18%, 4.55%. The grid's step of 0.00025 SD at four edges costs up to 1e-4 each.
    assert (one.in_range, one.watch, one.flag) == pytest.approx((0.6827, 0.2718, 0.0455), abs=2e-4)
    assert math.isclose(one.in_range + one.watch + one.flag + one.cant_tell, 1.0, abs_tol=1e-6)
