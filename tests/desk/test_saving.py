"""Saved tables run nothing in a spreadsheet, and keep numbers numbers."""

from __future__ import annotations

import csv
import io

import pytest

from desk.saving import csv_answer, plain_cell

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
    text = csv_answer("x.csv", ["who", "value"], rows).content.decode("utf-8-sig")
    read = list(csv.reader(io.StringIO(text, newline="")))
    assert read == [["who", "value"], ["Sørlie, K.", "-12.5"], ['says "later"', "3"], ["two\nlines", ""]]
