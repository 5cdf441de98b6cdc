"""Rows → throws. Expected values are worked out by hand from the cells and the definitions of the units."""

import datetime as dt
import math
from dataclasses import replace

import pytest

from metrics.importing.conditions import Conditions
from metrics.importing.problems import REPEATS_SHOWN
from metrics.importing.recipes import ColumnTarget
from metrics.importing.rows import apply_recipe
from metrics.importing.throws import AthleteReference, ImportedTable
from tests.metrics.importing.tables import CATALOGUE, drafted, layout_of

TODAY = dt.date(2026, 4, 1)
ELBOW, LAYBACK = "elbow_flexion_fp@fc", "shoulder_external_rotation_max@mer"


def imported(*rows, change=None, take_advised=False):
    """The table after the drafted recipe; `change` edits that recipe."""
    layout = layout_of(*rows)
    recipe = drafted(layout, take_advised=take_advised)
    return apply_recipe(layout, change(recipe) if change else recipe, CATALOGUE, today=TODAY)


def codes(table):
    return [problem.code for problem in table.problems]


def only_throws(table):
    (group,) = table.groups
    return group.throws


HEAD = ("Athlete ID", "Date", "Throw", "Elbow flexion FC (deg)", "Max ER (deg)")
ROW = ("P-1", "2026-03-25", 1, 92, 170)


def test_a_wide_row_is_a_throw_with_its_readings_and_row_number():
    table = imported(HEAD, ROW, ("P-1", "2026-03-25", 2, 95.5, None))
    (group,) = table.groups
    assert group.athlete == AthleteReference("P-1")
    assert group.date == dt.date(2026, 3, 25)
    first, second = group.throws
    assert first.values == {ELBOW: {"value": 92.0}, LAYBACK: {"value": 170.0}}
    assert second.values == {ELBOW: {"value": 95.5}}
    assert [throw.number for throw in group.throws] == [1, 2]
    assert [throw.row_numbers for throw in group.throws] == [(2,), (3,)]
    assert table.problems == ()


def test_long_rows_come_to_the_same_throws_as_the_wide_table():
    long = imported(
        ("Athlete ID", "Date", "Throw", "Metric", "Value", "Unit"),
        ("P-1", "2026-03-25", 1, "Elbow flexion FC", 92, "deg"),
        ("P-1", "2026-03-25", 1, "Max ER", 170, "deg"),
        ("P-1", "2026-03-25", 2, "Elbow flexion FC", 95.5, "deg"),
        ("P-1", "2026-03-25", 2, "Max ER", None, "deg"),
    )
    wide = imported(HEAD, ROW, ("P-1", "2026-03-25", 2, 95.5, None))
    assert [t.values for t in only_throws(long)] == [t.values for t in only_throws(wide)]
    assert long.problems == ()
    assert [throw.row_numbers for throw in only_throws(long)] == [(2, 3), (4, 5)]


def test_units_of_long_rows_may_vary_row_by_row():
    table = imported(
        ("Athlete ID", "Date", "Throw", "Metric", "Value", "Unit"),
        ("P-1", "2026-03-25", 1, "Max ER", math.pi, "rad"),
        ("P-1", "2026-03-25", 2, "Max ER", 175, "deg"),
        ("P-1", "2026-03-25", 3, "Max ER", 3.0, "rad"),
        ("P-1", "2026-03-25", 1, "Stride length", 58, "in"),
        ("P-1", "2026-03-25", 2, "Stride length", 82, "% height"),
        change=lambda r: replace(r, landing="fc"),
    )
    throws = only_throws(table)
    values = [throw.values[LAYBACK]["value"] for throw in throws]
    assert values == pytest.approx([180, 175, 540 / math.pi])
    assert throws[0].values["stride_length@fc"] == {
        "value": pytest.approx(1.4732),  # 58 × 0.0254
        "unit": "m",
    }
    assert throws[1].values["stride_length@fc"] == {"value": 82.0}


def test_a_flip_holds_in_whatever_unit_the_row_is():
    def inner(recipe):
        names = [replace(n, factor=-n.factor, offset=180.0) for n in recipe.names]
        return replace(recipe, names=tuple(names))

    table = imported(
        ("Athlete ID", "Date", "Throw", "Metric", "Value", "Unit"),
        ("P-1", "2026-03-25", 1, "Elbow flexion BR", 155, "deg"),
        ("P-1", "2026-03-25", 2, "Elbow flexion BR", math.pi, "rad"),
        ("P-1", "2026-03-25", 3, "Elbow flexion BR", 150, "deg"),
        change=inner,
    )
    values = [throw.values["elbow_flexion_br@br"]["value"] for throw in only_throws(table)]
    assert values == pytest.approx([25, 0, 30], abs=1e-9)


