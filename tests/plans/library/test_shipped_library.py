"""Every row of the shipped library: sound, readable at thirteen, in plain words, with the source's doses."""

from __future__ import annotations

import re

import pytest

from metrics.catalogue.causes import load_interventions
from plans.library import MOST_MINUTES, load_library, problems_of
from plans.library.words import BANDS
from tests.reading import reading_grade, syllables, words_of

MOST_GRADE = 7
ROWS = pytest.mark.parametrize("one", load_library(), ids=lambda one: one.key)

TRADE_WORDS = re.compile(
    r"\b(flexion|extension|rotation|abduction|adduction|pelvis|thorax|thoracic|lateral|anterior|posterior|scapula\w*|"
    r"humer\w+|valgus|varus|torque|eccentric|isometric|plyometric|lead leg|drive leg|cuff|kinetic)\b",
    re.IGNORECASE,
)


def texts_of(one):
    return (*one.instructions, *one.cautions)


def test_each_intervention_of_the_catalogue_is_in_the_library_once(library):
    assert [one.key for one in library] == [row.key for row in load_interventions()]
    assert len(library) == 50


@ROWS
def test_each_keeps_every_rule(one):
    assert problems_of(one) == []


@ROWS
def test_instructions_and_cautions_can_be_read_at_thirteen(one):
    assert reading_grade(one.instructions) <= MOST_GRADE
    assert reading_grade(one.cautions) <= MOST_GRADE


@ROWS
def test_no_word_is_longer_than_three_syllables_but_whom_to_see(one):
    """A text of short sentences passes the grade with a hard word in it."""
    hard = {word for text in texts_of(one) for word in words_of(text) if syllables(word) > 3}
    assert hard <= {"clinician", "physiotherapist"}


@ROWS
def test_athletes_read_no_words_of_the_trade(one):
    assert [text for text in texts_of(one) if TRADE_WORDS.search(text)] == []


@ROWS
def test_names_are_plain_words(one):
    """A product's or person's name would stand with a capital inside a sentence, with a mark, or joined together."""
    for text in (one.name, *texts_of(one)):
        assert not re.search(r"[®™©]|[a-z][A-Z]|\w\d|\d\w", text), text
        inside = re.findall(r"(?<![.?!:] )(?<!^)\b([A-Z]\w*)", text)
        assert set(inside) <= {"Y", "T", "W"}, text


@ROWS
def test_every_age_that_may_do_it_is_told_with_whom(one):
    for band, dose in one.doses.items():
        minimum = {"adult", "coach", "clinician"} if band == "under_13" else {"alone", "adult", "coach", "clinician"}
        assert dose.supervision in minimum, band


@ROWS
def test_it_fits_into_a_day(one):
    assert all(dose.minutes <= MOST_MINUTES for dose in one.doses.values())


@ROWS
def test_only_the_sources_own_dose_is_called_so(one):
    """What the reference says holds for no age in particular, so the younger get the house's caution."""
    for band in ("under_13", "13_15"):
        if band in one.doses and not one.doses[band].words:
            assert one.doses[band].basis == "house"


@ROWS
def test_a_dose_of_the_reference_has_the_references_numbers(one):
    said = next(row.dose for row in load_interventions() if row.key == one.key)
    numbers = {int(number) for number in re.findall(r"\d+", said)}
    dose = next(one.doses[band] for band in reversed(BANDS) if band in one.doses)
    if dose.words:
        assert dose.words == said
        return
    given = [dose.sets, dose.reps, dose.seconds, dose.throws, dose.work_minutes, dose.load_kg]
    mine = {int(end) for span in given if span for end in span}
    if dose.basis in ("reference", "reference_but_days"):
        assert mine - numbers <= ({2, 4} if dose.load_kg else set())
    if dose.basis == "reference":
        per_week = re.search(r"(?:(\d+) to )?(\d+) (?:days a week|times)", said)
        assert dose.days == ((7, 7) if not per_week else (int(per_week[1] or per_week[2]), int(per_week[2])))
    assert ("each side" in said) <= dose.each_side


def test_without_days_in_the_source_the_days_are_the_houses(by_key):
    for row in load_interventions():
        doses = by_key[row.key].doses
        names_days = re.search(r"\ba day\b|days a week|every other day|times", row.dose, re.IGNORECASE)
        if not names_days and not doses["16_18"].words:
            assert doses["16_18"].basis == "reference_but_days", row.key


def test_what_is_thrown_counts_as_throws(library):
    throwing = {one.key for one in library if one.has_throws}
    said = {one.key for one in library if any("count as throws" in text for text in one.instructions)}
    assert throwing == said
    assert all(one.kind == "drill" for one in library if one.has_throws)


def test_medicine_balls_are_lighter_for_those_who_grow(by_key):
    """The reference: about 2 to 4 kg for adults, 1 to 2 kg in youth."""
    doses = by_key["medicine_ball_turn"].doses
    assert doses["adult"].load_kg == (2, 4)
    assert max(doses[band].load_kg[1] for band in ("under_13", "13_15", "16_18")) <= 2


def test_cautions_of_the_source_for_season_and_growth_are_kept(by_key):
    assert set(by_key["short_arm_path"].not_in) == {"in_season"}
    assert set(by_key["slow_lowering_turn_back"].not_in) == {"in_season"}
    assert [key for key, one in by_key.items() if one.has_impact] == ["bound_and_stick"]


def test_referrals_load_nothing(library):
    for one in library:
        if one.kind == "referral":
            assert not one.is_loaded
            assert not one.has_throws
            assert all(dose.minutes == 0 for dose in one.doses.values())
