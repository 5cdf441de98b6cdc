"""Saved tables run nothing in a spreadsheet, and keep numbers numbers."""

from __future__ import annotations

import csv
import datetime as dt
import io

import pytest
from django.test import RequestFactory
from openpyxl import load_workbook

from athletes.saving import as_csv, as_workbook, plain_cell, save_answer

# The characters that OWASP's page "CSV Injection" names as the beginnings of a formula.
DANGEROUS = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1")


@pytest.mark.parametrize("text", DANGEROUS)
def test_text_that_would_run_gets_a_quote(text):
    assert plain_cell(text) == f"'{text}"


@pytest.mark.parametrize("cell", [-12.5, 0, None, "elbow", "6′1″", "a=b"])
def test_everything_else_stays(cell):
    assert plain_cell(cell) == cell


def test_a_file_reads_back_as_it_was_given():
    rows = [["Sørlie, K.", -12.5], ['says "later"', 3], ["two\nlines", None]]
    text = as_csv([["who", "value"], *rows]).decode("utf-8-sig")
    read = list(csv.reader(io.StringIO(text, newline="")))
    assert read == [["who", "value"], ["Sørlie, K.", "-12.5"], ['says "later"', "3"], ["two\nlines", ""]]


def test_a_workbook_keeps_numbers_and_dates_and_runs_nothing():
    rows = [["who", "value", "day"], ["=1+1", -12.5, dt.date(2026, 4, 14)], ["bell\x07", None, None]]
    sheet = load_workbook(io.BytesIO(as_workbook(rows))).active
    found = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert found[1] == ["'=1+1", -12.5, dt.datetime(2026, 4, 14)]
    assert [cell.data_type for cell in sheet[2]] == ["s", "n", "d"]
    assert found[2][0] == "bell"


@pytest.mark.parametrize(
    ("asked", "ending"), [("", "csv"), ("?as=csv", "csv"), ("?as=xlsx", "xlsx"), ("?as=exe", "csv")]
)
def test_the_address_says_which_kind(asked, ending):
    answer = save_answer(RequestFactory().get(f"/{asked}"), "roster", [["who"]])
    assert answer["Content-Disposition"] == f'attachment; filename="roster.{ending}"'
