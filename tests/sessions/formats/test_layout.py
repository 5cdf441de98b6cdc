import pytest

from sessions.formats import Table, understand_layout
from sessions.formats.headers import long_columns
from sessions.formats.limits import REPEATS_SHOWN
from sessions.formats.understanding import fingerprint
from sessions.formats.unit_words import split_unit

HEAD = ("Athlete", "Throw", "Elbow flexion", "Stride")
BODY = (("Sam", 1.0, 88.0, 80.0), ("Sam", 2.0, 89.0, 81.0), ("Ben", 1.0, 95.0, 78.0))


def layout(*rows, sheet=""):
    return understand_layout(Table(sheet, tuple(rows)))


def codes(found):
    return [(p.code, p.row, p.column) for p in found.problems]


@pytest.mark.parametrize(
    ("header", "name", "unit"),
    [
        ("Elbow flexion (deg)", "Elbow flexion", "deg"),
        ("Elbow flexion [deg]", "Elbow flexion", "deg"),
        ("Elbow flexion [°] FP", "Elbow flexion FP", "°"),
        ("Elbow flexion (FP)", "Elbow flexion (FP)", ""),
        ("Elbow flexion (FP) (deg)", "Elbow flexion (FP)", "deg"),
        ("Elbow flexion, deg", "Elbow flexion", "deg"),
        ("elbow_flexion_deg", "elbow_flexion", "deg"),
        ("pelvis_velocity_deg_s", "pelvis_velocity", "deg/s"),
        ("Stride (% height)", "Stride", "% height"),
        ("Ball speed mph", "Ball speed", "mph"),
        ("(deg)", "(deg)", ""),
        ("Throw", "Throw", ""),
        ("Time in", "Time in", ""),
    ],
)
def test_unit_in_a_header(header, name, unit):
    assert split_unit(header) == (name, unit)


def test_unit_row_wins_over_the_header_and_is_no_throw():
    found = layout(("Athlete", "Throw", "Elbow (rad)", "Stride (m)"), (None, "-", "[deg]", None), *BODY)
    assert [c.unit_text for c in found.columns] == ["", "", "deg", "m"]
    assert found.row_numbers == (3, 4, 5)


def test_a_row_of_words_that_are_no_units_is_a_throw():
    found = layout(("Athlete", "Pitch", "Note"), ("Sam", "fastball", "good"), ("Ben", "slider", "late"))
    assert found.unit_row is None
    assert len(found.row_numbers) == 2


@pytest.mark.parametrize("name", ["metric", "Metric name", "PARAMETER", "variable_name"])
def test_a_metric_and_a_value_column_make_a_long_table(name):
    found = layout(("athlete", "throw", name, "Value"), ("Sam", 1.0, "elbow", 88.0), ("Sam", 1.0, "stride", 80.0))
    assert found.shape == "long"
    assert long_columns(found.headers) == {"metric": 2, "value": 3}


def test_metric_named_mean_in_a_long_table_is_no_summary():
    found = layout(("athlete", "throw", "metric", "value"), ("Sam", 1.0, "mean", 88.0), ("Sam", "mean", "elbow", 80.0))
    assert found.row_numbers == (2,)


def test_summary_rows_are_left_out_and_told():
    found = layout(HEAD, *BODY, (), ("Mean", None, 90.7, 79.7), ("SD", None, 3.8, 1.5), ("Max", None, 95.0, 81.0))
    assert found.row_numbers == (2, 3, 4)
    assert codes(found) == [("summary_row", n, None) for n in (6, 7, 8)]
    assert found.problems[0].sentence == "Row 6: the row that says “Mean” sums up other rows and was left out."


def test_athlete_called_max_keeps_his_throws():
    found = layout(HEAD, ("Max", 1.0, 88.0, 80.0), *BODY)
    assert found.row_numbers == (2, 3, 4, 5)
    assert found.problems == ()


def test_athlete_called_max_keeps_his_throws_when_a_summary_stands_elsewhere():
    found = layout(HEAD, ("Max", 1.0, 88.0, 80.0), *BODY, ("Mean", None, 90.0, 79.0))
    assert found.row_numbers == (2, 3, 4, 5)


def test_names_said_again_and_remarks_are_left_out():
    found = layout(HEAD, *BODY, HEAD, BODY[0], ("exported by room 2", None, None, None))
    assert found.row_numbers == (2, 3, 4, 6)
    assert codes(found) == [("repeated_header", 5, None), ("comment_row", 7, None)]


