"""To confirm, confirmed, new, recurring."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace

import pytest
from scipy import stats

from metrics.judging.history import PastFinding, pooled_mean, stand_flag
from metrics.judging.values import Limits, Thresholds

LIMITS = Limits(90.0, 110.0, 85.0, 115.0)
TODAY = datetime.date(2024, 6, 1)
FLAG = PastFinding(TODAY, 82.5, 2.0, math.inf, 6, "flag", "low", "likely", 0.894)


def ago(days, one=FLAG, **changes):
    return replace(one, date=TODAY - datetime.timedelta(days=days), **changes)


def in_range(days, sure="likely"):
    return ago(days, mean=95.0, zone="in_range", side="", sure=sure, p_flag=0.0)


def test_single_flag_that_is_not_very_sure_is_to_confirm():
    got = stand_flag(FLAG, [], LIMITS)

    assert (got.confirmed, got.confirmed_by, got.new, got.recurring) == (False, "", True, False)
    assert got.sentence.startswith("To confirm")


def test_very_sure_flag_of_five_throws_confirms_itself():
    sure = replace(FLAG, p_flag=0.95, n=5)

    assert stand_flag(sure, [], LIMITS).confirmed_by == "one_session"
    assert not stand_flag(replace(sure, n=4), [], LIMITS).confirmed
    assert not stand_flag(replace(sure, p_flag=0.949), [], LIMITS).confirmed


def test_two_sessions_together_confirm():
    got = stand_flag(FLAG, [ago(30)], LIMITS)

    # By hand: same mean, u = 2/√2: P(X < 85) = P(Z < 2.5/1.4142) = 0.9615 (normal table).
    assert got.pair_p_flag == pytest.approx(stats.norm.cdf(2.5 / math.sqrt(2)))
    assert (got.confirmed_by, got.new) == ("two_sessions", False)


def test_earlier_session_counts_for_120_days():
    assert stand_flag(FLAG, [ago(120)], LIMITS).confirmed
    assert not stand_flag(FLAG, [ago(121)], LIMITS).confirmed


def test_earlier_session_that_disagrees_does_not_confirm():
    got = stand_flag(FLAG, [in_range(10)], LIMITS)

    assert (got.confirmed, got.new) == (False, True)


def test_high_flag_is_confirmed_on_its_own_side():
    high = replace(FLAG, mean=117.5, side="high")

    assert stand_flag(high, [ago(20, high)], LIMITS).confirmed_by == "two_sessions"
    assert not stand_flag(high, [ago(20)], LIMITS).confirmed


def test_recurring_needs_two_of_three_on_one_side_with_none_in_range_between():
    watch = ago(20, zone="watch", p_flag=0.4)

    assert stand_flag(FLAG, [ago(40), watch], LIMITS).recurring
    assert stand_flag(FLAG, [ago(40), watch], LIMITS).flags_among_last == 2
    assert not stand_flag(replace(FLAG, p_flag=0.99), [ago(40), in_range(20)], LIMITS).recurring
    assert stand_flag(FLAG, [ago(60), in_range(40), ago(20)], LIMITS).recurring
    assert not stand_flag(FLAG, [ago(60), watch, ago(10, zone="watch", p_flag=0.4)], LIMITS).recurring


def test_likelier_zone_of_a_cannot_tell_neither_breaks_nor_counts():
    sure_flag = replace(FLAG, p_flag=0.99)

    assert stand_flag(sure_flag, [ago(40), in_range(20, sure="cant_tell")], LIMITS).recurring
    assert not stand_flag(sure_flag, [ago(40, sure="cant_tell")], LIMITS).recurring


def test_flag_on_the_other_side_ends_the_run():
    high = ago(20, mean=118.0, side="high")

    assert not stand_flag(replace(FLAG, p_flag=0.99), [ago(40), high], LIMITS).recurring


def test_recurring_flag_must_be_confirmed():
    weak = Thresholds(confirm_pair_p=0.99)

    assert not stand_flag(FLAG, [ago(30)], LIMITS, weak).recurring


def test_what_is_no_flag_has_no_standing():
    assert stand_flag(in_range(0), [ago(10)], LIMITS) is None
    assert stand_flag(replace(FLAG, sure="cant_tell"), [], LIMITS) is None


def test_order_of_the_past_and_later_sessions_do_not_matter():
    past = [ago(60), in_range(40), ago(20)]

    assert stand_flag(FLAG, past, LIMITS) == stand_flag(FLAG, [*past[::-1], ago(-5)], LIMITS)


def test_pooled_mean_by_hand():
    # u 1 and 2: weights 4 to 1. Mean (4·80 + 90)/5 = 82; u = √(1/(1 + 1/4)) = √0.8.
    one, other = replace(FLAG, mean=80.0, u=1.0), replace(FLAG, mean=90.0, u=2.0)
    mean, u, nu = pooled_mean([one, other])

    assert (mean, u, nu) == (pytest.approx(82.0), pytest.approx(math.sqrt(0.8)), math.inf)


def test_shared_constant_does_not_average_out():
    shared = replace(FLAG, u=2.0, u_constant=2.0)

    assert pooled_mean([shared, shared])[1] == pytest.approx(2.0)


def test_degrees_of_two_equal_sessions_add():
    # Welch-Satterthwaite with two equal parts: twice the degrees of one.
    one = replace(FLAG, nu=10.0)

    assert pooled_mean([one, one])[2] == pytest.approx(20.0)


def test_exact_findings_outweigh_the_rest():
    assert pooled_mean([replace(FLAG, mean=80.0, u=0.0), FLAG]) == (80.0, 0.0, math.inf)
    with pytest.raises(ValueError, match="at least one"):
        pooled_mean([])
