"""One page, whatever stands on it: nothing cut off, nothing over anything else, read back from the print."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.library import load_library
from plans.sheets import DoesNotFit, SheetWork, print_sheet
from plans.sheets.filling import EMPTY, FOOT, LETTERS, MORE, STOP
from tests.plans.sheets.pages import LONGEST, PAIN, floor, floor_work, fullest_floor, plan, work
from tests.printed import Box, letters_over_letters, page_count, page_size, signs_of, words_of
from tests.reading import reading_grade, sentences_of

MARGIN = 30.0
"""Points that every side keeps free: a printer of the house prints no closer to the edge than 18 (common practice)."""
INK_OVER_INK = 0.6
"""How far the ink of two letters may touch, in points."""

PAST = "We planned to measure again on Friday 1 May 2026. That day is past. Ask your coach for a new one."
NAME = "Maximiliana-Wilhelmine Oluwaseun Nnamdi-Achterberg van den Brandvold Villaseñor "[:80]
NOTE = ("Sit tall and breathe out while you turn; tell me on Friday how it felt. " * 5)[:300]
UNBROKEN = "W" * 80

CASES = {
    "nothing to do": plan(),
    "one work": plan(work(LONGEST[20])),
    "two works": plan(*map(work, LONGEST[:2])),
    "six works of the longest texts": plan(*map(work, LONGEST[:6])),
    "six, notes, more left out": plan(*(work(one, note=NOTE) for one in LONGEST[:6]), left_out=4, unshown=2),
    "the longest name": plan(*map(work, LONGEST[:6]), given_name=NAME, facility=NAME),
    "a name of one endless word": plan(*map(work, LONGEST[:6]), given_name=UNBROKEN, facility=UNBROKEN),
    "stopped": plan(*map(work, LONGEST[:6]), stop="Throwing and loaded work are stopped. " * 6, unshown=6, left_out=9),
    "held work": plan(work(LONGEST[0], held=PAIN), work(LONGEST[1])),
    "an errand": plan(work(LONGEST[0], is_once=True)),
    "A4": plan(*map(work, LONGEST[:6]), paper="a4"),
    "floor": floor(),
    "floor, nothing known": floor(points=(), cues=(), works=(), changes=(), points_note="Nothing measured yet."),
    "floor, everything": fullest_floor(),
    "floor, everything and a name of one endless word": fullest_floor(name=f"{UNBROKEN} {UNBROKEN}", paper="a4"),
}


@pytest.fixture(scope="module")
def printed():
    """Each case once."""
    return {name: print_sheet(sheet) for name, sheet in CASES.items()}


@pytest.mark.parametrize("case", CASES)
def test_it_is_one_page(case, printed):
    assert page_count(printed[case]) == 1


@pytest.mark.parametrize("case", CASES)
def test_every_letter_lies_inside_the_margins(case, printed):
    width, height = page_size(printed[case])
    paper = Box(MARGIN, MARGIN, width - MARGIN, height - MARGIN)
    signs = signs_of(printed[case])
    assert len(signs) > 150
    assert [(sign, box) for sign, box in signs if not box.is_inside(paper)] == []


@pytest.mark.parametrize("case", CASES)
def test_no_letter_lies_over_another(case, printed):
    """The reader’s boxes are those of the ink. Neighbours in a word may touch: an f leans over an i."""
    assert letters_over_letters(signs_of(printed[case]), INK_OVER_INK) == []


def test_the_check_of_letters_over_letters_would_see_a_line_on_a_line():
    signs = signs_of(print_sheet(plan(work(LONGEST[0]))))
    lower = [(sign, Box(box.left, box.bottom - 3, box.right, box.top - 3)) for sign, box in signs]
    assert letters_over_letters([*signs, *lower], INK_OVER_INK) != []


@pytest.mark.parametrize("one", load_library(), ids=lambda one: one.key)
def test_a_sheet_of_one_work_says_every_word_of_the_library(one):
    told = work(one)
    words = words_of(print_sheet(plan(told)))
    for text in (told.name, told.dose, told.supervision, *told.instructions, *told.cautions):
        assert text in words
    assert MORE not in words


def test_six_works_of_the_longest_texts_stand_whole(printed):
    words = words_of(printed["six works of the longest texts"])
    for one in map(work, LONGEST[:6]):
        for text in (one.name, one.dose, *one.instructions, *one.cautions):
            assert text in words
    assert MORE not in words


def test_what_has_no_room_is_said_to_stand_on_the_progress_page(printed):
    """First the letters shrink, then instructions lose their last sentences; names, doses and cautions stay whole."""
    words = words_of(printed["six, notes, more left out"])
    assert MORE in words
    for one in map(work, LONGEST[:6]):
        for text in (one.name, one.dose, one.instructions[0], *one.cautions):
            assert text in words
    assert "These are the first 6. 4 more works are on your progress page." in words


@pytest.mark.parametrize("case", [name for name in CASES if not name.startswith("floor")])
def test_every_plan_sheet_says_when_to_stop_and_who_comes_first(case, printed):
    words = words_of(printed[case])
    assert STOP in words
    assert FOOT in words
    assert "Printed on 14 April 2026" in words


def test_the_sheets_own_sentences_are_read_at_twelve():
    """As the family’s pages are: tests/desk/test_readability.py."""
    said = sentences_of([STOP, FOOT, EMPTY, LETTERS, PAST])
    assert len(said) >= 9
    assert reading_grade(said) <= 7.0


def test_the_longest_name_stands_whole(printed):
    assert f"Work for {NAME.strip()}" in words_of(printed["the longest name"])
    assert UNBROKEN in words_of(printed["a name of one endless word"]).replace(" ", "")


def test_a_week_has_a_box_for_every_day_of_each_work_that_goes_on():
    sheet = plan(work(LONGEST[0], held=PAIN), work(LONGEST[1]), work(LONGEST[2]), work(LONGEST[3], is_once=True))
    words = words_of(print_sheet(sheet))
    assert words.count("☐") == 2 * 7 + 1
    assert PAIN in words
    assert LONGEST[0].instructions[0] not in words


def test_a_sheet_on_which_everything_is_held_has_no_week():
    words = words_of(print_sheet(plan(work(LONGEST[0], held=PAIN))))
    assert "Your week" not in words
    assert "☐" not in words


def test_a_date_that_is_past_asks_for_a_new_one():
    sheet = replace(plan(work(LONGEST[0])), next_look=CASES["one work"].printed_on.replace(day=1))
    assert "That day is past. Ask your coach for a new one." in words_of(print_sheet(sheet))


def test_the_floor_sheet_has_everything_that_was_handed_over(printed):
    words = words_of(printed["floor"])
    sheet = CASES["floor"]
    for point in sheet.points:
        for text in (point.name, point.value, point.target, point.measured):
            assert text in words
    for one in sheet.works:
        for text in (one.name, one.dose, *one.cautions):
            assert text in words
    for text in (*sheet.facts, *sheet.cues, sheet.state, "24°, 2 Mar 2026", "28°, 12 Apr 2026", "not measured since"):
        assert text in words


def test_a_stop_on_the_floor_sheet_is_never_cut(printed):
    sheet = CASES["floor, everything"]
    words = words_of(printed["floor, everything"])
    assert f"{sheet.state} {sheet.state_note.strip()}" in words


def test_a_held_drill_says_why_instead_of_how_much():
    words = words_of(print_sheet(floor(works=(floor_work(LONGEST[0], held=PAIN),))))
    assert PAIN in words
    assert work(LONGEST[0]).dose not in words


TEXT = st.text(st.characters(codec="utf-8"), min_size=1, max_size=400)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(TEXT, TEXT, st.lists(TEXT, max_size=6), TEXT), max_size=6), TEXT)
def test_no_text_whatever_breaks_a_sheet(texts, name):
    """An admin may write a library of their own, and a name may be anything."""
    works = [
        SheetWork(one, dose[:110], "with a coach", instructions=tuple(how), cautions=(care,), note=care[:300], days="3")
        for one, dose, how, care in texts
    ]
    assert page_count(print_sheet(plan(*works, given_name=name[:80], facility=name[:80]))) == 1
    assert page_count(print_sheet(floor(name=f"{name[:80]} {name[:80]}", cues=(name,) * 5))) == 1


def test_a_sheet_that_cannot_be_one_page_is_refused_whole():
    with pytest.raises(DoesNotFit, match="page"):
        print_sheet(plan(*map(work, LONGEST[:40])))