def test_rows_of_another_length_are_told_at_their_row():
    found = layout(HEAD, ("Sam", 1.0, 88.0), ("Sam", 2.0, 8.0, 9.0, 80.0), *BODY)
    assert found.row_numbers == (2, 4, 5, 6)
    assert found.columns[3].values[0] is None
    assert [p.sentence for p in found.problems] == [
        "Row 2: the row has 3 cells and there are 4 columns; what is missing was taken as not measured.",
        "Row 3: the row has 5 cells and there are 4 columns, so it was left out. A comma inside a value does this: "
        "put the value in quotation marks.",
    ]


def test_same_name_twice_is_told_and_same_name_with_another_unit_is_not():
    found = layout(("Throw", "Elbow", "elbow", "Stride (m)", "Stride (cm)"), (1.0, 2.0, 3.0, 4.0, 5.0))
    assert codes(found) == [("duplicate_header", None, "C")]
    assert "column B" in found.problems[0].sentence


def test_column_without_a_name_is_told_and_empty_ones_vanish():
    found = layout(
        (None, "Athlete", "Throw", "Elbow", None), (0.0, "Sam", 1.0, 88.0, None), (1.0, "Sam", 2.0, 89.0, None)
    )
    assert [c.letter for c in found.columns] == ["A", "B", "C", "D"]
    assert codes(found) == [("blank_header", None, "A")]


@pytest.mark.parametrize("word", ["NA", "n/a", "-", "#DIV/0!", "NaN", "#N/A", "missing"])
def test_missing_words_become_none_and_are_remembered(word):
    found = layout(HEAD, *BODY, ("Ben", 2.0, word, 80.0))
    column = found.columns[2]
    assert column.values == (88.0, 89.0, 95.0, None)
    assert column.missing == ((5, word),)
    assert codes(found) == [("missing_words", None, "C")]


@pytest.mark.parametrize(
    ("word", "code"),
    [
        ("inf", "infinite_number"),
        ("-Infinity", "infinite_number"),
        ("∞", "infinite_number"),
        ("1e308", "number_out_of_reach"),
        ("1e999", "number_out_of_reach"),
        ("-9999999999999999", "number_out_of_reach"),
    ],
)
def test_numbers_that_nothing_can_measure_are_problems_at_their_cell(word, code):
    found = layout(HEAD, *BODY, ("Ben", 2.0, word, 80.0))
    assert found.columns[2].values[-1] is None
    assert codes(found) == [(code, 5, "C")]
    assert found.problems[0].sentence.startswith(f"Row 5, column C: “{word}” is")


@pytest.mark.parametrize(("rows", "code"), [(BODY, "no_header"), ((HEAD,), "no_rows")])
def test_tables_without_names_or_without_rows_are_not_read(rows, code):
    found = layout(*rows)
    assert code in [p.code for p in found.problems]
    assert not found.readable


def test_many_problems_of_one_kind_are_counted():
    found = layout(HEAD, *BODY, *[("Sam", 1.0, 88.0)] * (REPEATS_SHOWN + 5))
    assert len(found.problems) == REPEATS_SHOWN + 1
    assert found.problems[-1].sentence.startswith("And 5 more of the same kind in this sheet: Row 5")


def test_problem_in_a_sheet_names_it():
    found = layout(HEAD, ("Sam", 1.0, "inf", 2.0), *BODY, sheet="Hall 2")
    assert found.problems[0].sentence.startswith("Sheet “Hall 2”, row 2, column C: “inf” is no number")
    assert (found.problems[0].sheet, found.problems[0].severity) == ("Hall 2", "error")


def test_fingerprint_is_of_the_header_alone():
    first = layout(("Athlete", "Throw", "Elbow  Flexion (deg)"), ("Sam", 1.0, 88.0))
    again = layout(("Report",), (), ("athlete", "throw", "elbow flexion"), (None, None, "deg"), ("Ben", 4.0, 12.0))
    other_unit = layout(("Athlete", "Throw", "Elbow Flexion (rad)"), ("Sam", 1.0, 88.0))
    other_order = layout(("Throw", "Athlete", "Elbow Flexion (deg)"), (1.0, "Sam", 88.0))
    assert first.fingerprint == again.fingerprint
    assert len({first.fingerprint, other_unit.fingerprint, other_order.fingerprint}) == 3
    assert fingerprint("wide", [("ab", "c")]) != fingerprint("wide", [("a", "bc")])