def test_a_row_of_units_converts_every_column():
    table = imported(
        ("Athlete ID", "Date", "Throw", "Elbow flexion FC", "Peak pelvis ang vel", "Stride length", "Velo"),
        ("", "", "", "rad", "rad/s", "in", "mph"),
        ("P-1", "2026-03-25", 1, math.pi / 2, 10, 60, 90),
    )
    (throw,) = only_throws(table)
    assert throw.values[ELBOW]["value"] == pytest.approx(90)
    assert throw.values["pelvis_velocity_max@fc-br"]["value"] == pytest.approx(1800 / math.pi)
    assert throw.values["stride_length@fc"] == {"value": pytest.approx(1.524), "unit": "m"}
    assert throw.ball_speed == pytest.approx(40.2336)  # 90 × 0.44704


def test_percent_of_height_stays_percent():
    table = imported(("Throw", "Stride length (% height)"), (1, 82.5))
    assert only_throws(table)[0].values == {"stride_length@landing": {"value": 82.5}}


def test_several_athletes_and_days_become_groups_in_the_order_of_the_file():
    table = imported(
        ("Pitcher", "DOB", "Date", "Throw", "Max ER"),
        ("Ada Moreno", "2008-05-06", "2026-03-25", 1, 170),
        ("Okafor, Ben", "2010-01-02", "2026-03-25", 1, 160),
        ("Ada Moreno", "2008-05-06", "2026-03-26", 1, 171),
        ("Ada Moreno", "2008-05-06", "2026-03-25", 2, 172),
    )
    assert [(g.athlete.name, g.date.day, len(g.throws)) for g in table.groups] == [
        ("Ada Moreno", 25, 2),
        ("Ben Okafor", 25, 1),
        ("Ada Moreno", 26, 1),
    ]
    assert table.groups[0].athlete.birth_date == dt.date(2008, 5, 6)


def test_two_athletes_with_one_name_are_told_apart_by_birth_date():
    table = imported(
        ("Pitcher", "DOB", "Date", "Throw", "Max ER"),
        ("Ada Moreno", "2008-05-06", "2026-03-25", 1, 170),
        ("Ada Moreno", "2011-07-08", "2026-03-25", 1, 160),
    )
    assert [group.athlete.birth_date.year for group in table.groups] == [2008, 2011]


def test_one_id_with_two_names_is_one_athlete_and_said():
    table = imported(
        ("Athlete ID", "Name", "Date", "Throw", "Max ER"),
        ("P-1", "Ada Moreno", "2026-03-25", 1, 170),
        ("P-1", "Ben Okafor", "2026-03-25", 2, 170),
    )
    assert len(table.groups) == 1
    assert codes(table) == ["two_names"]
    assert table.problems[0].row == 3


def test_sessions_of_one_day_are_kept_apart_by_their_label():
    table = imported(
        ("Athlete ID", "Date", "Session", "Throw", "Max ER"),
        ("P-1", "2026-03-25", "am", 1, 170),
        ("P-1", "2026-03-25", "pm", 1, 171),
    )
    assert [group.session_label for group in table.groups] == ["am", "pm"]


def test_a_table_without_athlete_and_date_is_one_group_to_be_asked_about():
    table = imported(("Throw", "Max ER"), (1, 170), (2, 171))
    (group,) = table.groups
    assert group.athlete.is_empty
    assert group.date is None


def test_the_same_throw_twice_with_equal_values_is_noted_once():
    table = imported(HEAD, ROW, ROW, ROW)
    assert len(only_throws(table)) == 1
    assert [(p.code, p.severity) for p in table.problems] == [("throw_twice_same", "note")]


def test_the_same_throw_twice_with_other_values_keeps_the_first_and_says_where():
    table = imported(HEAD, ROW, ("P-1", "2026-03-25", 1, 99, 170))
    assert only_throws(table)[0].values[ELBOW] == {"value": 92.0}
    (problem,) = table.problems
    assert (problem.code, problem.row, problem.column, problem.severity) == (
        "throw_twice_different",
        3,
        "D",
        "error",
    )
    assert "row 2" in problem.sentence


