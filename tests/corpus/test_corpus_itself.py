"""The corpus is what it says: many files, the same each time, and a truth that stands in the bytes."""

from __future__ import annotations

import csv
from io import BytesIO

import openpyxl
import pytest

from metrics.catalogue import load_catalogue
from tests.corpus.files import MAKERS, TYPED_FACTS, typed_file
from tests.corpus.made import Size
from tests.source import CHECKOUT, imports_of, python_files

READER_ROOMS = ("sessions", "metrics.importing", "metrics.services", "metrics.models", "desk", "athletes")


def all_files():
    return [*(make(Size()) for make in MAKERS.values()), *map(typed_file, TYPED_FACTS)]


def test_there_are_enough_made_files_and_three_typed_ones():
    assert len(MAKERS) >= 24
    assert len(TYPED_FACTS) == 3


def test_every_typed_table_has_its_truth_beside_it():
    typed = CHECKOUT / "tests/corpus/typed"
    tables = {path.name for path in typed.glob("*.csv") if not path.name.endswith(".truth.csv")}
    assert tables == set(TYPED_FACTS)


def test_the_generator_shares_no_code_with_the_reader():
    files = [path for path in python_files("tests") if path.is_relative_to(CHECKOUT / "tests/corpus")]
    reached = [str(one) for path in files for one in imports_of(path) if one.target.startswith(READER_ROOMS)]
    assert len(files) > 8
    assert reached == []


@pytest.mark.parametrize("name", MAKERS)
def test_a_made_file_is_the_same_each_time_but_for_the_time_in_workbooks(name):
    first, second = MAKERS[name](Size()), MAKERS[name](Size())
    assert first.expected == second.expected
    assert first.name.endswith(".xlsx") or first.data == second.data


@pytest.mark.parametrize("name", MAKERS)
def test_a_made_file_grows_with_its_size(name):
    small, large = MAKERS[name](Size(athletes=2, throws=3)), MAKERS[name](Size(athletes=6, throws=9))
    assert len(large.expected) > 2 * len(small.expected) > 20


@pytest.mark.parametrize("file", all_files(), ids=lambda file: file.name)
def test_each_expected_reading_is_once_there_plausible_and_of_the_catalogue(file):
    catalogue = load_catalogue()
    places = [(one.athlete, one.day, one.throw, one.metric) for one in file.expected]
    assert len(places) == len(set(places))
    for one in file.expected:
        metric = catalogue.metric(one.metric)
        assert one.moment == metric.moment
        assert catalogue.check_value(one.metric, one.value, metric.storage_unit) is None


def test_a_plain_file_says_in_its_bytes_what_the_truth_says():
    """A slow second look by another road: the standard library's own CSV reader."""
    file = MAKERS["wide_plain"](Size())
    rows = list(csv.DictReader(file.data.decode().splitlines()))
    found = [float(row["Elbow flexion at foot plant (deg)"]) for row in rows]
    assert found == [one.value for one in file.expected if one.metric == "elbow_flexion_fp"]


def test_formulas_carry_the_value_that_was_kept():
    file = MAKERS["book_of_formulas"](Size())
    kept = openpyxl.load_workbook(BytesIO(file.data), data_only=True).active
    formulas = openpyxl.load_workbook(BytesIO(file.data)).active
    last = kept.max_column
    assert formulas.cell(2, last).value.startswith("=")
    speeds = [one.value for one in file.expected if one.metric == "ball_speed"]
    assert [kept.cell(row, last).value for row in range(2, 2 + len(speeds))] == speeds
    assert kept.cell(kept.max_row, last).value == "#DIV/0!"


def test_every_encoding_and_line_end_of_the_list_occurs():
    files = [file.data for file in all_files()]
    assert {b"\xff\xfe", b"\xfe\xff", b"\xef\xbb", b"PK"} <= {data[:2] for data in files}
    assert any(b"\r" in data and b"\n" not in data for data in files if data[:2] != b"PK")
    assert any(b"\x96" in data and not is_utf8(data) for data in files if data[:2] not in (b"PK", b"\xff\xfe"))
    assert any(not data.isascii() and is_utf8(data) and data[:3] != b"\xef\xbb\xbf" for data in files)


def is_utf8(data: bytes) -> bool:
    try:
        data.decode()
    except UnicodeDecodeError:
        return False
    return True
