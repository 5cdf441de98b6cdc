"""Which letters are printed, and what stands for those that are not."""

from __future__ import annotations

import pytest

from plans.sheets import print_sheet, printable
from plans.sheets.filling import LETTERS
from plans.sheets.letters import _covered
from tests.plans.sheets.pages import LONGEST, floor, plan, work
from tests.printed import title_of, words_of

NAMES = {
    "Latin with marks": "Zoë Łukasz Đặng Ọlá ʻAlohi",
    "Greek": "Ξένια",
    "Cyrillic": "Иван",
    "Armenian": "Գևորգ",
    "Georgian": "ნინო",
    "Devanagari": "अर्जुन",
}
TO_THE_LEFT = {"Hebrew": "עומר", "Arabic": "محمد"}
BY_HAND = {"Chinese": "李小龍", "Japanese": "さくら", "Korean": "김민수", "Thai": "สมชาย", "Amharic": "አበበ"}


@pytest.mark.parametrize("script", NAMES)
def test_a_name_of_a_script_that_the_faces_have_is_printed(script):
    name = NAMES[script]
    assert printable(name).is_whole
    words = words_of(print_sheet(plan(work(LONGEST[0]), given_name=name)))
    assert f"Work for {name}" in words


@pytest.mark.parametrize("script", TO_THE_LEFT)
def test_a_name_that_is_written_to_the_left_is_printed(script):
    """In which order a reader hands the letters over is its own affair."""
    name = TO_THE_LEFT[script]
    words = words_of(print_sheet(plan(work(LONGEST[0]), given_name=name)))
    assert name in words or name[::-1] in words


@pytest.mark.parametrize("script", BY_HAND)
def test_a_name_of_another_script_is_written_by_hand_and_stands_in_the_title(script):
    """The faces have no shape for it, and nobody guesses how a name sounds."""
    name = BY_HAND[script]
    assert not printable(name).is_whole
    pdf = print_sheet(plan(work(LONGEST[0]), given_name=name))
    words = words_of(pdf)
    assert "Work for What to do" in words.replace("We measure again around Tuesday 26 May 2026. ", "")
    assert name not in words
    assert title_of(pdf) == f"Work for {name}"


def test_an_emoji_is_dropped_and_no_letter_is_missed():
    found = printable("Zoë 🫶🏽 of 🇨🇭")
    assert (found.text, found.is_whole) == ("Zoë of", True)


def test_letters_of_another_script_inside_a_text_are_told():
    words = words_of(print_sheet(plan(work(LONGEST[0], note="Ask 李小龍 first."))))
    assert "Ask … first." in words
    assert LETTERS in words
    assert LETTERS not in words_of(print_sheet(plan(work(LONGEST[0], note="Ask Zoë first."))))


def test_a_mark_that_fits_no_letter_costs_its_letters_and_not_the_sheet():
    """A vowel sign of Devanagari on a Latin number: each has a shape, both together have none."""
    assert printable("0\u093a").is_whole
    words = words_of(print_sheet(plan(work(LONGEST[0]), facility="0\u093a", given_name="Zoë")))
    assert words.startswith("0… Printed on")
    assert LETTERS in words
    assert "Work for Zoë" in words


def test_wide_and_styled_latin_is_printed_plain():
    assert printable("Ｚｏｅ").text == "Zoe"


def test_signs_that_show_nothing_are_left_out():
    assert printable("a\u202eb\x00c\u200bd\ufeff").text == "abcd"
    assert printable("two\n lines\t here").text == "two lines here"


def test_a_long_word_may_break_and_loses_nothing():
    found = printable("W" * 80).text
    assert found.replace("\u200b", "") == "W" * 80
    assert max(map(len, found.split("\u200b"))) <= 24


def test_the_faces_have_every_letter_of_the_table():
    """PDF/UA refuses a letter without a shape, so each of them stands on a page here. Hundreds a page."""
    starts, ends = _covered()
    signs = [chr(code) for first, last in zip(starts, ends, strict=True) for code in range(first, last + 1)]
    assert len(signs) > 5000
    texts = [" ".join(f"a{sign}" for sign in signs[at : at + 500]) for at in range(0, len(signs), 500)]
    for text in texts:
        pdf = print_sheet(floor(state_note=text, works=(), cues=(), changes=(), points=()))
        assert LETTERS not in words_of(pdf)


def test_nothing_of_the_library_is_missing():
    for one in LONGEST:
        for text in (one.name, *one.instructions, *one.cautions):
            assert printable(text).text == " ".join(text.split())
            assert printable(text).is_whole