def test_two_rows_that_complete_each_other_are_one_throw():
    table = imported(
        HEAD, ("P-1", "2026-03-25", 1, 92, None), ("P-1", "2026-03-25", 1, None, 170), ("P-1", "2026-03-25", 2, 90, 171)
    )
    assert only_throws(table)[0].values == {ELBOW: {"value": 92.0}, LAYBACK: {"value": 170.0}}
    assert table.problems == ()


def test_repeats_in_long_rows_are_found_too():
    rows = (
        ("Athlete ID", "Date", "Throw", "Metric", "Value"),
        ("P-1", "2026-03-25", 1, "Max ER", 170),
        ("P-1", "2026-03-25", 1, "Max ER", 170),
        ("P-1", "2026-03-25", 1, "Max ER", 175),
    )
    table = imported(*rows)
    assert sorted(codes(table)) == ["throw_twice_different", "throw_twice_same"]
    assert only_throws(table)[0].values[LAYBACK] == {"value": 170.0}


def test_equal_rows_without_throw_numbers_are_one_throw_from_three_values_on():
    head = ("Athlete ID", "Date", "Elbow flexion FC", "Max ER", "Elbow flexion BR")
    row = ("P-1", "2026-03-25", 92.3, 170.1, 22.5)
    assert len(only_throws(imported(head, row, row))) == 1
    assert len(only_throws(imported(head[:4], row[:4], row[:4]))) == 2


def test_an_implausible_value_stays_out_with_its_reason_and_place():
    table = imported(HEAD, ROW, ("P-1", "2026-03-25", 2, 160, 171))
    assert only_throws(table)[1].values[ELBOW] == {"reason": "implausible"}
    assert only_throws(table)[1].values[LAYBACK] == {"value": 171.0}
    (problem,) = table.problems
    assert (problem.code, problem.row, problem.column) == ("implausible", 3, "D")
    assert "160°" in problem.sentence
    assert "accept" in problem.sentence


@pytest.mark.parametrize("accepted", ["*", "elbow_flexion_fp"])
def test_an_implausible_value_is_taken_when_a_person_accepts_it(accepted):
    table = imported(
        HEAD, ("P-1", "2026-03-25", 2, 160, 171), change=lambda r: replace(r, accept_implausible=(accepted,))
    )
    assert only_throws(table)[0].values[ELBOW] == {"value": 160.0}
    assert table.problems == ()


def test_an_absurd_value_is_never_accepted():
    table = imported(HEAD, ("P-1", "2026-03-25", 2, 1e9, 171), change=lambda r: replace(r, accept_implausible=("*",)))
    assert only_throws(table)[0].values[ELBOW] == {"reason": "absurd"}
    assert codes(table) == ["absurd"]


def test_metres_are_held_against_the_span_of_small_and_tall_pitchers():
    # 45 to 115% of 1.10 to 2.20 m: 0.495 to 2.53 m.
    table = imported(("Throw", "Stride length (m)"), (1, 0.5), (2, 2.5), (3, 2.6), (4, 0.49))
    reasons = [throw.values["stride_length@landing"].get("reason") for throw in only_throws(table)]
    assert reasons == [None, None, "implausible", "implausible"]


def test_a_column_in_the_wrong_unit_is_said_once_for_the_column():
    rows = [("P-1", "2026-03-25", n, 900 + n, 170) for n in range(1, 41)]
    table = imported(HEAD, *rows)
    assert codes(table).count("column_implausible") == 1
    assert codes(table).count("absurd") + codes(table).count("implausible") == REPEATS_SHOWN
    assert codes(table).count("more_like_it") == 1


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("eighty", "not_a_number"),
        (math.inf, "not_finite"),
        ("inf", "infinite_number"),
        (dt.date(2026, 9, 2), "date_in_place_of_number"),
        (True, "not_a_number"),
    ],
)
def test_a_cell_that_is_no_number_is_a_problem_there_and_the_rest_is_read(cell, code):
    layout = layout_of(HEAD, ROW, ("P-1", "2026-03-25", 2, cell, 171), ("P-1", "2026-03-25", 3, 95, 172))
    recipe = drafted(layout_of(HEAD, ROW))
    table = apply_recipe(layout, recipe, CATALOGUE, today=TODAY)
    places = [(p.code, p.row, p.column) for p in (*layout.problems, *table.problems)]
    assert places == [(code, 3, "D")]
    assert "value" not in only_throws(table)[1].values.get(ELBOW, {})
    assert only_throws(table)[1].values[LAYBACK] == {"value": 171.0}
    assert len(only_throws(table)) == 3


