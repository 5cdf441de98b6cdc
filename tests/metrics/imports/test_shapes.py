"""Tables in the shapes that rooms export, from bytes to readings."""

import io

import openpyxl
import pytest
from django.urls import reverse

from metrics.models import Reading
from sessions.models import CaptureSession, Throw, Upload

BLOCK = "Bullpen report\nAthlete:,Tove Marrin\nID:,TM-1\nDate:,2026-03-02\n\n"
TURNED = (
    "Metric,Unit,Throw 1,Throw 2,Throw 3,Mean,SD\n"
    "Elbow flexion at foot contact,deg,92.5,93,93.5,93,0.5\n"
    "Max layback,deg,171,oops,173,172,1\n"
    "Stride length,% height,78,79,9999,78.5,0.5\n"
)
GROUPED = (
    "ID,Date,Throw,FC,,MER,\n"
    ",,,Elbow flexion (deg),Shoulder external rotation (deg),Elbow flexion (deg),Trunk rotation (deg)\n"
    "TM-1,2026-03-02,1,92.5,52,91,-2\n"
    "TM-1,2026-03-02,2,93,53,92,-3\n"
    "TM-1,2026-03-02,3,94,54,93,-4\n"
)


def values_of_throws():
    return {reading.throw.number: reading.values for reading in Reading.objects.select_related("throw")}


def test_a_turned_table_with_a_block_becomes_the_athletes_session(room, pair):
    upload = room.match(room.upload(BLOCK + TURNED))
    (unit,) = room.units(upload)
    assert (upload.state, unit.athlete, str(unit.date)) == (Upload.State.READY, pair[0], "2026-03-02")
    assert [problem["sentence"] for problem in unit.problems] == [
        "Row 8, column D: “oops” is no number; it was left out. Correct or clear it."
    ]

    room.accept(upload)

    found = values_of_throws()
    assert set(found) == {1, 2, 3}
    assert found[1] == {
        "elbow_flexion_fp@fc": {"value": 92.5},
        "shoulder_external_rotation_max@mer": {"value": 171.0},
        "stride_length@fc": {"value": 78.0},
    }
    assert found[2]["shoulder_external_rotation_max@mer"] == {"reason": "not_a_number"}
    assert "stride_length@fc" not in found[3]


def test_the_pages_name_rows_and_columns_of_a_turned_file_as_they_stand_in_it(client, room, pair):
    client.force_login(room.coach)
    upload = room.upload(BLOCK + TURNED)
    page = client.get(reverse("metrics:import", args=[upload.uuid])).content.decode()
    assert "turned to one row a throw" in page
    assert "Row 7:" in page
    assert "Cell B2:" in page

    unit = room.units(room.match(upload))[0]
    page = client.get(reverse("metrics:unit", args=[upload.uuid, unit.uuid])).content.decode()
    assert ">Columns</th>" in page
    assert "<td>C</td>" in page


def test_the_next_file_with_the_same_block_and_names_takes_one_tap(room, pair):
    room.accept(room.match(room.upload(BLOCK + TURNED)))
    other = BLOCK.replace("Tove Marrin", "Ikem Doull").replace("TM-1", "ID-2")
    upload = room.upload(other + TURNED.replace("92.5", "95.5"))
    assert upload.state == Upload.State.READY
    assert [unit.athlete for unit in room.units(upload)] == [pair[1]]


def test_two_rows_of_names_give_each_metric_its_moment(room, pair):
    room.accept(room.match(room.upload(GROUPED)))
    assert values_of_throws()[1] == {
        "elbow_flexion_fp@fc": {"value": 92.5},
        "shoulder_external_rotation_fp@fc": {"value": 52.0},
        "elbow_flexion_mer@mer": {"value": 91.0},
        "trunk_rotation_mer@mer": {"value": -2.0},
    }


def workbook(*sheets: tuple[str, str]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, text in sheets:
        sheet = book.create_sheet(title)
        for line in text.splitlines():
            sheet.append([float(cell) if cell.replace(".", "").isdigit() else cell for cell in line.split(",")])
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


SHEET = "Date,Throw,Elbow flexion at foot contact,Max layback\n2026-03-02,1,92.5,171\n2026-03-02,2,93,172\n"


def test_a_sheet_an_athlete_is_read_by_the_sheets_names(room, pair):
    data = workbook(("Tove Marrin", SHEET), ("Ikem Doull", SHEET.replace("92.5", "95.5")))
    upload = room.match(room.upload(data, "day.xlsx"))
    named = [(unit.sheet, unit.athlete_reference["name"], len(unit.payload["throws"])) for unit in room.units(upload)]
    assert named == [("Tove Marrin", "Tove Marrin", 2), ("Ikem Doull", "Ikem Doull", 2)]


@pytest.mark.parametrize(
    ("title", "roles"),
    [("TM-1", ["athlete_id"]), ("Reyes, Jordan", ["athlete_name"]), ("Sheet 1", ["ignore"]), ("Throws", ["ignore"])],
)
def test_what_a_sheets_name_is_taken_for(room, title, roles):
    (sheet,) = room.draft(room.upload(workbook((title, SHEET)), "day.xlsx")).layouts
    assert [one["role"] for one in sheet["suggestions"] if one["key"] == "sheet name"] == roles


def test_a_sheets_name_is_no_column_where_the_columns_say_who_and_when(room):
    (sheet,) = room.draft(room.upload(workbook(("Tove Marrin", "ID,TM\n" + GROUPED)), "day.xlsx")).layouts
    assert "sheet name" not in [column["key"] for column in sheet["columns"]]


def test_a_sheets_name_may_be_the_day(room, pair):
    text = SHEET.replace("Date", "ID").replace("2026-03-02", "TM-1")
    upload = room.match(room.upload(workbook(("2026-03-02", text)), "day.xlsx"))
    assert [(unit.athlete, str(unit.date)) for unit in room.units(upload)] == [(pair[0], "2026-03-02")]


def test_cells_with_units_and_stand_ins_become_readings_and_gaps(room, pair):
    text = (
        "ID,Date,Throw,Elbow flexion at foot contact,Max layback\n"
        "TM-1,2026-03-02,1,1.6 rad,171°\nTM-1,2026-03-02,2,1.7 rad,172°\nTM-1,2026-03-02,3,1.65 rad,9999\n"
    )
    room.accept(room.match(room.upload(text)))
    found = values_of_throws()
    assert found[1]["elbow_flexion_fp@fc"]["value"] == pytest.approx(91.673, abs=1e-3)
    assert found[1]["shoulder_external_rotation_max@mer"] == {"value": 171.0}
    assert "shoulder_external_rotation_max@mer" not in found[3]
    assert (CaptureSession.objects.count(), Throw.objects.count()) == (1, 3)
