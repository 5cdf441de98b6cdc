"""Athletes who never change, picked because they were flagged: how often the response says that they did."""

from __future__ import annotations

import numpy as np
import pytest

from bench.null_claims import GROUPS, claim_chance
from bench.null_responses import (
    BETWEEN,
    RELIABILITY,
    THROWS,
    Setting,
    flagged_athletes,
    margin,
    shares,
    words,
)
from metrics.judging.values import Limits
from plans.responding.response import Answered, respond_finding
from plans.responding.values import Flag, ResponseWord, Source
from tests.plans.responding.cases import TERM, seen

ATHLETES = 200_000
SETTINGS = [Setting(*one) for one in [(1, 0.0, 0.8), (3, 0.5, 0.6), (5, 0.5, 0.8), (5, 0.0, 0.6), (10, 1.0, 0.6)]]


def sessions_of(setting, drawn, place, number, **changed):
    mean, sd = getattr(drawn, place)[number], getattr(drawn, f"{place}_sd")[number]
    limits = Limits(-setting.edge, setting.edge, -2 * setting.edge, 2 * setting.edge)
    spread = None if setting.throws == 1 else float(sd)
    known = {"n": setting.throws, "sd": spread, "prior_sd": 1.0, "u_between": setting.between, "limits": limits}
    return seen(float(mean), changed["day"], **known)


def words_of_the_package(setting, drawn, route):
    for number, mean in enumerate(drawn.first):
        flag = Flag("metric", "low" if mean < 0 else "high")
        sessions = [sessions_of(setting, drawn, "now", number, day=36)]
        if route == "measured":
            sessions.append(sessions_of(setting, drawn, "second", number, day=5))
        source = Source(0.0, setting.people_sd) if route == "estimated" else None
        raised_by = sessions_of(setting, drawn, "first", number, day=0)
        yield respond_finding(Answered(flag, raised_by, sessions, source), TERM).word


@pytest.mark.parametrize("route", ["measured", "estimated", "range"])
@pytest.mark.parametrize("moved", [0.0, 3.0])
@pytest.mark.parametrize("setting", SETTINGS, ids=str)
def test_the_arrays_decide_as_the_package_does(setting, moved, route):
    moving = Setting(setting.throws, setting.between, setting.reliability, moved)
    drawn = flagged_athletes(moving, athletes=4_000, number=5)
    better, worse = words(moving, drawn, route)

    theirs = list(words_of_the_package(moving, drawn, route))

    assert len(theirs) > 40
    assert [word is ResponseWord.BETTER for word in theirs] == list(better)
    assert [word is ResponseWord.WORSE for word in theirs] == list(worse)


@pytest.mark.parametrize("reliability", RELIABILITY)
@pytest.mark.parametrize("between", BETWEEN)
@pytest.mark.parametrize("throws", THROWS)
def test_unchanged_athletes_are_called_better_in_at_most_three_percent(throws, between, reliability):
    setting = Setting(throws, between, reliability)
    drawn = flagged_athletes(setting, athletes=ATHLETES, number=1)
    allowed = 0.03 + margin(drawn.first.size)

    for route in ("measured", "estimated", "range"):
        assert shares(setting, drawn, route)[0] <= allowed, route
    assert shares(setting, drawn, "recurring")[0] <= 0.03 + margin(int(drawn.second_is_flag.sum()))
    assert shares(setting, drawn, "measured")[0] > 0.01  # a word that is never said would pass as well


@pytest.mark.parametrize("throws", THROWS)
def test_the_flags_own_session_as_baseline_would_claim_two_to_eight_times_as_much(throws):
    setting = Setting(throws, 0.5, 0.8)
    drawn = flagged_athletes(setting, athletes=ATHLETES, number=1)

    assert shares(setting, drawn, "own session")[0] > 0.10
    assert shares(setting, drawn, "second flag")[0] > 0.045


def test_athletes_who_did_move_are_called_better():
    setting = Setting(5, 0.5, 0.8, moved=5.0)
    drawn = flagged_athletes(setting, athletes=ATHLETES, number=1)

    assert shares(setting, drawn, "measured")[0] > 0.75
    assert shares(setting, drawn, "estimated")[0] > 0.75


def test_flags_are_drawn_as_the_setting_says():
    """Of normal people measured without error 4.6% lie beyond 2 SD; a flag asks for p_flag ≥ 0.80 beyond that."""
    exact = flagged_athletes(Setting(1000, 0.0, 0.9999), athletes=100_000, number=1)

    assert exact.first.size / 100_000 == pytest.approx(0.0455 - 0.001, abs=0.002)
    assert np.mean(np.sign(exact.first)) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("group", GROUPS)
@pytest.mark.parametrize("share", [0.03, 0.1, 0.2, 0.35, 0.5, 0.7])
def test_work_that_does_nothing_is_claimed_to_help_in_about_a_fortieth(group, share):
    """Nominal 2.5% a cell; with five athletes beside twenty up to 4.1%, since counts are whole numbers."""
    assert claim_chance(*group, share, share) < 0.0415


def test_work_that_helps_is_claimed_to_with_twenty_athletes_a_side():
    assert claim_chance(20, 20, 0.5, 0.1) > 0.8