@pytest.mark.parametrize("cell", ["", "n/a", "-", "#N/A", None])
def test_a_missing_cell_is_absent_and_no_problem(cell):
    layout = layout_of(HEAD, ("P-1", "2026-03-25", 2, cell, 171), ROW)
    table = apply_recipe(layout, drafted(layout_of(HEAD, ROW)), CATALOGUE, today=TODAY)
    assert ELBOW not in only_throws(table)[1].values
    assert table.problems == ()


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("2026-04-02", "date_in_future"),
        ("1900-01-01", "date_too_old"),
        ("soon", "not_a_date"),
        ("03/04/2026", "ambiguous_date"),
        (None, "no_date"),
    ],
)
def test_a_bad_date_costs_its_rows_and_no_others(cell, code):
    table = imported(HEAD, ROW, ("P-1", cell, 2, 92, 170), ("P-1", "2026-03-26", 3, 92, 170))
    assert [group.date.day for group in table.groups] == [25, 26]
    (problem,) = table.problems
    assert (problem.code, problem.row, problem.column) == (code, 3, "B")


def test_a_spreadsheets_day_number_is_read_and_said():
    # ECMA-376 part 1, 18.17.4.1: in the 1900 date system serial number 46106 is 25 March 2026 (worked out with
    # openpyxl.utils.datetime.from_excel).
    table = imported(HEAD, ("P-1", 46106, 1, 92, 170))
    assert [group.date for group in table.groups] == [dt.date(2026, 3, 25)]
    assert [p.sentence for p in table.problems] == [
        "Row 2, column B: “46106” is a spreadsheet's day number and was read as 25 March 2026."
    ]


def test_today_is_no_future_and_without_today_nothing_is():
    assert codes(imported(HEAD, ("P-1", "2026-04-01", 1, 92, 170))) == []
    layout = layout_of(HEAD, ("P-1", "2031-04-01", 1, 92, 170))
    assert apply_recipe(layout, drafted(layout), CATALOGUE).problems == ()


def test_the_date_order_of_the_recipe_decides():
    rows = (HEAD, ("P-1", "03/02/2026", 1, 92, 170))
    assert imported(*rows, change=lambda r: replace(r, date_order="mdy")).groups[0].date == dt.date(2026, 3, 2)
    assert imported(*rows, change=lambda r: replace(r, date_order="dmy")).groups[0].date == dt.date(2026, 2, 3)


def test_a_row_without_athlete_or_throw_is_left_out_and_said():
    table = imported(HEAD, ROW, (None, "2026-03-25", 2, 92, 170), ("P-1", "2026-03-25", None, 92, 170))
    assert [(p.code, p.row, p.column) for p in table.problems] == [("no_athlete", 3, "A"), ("no_throw", 4, "C")]
    assert len(only_throws(table)) == 1


def test_an_impossible_birth_date_is_left_out_and_the_throw_kept():
    table = imported(("Pitcher", "DOB", "Date", "Throw", "Max ER"), ("Ada Moreno", "2062-05-06", "2026-03-25", 1, 170))
    assert table.groups[0].athlete == AthleteReference("", "Ada Moreno")
    assert codes(table) == ["birth_date_unreadable"]


def test_decimal_commas_in_text_are_read_by_the_recipes_mark():
    table = imported(HEAD, ("P-1", "2026-03-25", 1, "92,5", "170,25"), change=lambda r: replace(r, decimal_mark=","))
    assert only_throws(table)[0].values == {ELBOW: {"value": 92.5}, LAYBACK: {"value": 170.25}}


def test_an_adduction_column_is_stored_as_abduction():
    table = imported(("Throw", "Horizontal adduction FC"), (1, -20), (2, -25), take_advised=True)
    values = [throw.values["shoulder_horizontal_abduction_fp@fc"]["value"] for throw in only_throws(table)]
    assert values == [20, 25]


def test_the_landing_of_the_recipe_names_the_moment_of_the_reading():
    rows = (("Throw", "Elbow flexion at landing"), (1, 92))
    keys = {
        landing: set(only_throws(imported(*rows, change=lambda r, x=landing: replace(r, landing=x)))[0].values)
        for landing in ("fc", "fp", "unknown")
    }
    assert keys == {
        "fc": {"elbow_flexion_fp@fc"},
        "fp": {"elbow_flexion_fp@fp"},
        "unknown": {"elbow_flexion_fp@landing"},
    }


