"""Cause links as a CSV file: what is saved can be read back, and every problem is told by its row."""

from __future__ import annotations

import pytest

from athletes.saving import as_csv
from metrics.catalogue.causes import Link, load_links
from metrics.cause_files import MOST_BYTES, UnreadableLinks, links_table, read_links
from metrics.causes import LINK_FIELDS

LINE = ("stride_length", "low", "stride_time", "low", "timing", "weak", "A quick stride is short.", "test",
        "common_practice", "")  # fmt: skip
HEAD = ",".join(LINK_FIELDS)


def text_of(*lines: tuple[str, ...], head: str = HEAD) -> bytes:
    return "\n".join([head, *(",".join(line) for line in lines)]).encode()


def changed(**cells: str) -> tuple[str, ...]:
    return tuple(cells.get(name, cell) for name, cell in zip(LINK_FIELDS, LINE, strict=True))


def sentences(data: bytes) -> tuple[str, ...]:
    with pytest.raises(UnreadableLinks) as refused:
        read_links(data)
    return refused.value.sentences


def test_saved_links_are_read_back_as_they_were():
    assert tuple(read_links(as_csv(links_table(load_links())))) == load_links()


def test_text_that_a_spreadsheet_would_run_is_saved_harmless_and_read_back_plain():
    odd = Link(*LINE[:6], reason="=SUM(A1)", source="-, see the wall", status="common_practice")
    saved = as_csv(links_table([odd]))
    assert b"'=SUM(A1)" in saved
    assert read_links(saved) == [odd]


def test_columns_may_stand_in_any_order_and_blank_rows_do_not_count():
    turned = "\n".join([",".join(reversed(LINK_FIELDS)), "", ",".join(reversed(LINE)), ",,,,,,,,,", ""])
    assert read_links(turned.encode()) == [Link(*LINE)]


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_other_delimiters_of_spreadsheets_are_read(delimiter):
    data = "\r\n".join(delimiter.join(cells) for cells in (LINK_FIELDS, LINE))
    assert read_links(("\ufeff" + data).encode()) == [Link(*LINE)]


WRONG = {
    "direction in other words": ({"effect_direction": "early"}, "Row 2: effect_direction is “early”. Write low, high"),
    "no cause": ({"cause": ""}, "Row 2: cause is empty."),
    "no reason": ({"reason": " "}, "Row 2: reason is empty."),
    "strength in numbers": ({"strength": "0.5"}, "Row 2: strength is “0.5”. Write weak, moderate, strong."),
    "unknown kind": ({"kind": "luck"}, "Row 2: kind is “luck”. Write timing, mechanics, mobility"),
    "unknown status": ({"status": "sure"}, "Row 2: status is “sure”."),
    "too long": ({"reason": "x" * 301}, "Row 2: reason has 301 characters; at most 300 are kept."),
}


@pytest.mark.parametrize("name", WRONG)
def test_wrong_cell_is_told_by_row_and_column(name):
    cells, sentence = WRONG[name]
    (said,) = sentences(text_of(changed(**cells)))
    assert said.startswith(sentence)


def test_every_problem_is_told_at_once():
    said = sentences(text_of(changed(cause=""), LINE, changed(kind="luck"), LINE[:4], LINE))
    assert [sentence.split(":")[0].split(" has ")[0] for sentence in said] == [
        "Row 2",
        "Row 4",
        "Row 4",
        "Row 5",
        "Row 6",
    ]
    assert "Row 5 has 4 cells where the head has 10" in said[3]
    assert ["stands in row 3 already" in sentence for sentence in said] == [False, False, True, False, True]


HEADS = {
    "missing": (HEAD.replace(",reason", ""), "Row 1: the column reason is missing."),
    "unknown": (HEAD + ",mood", "Row 1: the column mood is not known. Take it out."),
    "twice": (HEAD + ",kind", "Row 1: kind stands there twice. Keep one."),
}


@pytest.mark.parametrize("name", HEADS)
def test_wrong_head_is_told_with_the_columns_that_there_are(name):
    head, sentence = HEADS[name]
    said = sentences(text_of(LINE, head=head))
    assert said[0] == sentence
    assert said[-1] == f"The columns are {', '.join(LINK_FIELDS)}."


UNREADABLE = {
    "nothing": (b"", "The file is empty."),
    "head only": (HEAD.encode(), "There is no link below the head."),
    "another encoding": (
        HEAD.encode() + b"\nstride_length,low,na\xefve",
        "Line 2 holds characters that are not UTF-8.",
    ),
    "a quote that never ends": (HEAD.encode() + b'\n"stride_length,low', "The file is no whole CSV file"),
    "too many bytes": (b"x" * (MOST_BYTES + 1), "The file has 1,000,001 bytes"),
    "too many rows": (HEAD.encode() + b"\nx" * 2001, "The file has 2,001 rows; at most 2,000 are taken."),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_file_that_is_no_table_of_links_is_refused_with_a_sentence(name):
    data, sentence = UNREADABLE[name]
    assert sentences(data)[0].startswith(sentence)
