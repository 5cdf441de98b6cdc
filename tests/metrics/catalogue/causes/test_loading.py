"""The tables of causes: what is read, and that a bad cell is answered with file, row, column and what to do."""

from __future__ import annotations

import pytest

from metrics.catalogue.causes import (
    STRENGTHS,
    BadCauses,
    interventions_for,
    load_interventions,
    load_links,
    load_unanswered,
    read_interventions,
    read_links,
)
from metrics.catalogue.causes.loading import FOLDER, INTERVENTIONS_FILE, LINKS_FILE, read_unanswered

LINKS = (
    "effect,effect_direction,cause,cause_direction,kind,strength,reason,source,status,both_ways\n"
    "stride_length,low,adductor_length_back,low,mobility,moderate,It is tight.,nobody,common_practice,\n"
)
INTERVENTIONS = (
    "key,name,kind,answers,dose,recheck_weeks_low,recheck_weeks_high,caution,source,status\n"
    "rocks,Rocks,mobility,stride_length:low;adductor_length_back:low,daily,2,4,,nobody,common_practice\n"
)

FIRST = INTERVENTIONS.splitlines()[1] + "\n"

BAD_LINKS = {
    "column renamed": ("cause_direction", "direction", "links.csv, row 1: the columns must be effect,"),
    "cell missing": (",common_practice,\n", ",common_practice\n", "links.csv, row 2: the row does not have 10 cells"),
    "comma without quotes": ("It is tight.", "It is, yes, tight.", "row 2: the row does not have 10 cells"),
    "direction": ("stride_length,low", "stride_length,short", "effect_direction: 'short' is not one of low, high"),
    "early is low": ("back,low", "back,early", "row 2, cause_direction: 'early' is not one of low, high"),
    "kind": ("mobility", "magic", "row 2, kind: 'magic' is not one of timing, mechanics, mobility, strength, context"),
    "strength": ("moderate", "0.5", "row 2, strength: '0.5' is not one of weak, moderate, strong"),
    "status": ("common_practice", "verified", "row 2, status: 'verified' is not one of published, common_practice"),
    "no reason": ("It is tight.", "", "row 2, reason: the cell is empty. Fill it in."),
    "no source": ("nobody", "", "row 2, source: the cell is empty. Fill it in."),
    "space": ("nobody", " nobody", "row 2, source: ' nobody' begins or ends with a space"),
}  # fmt: skip

BAD_INTERVENTIONS = {
    "answer without direction": ("stride_length:low", "stride_length", "answers: 'stride_length' is not metric:low"),
    "answer with a word": ("length:low", "length:short", "'stride_length:short' is not metric:low or metric:high"),
    "answer twice": (";adductor_length_back:low", ";stride_length:low", "'stride_length:low' stands twice"),
    "no answer": ("stride_length:low;adductor_length_back:low", "", "row 2, answers: the cell is empty"),
    "weeks": (",2,4,", ",2.5,4,", "row 2, recheck_weeks_low: '2.5' is not a whole number of weeks above 0"),
    "no weeks": (",2,4,", ",2,0,", "row 2, recheck_weeks_high: '0' is not a whole number"),
    "weeks backward": (",2,4,", ",4,2,", "row 2, recheck_weeks_low: 4 weeks lies above 2"),
    "kind": ("mobility", "surgery", "row 2, kind: 'surgery' is not one of mobility, strength, drill, referral"),
    "key twice": ("common_practice\n", "common_practice\n" + FIRST, "row 3, key: 'rocks' stands"),
}  # fmt: skip


def test_a_table_of_links_is_read():
    (link,) = read_links(LINKS)
    assert (link.effect_end, link.cause_end) == (("stride_length", "low"), ("adductor_length_back", "low"))
    assert (link.kind, STRENGTHS[link.strength], link.both_ways) == ("mobility", 0.5, "")


def test_a_table_of_interventions_is_read():
    (one,) = read_interventions(INTERVENTIONS)
    assert one.answers == (("stride_length", "low"), ("adductor_length_back", "low"))
    assert (one.recheck_weeks, one.caution) == ((2, 4), "")


@pytest.mark.parametrize("fault", BAD_LINKS)
def test_a_bad_table_of_links_is_answered_in_words(fault):
    old, new, sentence = BAD_LINKS[fault]
    assert old in LINKS
    with pytest.raises(BadCauses) as refused:
        read_links(LINKS.replace(old, new, 1))
    assert sentence in str(refused.value)


@pytest.mark.parametrize("fault", BAD_INTERVENTIONS)
def test_a_bad_table_of_interventions_is_answered_in_words(fault):
    old, new, sentence = BAD_INTERVENTIONS[fault]
    assert old in INTERVENTIONS
    with pytest.raises(BadCauses) as refused:
        read_interventions(INTERVENTIONS.replace(old, new, 1))
    assert sentence in str(refused.value)


def test_an_empty_text_says_which_columns_it_needs():
    with pytest.raises(
        BadCauses, match=r"nothing_in_library\.csv, row 1: the columns must be metric, direction, reason"
    ):
        read_unanswered("")


def test_the_shipped_tables_are_read_once_and_whole():
    assert load_links() is load_links()
    rows = (FOLDER / LINKS_FILE).read_text(encoding="utf-8").count("\n") - 1
    assert len(load_links()) == rows
    rows = (FOLDER / INTERVENTIONS_FILE).read_text(encoding="utf-8").count("\n") - 1
    assert len(load_interventions()) == rows


def test_interventions_are_found_by_metric_and_direction():
    short, long = interventions_for("stride_length", "low"), interventions_for("stride_length", "high")
    assert {one.key for one in short} >= {"inner_thigh_rock", "side_lunge_push_off"}
    assert long == ()
    assert ("stride_length", "high") in {(one.metric, one.direction) for one in load_unanswered()}


def test_short_internal_rotators_are_answered_by_mobility_alone():
    found = interventions_for("shoulder_er_90_throwing", "low")
    assert found
    assert {one.kind for one in found} == {"mobility"}


@pytest.mark.parametrize("pain", ["throwing_pain", "elbow_valgus_pain_throwing"])
def test_pain_is_answered_by_a_referral_and_by_nothing_else(pain):
    found = interventions_for(pain, "high")
    assert {one.kind for one in found} == {"referral"}