def test_a_column_whose_unit_no_longer_fits_is_said_and_the_others_are_read():
    recipe = drafted(layout_of(HEAD, ROW))
    changed = layout_of((*HEAD[:3], "Elbow flexion FC (N)", HEAD[4]), ROW)
    table = apply_recipe(changed, recipe, CATALOGUE, today=TODAY)
    assert only_throws(table)[0].values == {LAYBACK: {"value": 170.0}}
    assert [(p.code, p.column) for p in table.problems] == [("unit_does_not_fit", "D")]


def test_a_column_in_another_unit_of_the_same_kind_is_converted():
    recipe = drafted(layout_of(HEAD, ROW))
    changed = layout_of((*HEAD[:3], "Elbow flexion FC (rad)", HEAD[4]), ("P-1", "2026-03-25", 1, math.pi / 2, 170))
    table = apply_recipe(changed, recipe, CATALOGUE, today=TODAY)
    assert only_throws(table)[0].values[ELBOW]["value"] == pytest.approx(90)


def test_columns_gone_and_new_are_said():
    recipe = drafted(layout_of(HEAD, ROW))
    changed = layout_of((*HEAD[:4], "Something new"), ROW)
    table = apply_recipe(changed, recipe, CATALOGUE, today=TODAY)
    assert sorted(codes(table)) == ["column_missing", "column_new"]
    assert only_throws(table)[0].values == {ELBOW: {"value": 92.0}}


def test_a_recipe_for_the_other_shape_imports_nothing_and_says_so():
    recipe = drafted(layout_of(HEAD, ROW))
    long = layout_of(("Athlete ID", "Throw", "Metric", "Value"), ("P-1", 1, "Max ER", 170))
    table = apply_recipe(long, recipe, CATALOGUE, today=TODAY)
    assert (table.groups, codes(table)) == ((), ["wrong_shape"])


def test_a_name_that_is_not_matched_is_said_once_with_its_count():
    table = imported(
        ("Athlete ID", "Date", "Throw", "Metric", "Value"),
        ("P-1", "2026-03-25", 1, "Max ER", 170),
        change=lambda r: replace(r, names=(ColumnTarget("something else", "ignore"),)),
    )
    assert codes(table) == ["name_unmatched"]
    assert only_throws(table)[0].values == {}


def test_conditions_come_from_the_file_then_from_the_recipe():
    table = imported(
        ("Throw", "Pitch type", "Intent", "Surface", "Ball", "Exclude", "Notes", "Max ER"),
        (1, "CB", "80%", "flat", "7 oz", "x", "slipped", 170),
        (2, None, None, None, None, None, None, 171),
    )
    first, second = only_throws(table)
    assert first.conditions == Conditions(
        "curveball", "controlled", "flat_ground", "weighted", 80.0, pytest.approx(0.198446661875)
    )
    assert (first.excluded, first.comment) == ("marked in the file", "slipped")
    assert second.conditions == Conditions("fastball", "full_effort", "mound", "regulation")
    assert (second.excluded, second.comment) == ("", "")


def test_an_unknown_word_for_a_condition_takes_the_default_and_is_said():
    table = imported(("Throw", "Pitch type", "Max ER"), (1, "gyro thing", 170), (2, "FB", 171), (3, "FB", 170))
    assert only_throws(table)[0].conditions.pitch_type == "fastball"
    assert [(p.code, p.row, p.column) for p in table.problems] == [("unknown_word", 2, "B")]


def test_conditions_of_a_throw_may_stand_in_any_of_its_long_rows_and_must_agree():
    head = ("Athlete ID", "Throw", "Pitch type", "Metric", "Value")
    table = imported(
        head,
        ("P-1", 1, None, "Max ER", 170),
        ("P-1", 1, "CB", "Elbow flexion FC", 92),
        ("P-1", 1, "SL", "Arm slot", 40),
    )
    assert only_throws(table)[0].conditions.pitch_type == "curveball"
    assert codes(table) == ["conditions_differ"]


