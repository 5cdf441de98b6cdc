"""Tables that stand otherwise than one row of names above one row a throw."""

import pytest

from sessions.formats import Layout, Table, understand_layout

TURNED = (
    ("Metric", "Event", "Unit", "Throw 1", "Throw 2", "Throw 3", "Mean", "SD"),
    ("Elbow flexion", "FC", "deg", 88.0, 89.0, 90.0, 89.0, 1.0),
    ("Elbow flexion", "MER", "deg", 91.0, "NA", 93.0, 92.0, 1.4),
    ("Ball speed", None, "mph", 80.0, 81.0, 82.0, 81.0, 1.0),
)
BLOCK = (("Athlete", "Jordan Reyes"), ("Date:", "2026-03-01"), ())


def layout(*rows, decimal_mark="."):
    return understand_layout(Table("", tuple(rows)), decimal_mark=decimal_mark)


def columns(found):
    return {column.title: column.values for column in found.columns}


def test_a_table_with_a_throw_a_column_is_turned():
    found = layout(*TURNED)
    assert (found.shape, found.turned, found.readable) == ("wide", True, True)
    assert columns(found) == {
        "Throw": ("Throw 1", "Throw 2", "Throw 3"),
        "Elbow flexion · FC": (88.0, 89.0, 90.0),
        "Elbow flexion · MER": (91.0, None, 93.0),
        "Ball speed": (80.0, 81.0, 82.0),
    }
    assert [column.unit_text for column in found.columns] == ["", "deg", "deg", "mph"]


def test_what_is_said_of_a_turned_table_stands_where_the_file_has_it():
    found = layout(*BLOCK, *TURNED, ("Hip", None, "deg", "inf", 2.0, 3.0, None, None), ("by room 2",))
    assert [p.sentence for p in found.problems] == [
        "Row 4: each throw stands in a column here; the table was turned to read it.",
        "Column G: the column “Mean” sums up others and was left out.",
        "Column H: the column “SD” sums up others and was left out.",
        "Row 9: no throw has a value here; the line was left out: “by room 2”.",
        "Row 6: 1 cells say “NA”; they were taken as not measured.",
        "Row 8, column D: “inf” is no number that can be measured; it was left out. Correct or clear it.",
    ]
    assert found.row_numbers == (4, 5, 6)
    assert [column.letter for column in found.columns] == ["4", "5", "6", "7", "8", "B1", "B2"]


def test_the_block_above_a_table_holds_for_all_its_throws():
    for table in (TURNED, (("Throw", "Elbow", "Hip"), (1.0, 2.0, 3.0), (2.0, 3.0, 4.0), (3.0, 4.0, 5.0))):
        found = columns(layout(("Report of the room",), *BLOCK, *table))
        assert found["Athlete"] == ("Jordan Reyes",) * 3
        assert found["Date"] == ("2026-03-01",) * 3
        assert "Report of the room" not in found


@pytest.mark.parametrize(
    "line",
    [
        ("Athlete: Jordan Reyes",),
        ("# Athlete = Jordan Reyes",),
        ("Athlete:", "Jordan Reyes", "Room:", "North"),
        ("Session 4", "Athlete:", "Jordan Reyes"),
    ],
)
def test_ways_to_write_a_line_of_the_block(line):
    found = layout(line, ("Throw", "Elbow", "Hip", "Knee"), (1.0, 2.0, 3.0, 4.0), (2.0, 3.0, 4.0, 5.0))
    assert columns(found)["Athlete"] == ("Jordan Reyes",) * 2


@pytest.mark.parametrize("line", [("Exported 12:30",), ("https://example.org",), ("all throws from the mound",)])
def test_remarks_above_a_table_are_no_block(line):
    found = layout(line, ("Throw", "Elbow"), (1.0, 2.0), (2.0, 3.0))
    assert list(columns(found)) == ["Throw", "Elbow"]


@pytest.mark.parametrize(
    "names", [(1.0, 2.0, 3.0), ("T1", "T2", "T3"), ("trial_07", "trial_08", "trial_09"), ("FB1", "FB2", "FB3")]
)
def test_names_that_throws_have(names):
    found = layout(("Metric", *names), ("Elbow", 88.0, 89.0, 90.0), ("Hip", 1.0, 2.0, 3.0))
    assert found.turned
    assert found.columns[0].values == names


def test_a_moment_that_is_joined_over_several_rows_holds_for_all_of_them():
    found = layout(
        (None, None, "Pitch 1", "Pitch 2"),
        ("FC", "Elbow", 1.0, 2.0),
        (None, "Hip", 3.0, 4.0),
        ("MER", "Elbow", 5.0, 6.0),
        ("Ball speed", None, 80.0, 81.0),
    )
    assert list(columns(found))[1:] == ["FC · Elbow", "FC · Hip", "MER · Elbow", "Ball speed"]


@pytest.mark.parametrize(
    "rows",
    [
        (("Athlete", "Throw", "Elbow", "Hip"), ("Sam", 1.0, 2.0, 3.0), ("Ben", 1.0, 4.0, 5.0), ("Tom", 1.0, 7.0, 8.0)),
        (("Marker 1", "Marker 2", "Marker 3"), (1.0, 2.0, 3.0), (4.0, 5.0, 6.0)),
        (("Athlete", "T1", "T2"), ("Sam", 1.0, 2.0), ("Sam", 3.0, 4.0), ("Sam", 3.0, 4.0)),
    ],
)
def test_tables_with_a_throw_a_row_stay_as_they_are(rows):
    assert not layout(*rows).turned