def test_the_first_throws_are_warm_ups_by_number_unless_the_file_says_otherwise():
    table = imported(
        ("Throw", "Intent", "Max ER"), (3, None, 170), (1, None, 171), (2, "max", 170),
        change=lambda r: replace(r, warm_up_first=2),
    )  # fmt: skip
    assert [(t.number, t.conditions.intent) for t in only_throws(table)] == [
        (1, "warm_up"),
        (2, "full_effort"),
        (3, "full_effort"),
    ]


def test_numbers_at_the_end_of_throw_names_are_used_when_they_are_distinct():
    named = imported(("Trial", "Max ER"), ("FB_07", 170), ("FB_03", 171))
    assert [(t.number, t.label) for t in only_throws(named)] == [(3, "FB_03"), (7, "FB_07")]
    clashing = imported(("Trial", "Max ER"), ("FB_01", 170), ("CB_01", 171))
    assert [(t.number, t.label) for t in only_throws(clashing)] == [(1, "FB_01"), (2, "CB_01")]
    assert codes(clashing) == ["numbered_in_order"]


def test_a_ball_speed_that_no_one_throws_is_left_out_and_said():
    table = imported(("Throw", "Velo (mph)", "Max ER"), (1, 900, 170), (2, 90, 170))
    assert [throw.ball_speed for throw in only_throws(table)] == [None, pytest.approx(40.2336)]
    assert codes(table) == ["implausible"]


def test_the_table_comes_back_equal_from_json():
    table = imported(HEAD, ROW, ("P-1", "2026-03-25", 2, 160, 171))
    assert ImportedTable.from_json(table.to_json()) == table


def test_two_runs_give_equal_tables():
    rows = (HEAD, ROW, ROW, ("P-1", "2026-03-25", 2, 1e9, 171))
    assert imported(*rows) == imported(*rows)


def test_every_problem_says_its_place_and_ends_as_a_sentence():
    table = imported(HEAD, ROW, (None, "soon", 2, 160, 171), ("P-2", "2026-03-25", 1, 160, 1e9))
    assert len(table.problems) >= 4
    for problem in table.problems:
        assert problem.sentence.endswith(".")
        assert f"ow {problem.row}, column {problem.column}: " in problem.sentence


SCREEN_HEAD = ("Athlete ID", "Date", "Trial", "Shoulder IR 90 throwing (deg)", "Shoulder IR 90 other (deg)")


def test_what_is_worked_out_from_the_person_is_never_taken_from_a_wide_table():
    table = imported((*SCREEN_HEAD, "BMI (kg/m2)"), ("P-1", "2026-03-25", 1, 45, 60, 24.1))
    (throw,) = only_throws(table)
    assert throw.values.keys() == {"shoulder_ir_90_throwing@screen", "shoulder_ir_90_other@screen"}
    (problem,) = table.problems
    assert (problem.code, problem.severity) == ("from_person", "note")
    assert "Body" in problem.sentence


def test_nor_from_a_long_one_and_said_once_for_all_rows():
    rows = [("P-1", "2026-03-25", trial, "BMI", 24.1, "kg/m²") for trial in (1, 2, 3)]
    table = imported(
        ("Athlete ID", "Date", "Trial", "Screen", "Value", "Unit"),
        ("P-1", "2026-03-25", 1, "Shoulder IR 90 throwing", 45, "deg"),
        *rows,
    )
    assert [throw.values.keys() for throw in only_throws(table) if throw.values] == [{"shoulder_ir_90_throwing@screen"}]
    assert codes(table) == ["from_person"]


def test_a_side_difference_that_its_sides_do_not_come_to_is_told_with_both_numbers():
    head = (*SCREEN_HEAD, "Shoulder IR deficit (deg)")
    table = imported(head, ("P-1", "2026-03-25", 1, 45, 60, 25), ("P-1", "2026-03-25", 2, 45, 60, 15))
    (problem,) = table.problems
    assert (problem.code, problem.severity, problem.row) == ("differs_from_parts", "warning", 2)
    assert "25" in problem.sentence
    assert "15" in problem.sentence


def test_a_total_rounded_by_another_program_and_one_without_its_parts_are_no_problem():
    head = (*SCREEN_HEAD, "Shoulder IR deficit (deg)")
    table = imported(head, ("P-1", "2026-03-25", 1, 45, 60, 16), ("P-1", "2026-03-25", 2, 45, None, 30))
    assert table.problems == ()
    assert only_throws(table)[1].values["shoulder_ir_deficit@screen"] == {"value": 30.0}