GROUPED = (
    ("Throw", "FC", None, "MER", None, "Ball speed"),
    (None, "Elbow flexion (deg)", "Hip", "Elbow flexion (deg)", "Hip", None),
    (1.0, 2.0, 3.0, 4.0, 5.0, 80.0),
    (2.0, 3.0, 4.0, 5.0, 6.0, 81.0),
)


def test_names_in_two_rows_are_joined():
    found = layout(*GROUPED)
    titles = ["Throw", "FC · Elbow flexion (deg)", "FC · Hip", "MER · Elbow flexion (deg)", "MER · Hip", "Ball speed"]
    assert list(columns(found)) == titles
    assert [column.unit_text for column in found.columns] == ["", "deg", "", "deg", "", ""]
    assert [(p.code, p.severity, p.row) for p in found.problems] == [("two_header_rows", "note", 1)]
    assert found.row_numbers == (3, 4)


def test_moments_may_stand_only_above_their_own_columns():
    found = layout(
        (None, "FC", None, "MER", None), ("Throw", "Elbow", "Hip", "Elbow", "Hip"), (1.0, 2.0, 3.0, 4.0, 5.0)
    )
    assert list(columns(found)) == ["Throw", "FC · Elbow", "FC · Hip", "MER · Elbow", "MER · Hip"]


def test_units_may_stand_below_two_rows_of_names_and_above_one():
    below = layout(*GROUPED[:2], (None, "rad", "deg", "rad", "deg", "mph"), *GROUPED[2:])
    above = layout((None, "rad", "mph"), ("Throw", "Elbow", "Ball speed"), (1.0, 2.0, 80.0), (2.0, 2.0, 80.0))
    assert [column.unit_text for column in below.columns] == ["", "rad", "deg", "rad", "deg", "mph"]
    assert [column.unit_text for column in above.columns] == ["", "rad", "mph"]
    assert above.unit_row == 1


def test_numbers_that_stand_for_missing_values_are_taken_for_such():
    found = layout(("Throw", "Elbow", "Hip"), (1.0, 88.0, -9999.0), (2.0, 9999.0, 30.0), (3.0, 90.0, 31.0))
    assert columns(found) == {"Throw": (1.0, 2.0, 3.0), "Elbow": (88.0, None, 90.0), "Hip": (None, 30.0, 31.0)}
    assert found.columns[1].missing == ((3, "9999"),)
    assert found.problems[0].sentence == (
        "Column B: 9999 stands for a missing value here, 1 times; it was taken as not measured."
    )


def test_a_fast_arm_is_no_missing_value_until_the_table_says_so_elsewhere():
    fast = layout(("Throw", "Arm speed"), (1.0, 9999.0), (2.0, 7200.0), (3.0, 7100.0))
    both = layout(("Throw", "Arm speed", "Elbow"), (1.0, 9999.0, 9999.0), (2.0, 7200.0, 88.0), (3.0, 7100.0, 89.0))
    close = layout(("Throw", "Trunk speed", "Elbow"), (1.0, 999.0, 999.0), (2.0, 1050.0, 88.0), (3.0, 990.0, 89.0))
    assert columns(fast)["Arm speed"] == (9999.0, 7200.0, 7100.0)
    assert columns(both)["Arm speed"] == (None, 7200.0, 7100.0)
    assert columns(close)["Trunk speed"] == (999.0, 1050.0, 990.0)
    assert columns(close)["Elbow"] == (None, 88.0, 89.0)


def test_in_a_long_table_each_metric_is_looked_at_by_itself():
    head = ("Athlete", "Throw", "Metric", "Value")
    found = layout(head, ("Sam", 1.0, "Elbow", 9999.0), ("Sam", 2.0, "Elbow", 88.0), ("Sam", 2.0, "Arm speed", 7000.0))
    assert columns(found)["Value"] == (None, 88.0, 7000.0)


@pytest.mark.parametrize(
    ("cells", "values", "unit"),
    [
        (("88 deg", "89.5 deg"), (88.0, 89.5), "deg"),
        (("88°", "-3°"), (88.0, -3.0), "°"),
        (("88 deg", "1.5 rad"), ("88 deg", "1.5 rad"), ""),
        (("Sam 1", "Sam 2"), ("Sam 1", "Sam 2"), ""),
        (("81 mph", None), (81.0, None), "mph"),
    ],
)
def test_cells_that_carry_their_unit(cells, values, unit):
    found = layout(("Throw", "Elbow"), *((float(n), cell) for n, cell in enumerate(cells, 1)))
    assert (found.columns[1].values, found.columns[1].unit_text) == (values, unit)


def test_a_decimal_comma_before_a_unit_is_read_as_the_file_has_it():
    found = layout(("Throw", "Elbow"), (1.0, "88,5 deg"), (2.0, "89,25 deg"), decimal_mark=",")
    assert found.columns[1].values == (88.5, 89.25)


def test_a_unit_in_the_cells_against_the_header_is_left_to_a_person():
    found = layout(("Throw", "Elbow (rad)"), (1.0, "88 deg"), (2.0, "89 deg"))
    assert found.columns[1].values == ("88 deg", "89 deg")


def test_turned_layouts_keep_what_they_are_as_json():
    found = layout(*BLOCK, *TURNED)
    assert Layout.from_json(found.to_json()) == found
