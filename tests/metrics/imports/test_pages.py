"""The one address of an upload, as a coach uses it: match, preview, answers, accept, what it became."""

import datetime as dt
import math

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from athletes.models import ViewLog
from metrics.importing.recipes import Recipe
from metrics.models import ImportRecipe, ImportUnit
from metrics.services.imports.accepting import accept_upload
from metrics.services.imports.reading import read_upload
from sessions.models import CaptureSession, Throw, Upload
from sessions.services.uploads import withdraw_upload
from tests.conftest import CAST
from tests.factories import AthleteFactory, UploadFactory
from tests.metrics.imports.conftest import HEADER, UNITS, rows
from tests.metrics.imports.forms import form_values

STAFF = ("admin", "coach")
TOVE = rows("Tove Marrin", "TM-1", "2026-03-02")
IKEM = rows("Ikem Doull", "ID-2", "2026-03-02", 4)


class Desk:
    """A coach at the pages, with the worker run by hand between the presses."""

    def __init__(self, client, room) -> None:
        self.client, self.room = client, room

    def address(self, name: str, upload: Upload, *more: object) -> str:
        return reverse(f"metrics:{name}", args=[upload.uuid, *more])

    def page(self, upload: Upload, **query: str):
        return self.client.get(self.address("import", upload), query)

    def text(self, upload: Upload) -> str:
        return self.page(upload).content.decode()

    def match_values(self, upload: Upload) -> dict[str, str]:
        return form_values(self.page(upload).content, "match-form")

    def keep_match(self, upload: Upload, **changes: str):
        """Sends the match page as it stands, with changes ("c4__unit" for "c4-unit"), and lets the worker read."""
        values = self.match_values(upload) | {name.replace("__", "-"): value for name, value in changes.items()}
        answer = self.client.post(self.address("match", upload), values)
        read_upload(upload.pk)
        upload.refresh_from_db()
        return answer

    def matched(self, text: str, **changes: str) -> Upload:
        upload = self.room.upload(text)
        assert self.keep_match(upload, **changes).status_code == 302
        return upload

    def answer(self, name: str, upload: Upload, *more: object, **data: str) -> str:
        """Presses a button of the preview; the page that follows."""
        return self.client.post(self.address(name, upload, *more), data, follow=True).content.decode()

    def accept(self, upload: Upload, **data: str):
        values = form_values(self.page(upload).content, self.address("import-accept", upload)) | data
        return self.client.post(self.address("import-accept", upload), values, follow=True)

    def recipe(self) -> Recipe:
        return Recipe.from_json(ImportRecipe.objects.get(retired_at=None).recipe)


@pytest.fixture
def desk(room, pair, client_of, coach) -> Desk:
    return Desk(client_of(coach), room)


def targets(recipe: Recipe) -> dict[str, object]:
    return {target.header: target for target in (*recipe.columns, *recipe.names)}


# ---- who reaches what -----------------------------------------------------------------------------------

GETS = ("import", "match", "match-row", "import-problems")
POSTS = ("match", "match-leave-out", "import-conditions", "import-keep-values", "import-accept")
UNIT_POSTS = ("unit-athlete", "unit-date", "unit-target", "unit-leave-out", "unit-take-back")


@pytest.mark.parametrize("name", sorted(set(CAST) - set(STAFF)))
def test_others_get_the_404_of_a_missing_upload_everywhere(cast, client_of, room, pair, name):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    unit = room.units(upload)[0]
    client = client_of(cast[name])
    calls = [(client.get, f"metrics:{one}", [upload.uuid]) for one in GETS]
    calls += [(client.post, f"metrics:{one}", [upload.uuid]) for one in POSTS]
    calls += [(client.post, f"metrics:{one}", [upload.uuid, unit.uuid]) for one in UNIT_POSTS]
    calls += [(client.get, "metrics:unit", [upload.uuid, unit.uuid])]
    assert {call(reverse(address, args=args)).status_code for call, address, args in calls} == {404}


def test_the_lines_of_the_list_tell_a_stranger_nothing(cast, client_of, room, pair):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    for name in CAST:
        answer = client_of(cast[name]).get(reverse("metrics:import-lines"), {"upload": [upload.uuid, "no uuid"]})
        assert ("North room" in answer.content.decode()) is (name in STAFF)


def test_a_withdrawn_upload_has_no_page(desk, room, coach):
    upload = room.upload(HEADER + UNITS + TOVE)
    withdraw_upload(upload=upload, by=coach)
    assert desk.page(upload).status_code == 404


def test_a_unit_of_another_upload_is_not_found_under_this_one(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    other = room.upload(HEADER + UNITS + IKEM)
    unit = room.units(other)[0]
    assert desk.client.get(desk.address("unit", upload, unit.uuid)).status_code == 404


def test_a_look_at_a_preview_is_noted_for_its_athletes(desk, room, pair):
    upload = room.match(room.upload(HEADER + UNITS + TOVE + IKEM))
    desk.page(upload)
    assert {log.athlete_uuid for log in ViewLog.objects.all()} == {athlete.uuid for athlete in pair}


# ---- progress and refusal -------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["received", "reading", "accepting"])
def test_while_work_goes_on_the_page_says_what_is_done_and_asks_again(desk, state):
    upload = UploadFactory(state=state, stage="matching columns", step=2, steps=3)
    text = desk.text(upload)
    assert "matching columns" in text
    assert 'hx-trigger="every 1s"' in text


def test_a_page_without_work_asks_for_nothing(desk, room):
    assert "every 1s" not in desk.text(room.upload(HEADER + UNITS + TOVE))


BAD_FILES = {
    "letter.csv": (b"Dear coach,\nthis is no table at all.\nBest\n", "no columns were found"),
    "mat.xlsx": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 2000, ""),
    "cut.xlsx": (b"PK\x03\x04cut short", "damaged or cut short"),
}


@pytest.mark.parametrize("filename", BAD_FILES)
def test_a_file_that_cannot_be_read_says_why_and_can_be_read_again(desk, room, filename):
    data, words = BAD_FILES[filename]
    upload = room.upload(data, filename)
    text = desk.text(upload)
    assert upload.state == Upload.State.REFUSED
    assert upload.error_sentence
    assert words.lower() in text.lower()
    assert reverse("sessions:upload-again", args=[upload.uuid]) in text
    assert not CaptureSession.objects.exists()


# ---- match: what the page shows -------------------------------------------------------------------------


def test_each_column_stands_with_its_samples_suggestion_unit_and_conversion(desk, room):
    table = "Name,Date,Throw,Elbow flexion FP (rad)\nTove Marrin,2026-03-02,1,1.5708\n"
    text = desk.text(room.upload(table))
    assert "1.5708" in text
    assert "rad → deg, × 57.3" in text
    assert "1.5708 → 90.0°" in text


def test_a_guessed_unit_says_so(desk, room):
    table = "Name,Date,Throw,Elbow flexion FP,Max layback\n" + "".join(
        f"Tove Marrin,2026-03-02,{n},{1.5 + n / 100},{2.9 + n / 100}\n" for n in range(1, 5)
    )
    text = desk.text(room.upload(table))
    assert "guessed from the size of the values" in text


def test_numbers_that_run_the_other_way_ask_and_are_not_turned_by_themselves(desk, room):
    table = HEADER.replace("Stride length", "Hip shoulder separation at FP") + UNITS.replace("% height", "deg")
    table += "".join(f"Tove Marrin,TM-1,2026-03-02,{n},92,52,171,{-40 - n}\n" for n in range(1, 6))
    upload = room.upload(table)
    assert "The numbers run the other way" in desk.text(upload)
    assert desk.match_values(upload)["c7-sign"] == "as_it_is"


def test_a_height_column_is_left_unused_and_the_page_says_where_body_size_belongs(desk, room):
    upload = room.upload("Name,Date,Throw,Height,Elbow flexion FP\nTove Marrin,2026-03-02,1,72,92\n")
    assert "Body size is kept with the athlete" in desk.text(upload)
    assert desk.match_values(upload)["c3-what"] == "ignore"


def test_two_columns_for_one_metric_ask_which_is_meant(desk, room):
    upload = room.upload("Name,Date,Throw,Max layback,Maximum layback\nTove Marrin,2026-03-02,1,171,172\n")
    assert "is taken for the same" in desk.text(upload)


def test_a_row_is_drawn_anew_for_another_choice(desk, room):
    upload = room.upload(HEADER + UNITS + TOVE)
    query = {
        "sheet": room.draft(upload).layouts[0]["fingerprint"],
        "row": "c6",
        "c6-what": "metric:elbow_flexion_fp",
        "c6-unit": "rad",
        "c6-sign": "inner",
    }
    text = desk.client.get(desk.address("match-row", upload), query).content.decode()
    assert "× 57.3" in text
    assert text.count("<tr") == 1


def test_hands_on_screens_stand_in_the_lists_when_they_are_asked_for(desk, room):
    upload = room.upload(HEADER + UNITS + TOVE)
    sheet = room.draft(upload).layouts[0]["fingerprint"]
    plain = desk.client.get(desk.address("match", upload), {"sheet": sheet}).content.decode()
    wide = desk.client.get(desk.address("match", upload), {"sheet": sheet, "screens": "1"}).content.decode()
    assert "Hands-on screens&quot;" not in plain
    assert 'label="Hands-on screens"' not in plain
    assert 'label="Hands-on screens"' in wide


# ---- match: from the form to the recipe -----------------------------------------------------------------


def test_what_the_page_suggests_is_what_the_recipe_keeps(desk, room):
    desk.matched(HEADER + UNITS + TOVE)
    found = targets(desk.recipe())
    assert (found["id"].role, found["date"].role, found["throw"].role) == ("athlete_id", "date", "throw_number")
    elbow = found["elbow flexion at foot contact"]
    assert (elbow.metric, elbow.unit_text, elbow.factor, elbow.landing) == ("elbow_flexion_fp", "deg", 1.0, "fc")


def test_a_unit_and_an_inner_angle_become_factor_and_offset(desk, room):
    desk.matched(HEADER + UNITS + TOVE, c4__unit="rad", c4__sign="inner")
    elbow = targets(desk.recipe())["elbow flexion at foot contact"]
    assert elbow.factor == pytest.approx(-180 / math.pi)
    assert (elbow.offset, elbow.unit_text) == (180.0, "rad")


def test_a_turned_sign_reaches_the_readings(desk, room):
    table = "Name,ID,Date,Throw,Hip shoulder separation at FP\nTove Marrin,TM-1,2026-03-02,1,-41\n"
    upload = desk.matched(table, c4__sign="turned", c4__unit="deg")
    (throw,) = room.units(upload)[0].payload["throws"]
    assert [value["value"] for value in throw["values"].values()] == [41.0]


def test_what_the_numbers_were_written_for_is_kept(desk, room):
    desk.matched(
        HEADER + UNITS + TOVE, landing="fp", filter="known", filter_hz="13.4", frame_rate_hz="240", setup="North room",
        method="video", surface="flat_ground", warm_up_first="2", name="North",
    )  # fmt: skip
    recipe, row = desk.recipe(), ImportRecipe.objects.get()
    assert (recipe.landing, recipe.filter_hz, recipe.filter_known, recipe.method) == ("fp", 13.4, True, "video")
    assert (recipe.conditions.surface, recipe.warm_up_first) == ("flat_ground", 2)
    assert (row.name, row.setup, row.frame_rate_hz) == ("North", "North room", 240.0)


def test_the_definition_of_a_stride_is_asked_and_kept(desk, room):
    desk.matched(HEADER + UNITS + TOVE, **{"definition-ankle_to_ankle_forward": "rubber_to_toe"})
    assert dict(desk.recipe().definitions)["stride_length"] == "rubber_to_toe"


LONG = "athlete,date,throw,metric,value,unit\n" + "".join(
    f"Tove Marrin,2026-03-02,{n},{metric},{value},{unit}\n"
    for n in (1, 2)
    for metric, value, unit in (("Elbow flexion FP", 92, "deg"), ("Max layback", 3.0, "rad"), ("Oddity", 7, ""))
)


def test_names_of_a_long_table_are_matched_like_columns(desk, room):
    upload = desk.matched(LONG)
    found = targets(desk.recipe())
    assert found["max layback"].metric == "shoulder_external_rotation_max"
    assert found["max layback"].factor == pytest.approx(180 / math.pi)
    assert found["oddity"].role == "ignore"
    (unit,) = room.units(upload)
    assert len(unit.payload["throws"]) == 2


def test_a_known_header_is_matched_anew_with_what_was_kept(desk, room):
    upload = desk.matched(HEADER + UNITS + TOVE, c4__sign="inner", setup="North room")
    sheet = room.draft(upload).layouts[0]["fingerprint"]
    page = desk.client.get(desk.address("match", upload), {"sheet": sheet})
    values = form_values(page.content, "match-form")
    assert (values["c4-sign"], values["setup"]) == ("inner", "North room")
    desk.client.post(desk.address("match", upload), values | {"c4-sign": "as_it_is"})
    assert targets(desk.recipe())["elbow flexion at foot contact"].factor == 1.0


def test_one_match_is_for_all_files_that_wait_with_the_same_header(desk, room):
    first, second = room.upload(HEADER + UNITS + TOVE), room.upload(HEADER + UNITS + IKEM)
    other = room.upload("Name,Date,Throw,Max layback\nTove Marrin,2026-03-02,1,171\n")
    desk.keep_match(first)
    assert [room.fresh(upload).state for upload in (second, other)] == ["received", "needs_match"]
    read_upload(second.pk)
    assert room.fresh(second).state == Upload.State.READY


# ---- match: what is wrong -------------------------------------------------------------------------------


def refused(desk: Desk, upload: Upload, **changes: str) -> str:
    answer = desk.keep_match(upload, **changes)
    assert answer.status_code == 422
    assert not ImportRecipe.objects.exists()
    return answer.content.decode()


def test_a_unit_that_does_not_fit_is_said_at_its_column_and_the_rest_stays(desk, room):
    upload = room.upload(HEADER + UNITS + TOVE)
    text = refused(desk, upload, c4__unit="mph", c6__what="ignore", setup="North room", landing="fp")
    row = text.split('id="c4"')[1].split("</tr>")[0]
    assert "does not fit Elbow flexion" in row
    kept = form_values(text.encode(), "match-form")
    assert (kept["c4-unit"], kept["c6-what"], kept["setup"], kept["landing"]) == ("mph", "ignore", "North room", "fp")


def test_one_metric_chosen_twice_is_said_at_both_columns(desk, room):
    upload = room.upload(HEADER + UNITS + TOVE)
    text = refused(desk, upload, c6__what="metric:elbow_flexion_fp", c6__landing="fc")
    for part in ("c4", "c6"):
        assert "2 columns are matched to Elbow flexion" in text.split(f'id="{part}"')[1].split("</tr>")[0]


WRONG_ENTRIES = [
    ({"name": " "}, "id_name"),
    ({"filter": "known", "filter_hz": ""}, "id_filter_hz"),
    ({"filter": "known", "filter_hz": "4000"}, "id_filter_hz"),
    ({"filter": "known", "filter_hz": "many"}, "id_filter_hz"),
    ({"frame_rate_hz": "3"}, "id_frame_rate_hz"),
    ({"warm_up_first": "-1"}, "id_warm_up_first"),
]


@pytest.mark.parametrize(("changes", "field"), WRONG_ENTRIES)
def test_a_wrong_entry_is_said_at_its_field_and_stays_typed(desk, room, changes, field):
    text = refused(desk, room.upload(HEADER + UNITS + TOVE), **changes)
    assert "errorlist" in text.split(f'id="{field}"')[1].split("<label")[0]
    for name, value in changes.items():
        assert form_values(text.encode(), "match-form")[name] == value


def test_no_metric_at_all_is_said_above_the_page(desk, room):
    upload = room.upload("Name,Date,Throw,Oddity\nTove Marrin,2026-03-02,1,5\n")
    assert "No column is matched to a metric" in refused(desk, upload)


def test_dates_that_can_be_read_two_ways_ask_for_their_order(desk, room):
    upload = room.upload("Name,Date,Throw,Max layback\nTove Marrin,03/04/2026,1,171\n")
    assert "Choose whether the day or the month comes first" in refused(desk, upload)
    desk.keep_match(upload, date_order="mdy")
    assert room.units(upload)[0].date == dt.date(2026, 3, 4)


@pytest.mark.parametrize("what", ["metric:nothing", "superuser", "metric:", "<b>"])
def test_a_choice_that_is_not_in_the_list_is_left_unused(desk, room, what):
    desk.matched(HEADER + UNITS + TOVE, c6__what=what)
    assert targets(desk.recipe())["max layback"].role == "ignore"


def test_a_table_without_throws_asks_for_no_match_any_more(desk, room):
    upload = room.upload(HEADER + UNITS + TOVE)
    sheet = room.draft(upload).layouts[0]["fingerprint"]
    desk.answer("match-leave-out", upload, sheet=sheet)
    upload.refresh_from_db()
    assert upload.state == Upload.State.NEEDS_ANSWER
    assert "left out: it holds no throws" in desk.text(upload)


def test_matching_a_header_that_this_upload_has_not_is_no_page(desk, room):
    upload = room.upload(HEADER + UNITS + TOVE)
    assert desk.client.get(desk.address("match", upload), {"sheet": "f" * 64}).status_code == 404


# ---- preview: what it says ------------------------------------------------------------------------------


def test_the_preview_says_in_one_sentence_what_would_come(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE + IKEM))
    assert "2 sessions of 2 athletes, 10 throws, 4 metrics; no question." in desk.text(upload)


def test_the_preview_says_how_the_file_was_read(desk, room):
    text = desk.text(room.match(room.upload(HEADER + UNITS + TOVE)))
    for words in ("UTF-8", "comma", "point", "North room", "Read again with…"):
        assert words in text


def test_unreadable_cells_and_repeated_throws_are_said_at_their_place(desk, room):
    odd = "".join(f"Tove Marrin,TM-1,2026-03-02,{n},{elbow},52,171,78\n" for n, elbow in ((7, "inf"), (8, 95), (8, 99)))
    text = desk.text(room.match(room.upload(HEADER + UNITS + TOVE + odd)))
    assert "Row 9, column E" in text
    assert "Row 11" in text
    assert "has Elbow flexion at foot plant twice" in text


def test_twenty_problems_are_shown_first_all_on_demand_and_as_csv(desk, room):
    broken = "".join(f"Tove Marrin,TM-1,2026-03-02,{n},x{n},y{n},171,78\n" for n in range(1, 18))
    upload = room.match(room.upload(HEADER + UNITS + broken + rows("Tove Marrin", "TM-1", "2026-03-03")))
    assert desk.text(upload).count('<li class="problem') == 20
    assert desk.page(upload, problems="all").content.decode().count('<li class="problem') == 34
    saved = desk.client.get(desk.address("import-problems", upload)).content.decode("utf-8-sig").splitlines()
    assert saved[0] == "severity,sheet,row,column,what"
    assert len(saved) == 35


def test_readings_stand_one_tap_away_throw_by_throw(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    unit = room.units(upload)[0]
    text = desk.client.get(desk.address("unit", upload, unit.uuid)).content.decode()
    assert text.count('<th scope="row">') == 6
    assert "92.50" in text


def test_forty_sessions_cost_as_many_queries_as_two(desk, room):
    people = [AthleteFactory(given_name=f"Sam{a}", family_name=f"Lin{b}") for a in "abcde" for b in "ktmnoprs"]

    def table(count: int, day: str) -> str:
        named = "".join(f"{p.name},,{day},{n},92,52,171,78,{p.birth_date}\n" for p in people[:count] for n in (1, 2))
        return HEADER.strip() + ",Birth date\n" + UNITS.strip() + ",\n" + named

    counts = []
    for count, day in ((2, "2026-03-02"), (40, "2026-03-03")):
        upload = room.upload(table(count, day))
        if upload.state == Upload.State.NEEDS_MATCH:
            upload = room.match(upload)
        room.accept(upload)
        again = room.upload(table(count, day).replace(",92,", ",93,"))
        assert again.state == Upload.State.READY
        desk.page(again)
        with CaptureQueriesContext(connection) as seen:
            assert desk.text(again).count('class="made') == count
        counts.append(len(seen))
    assert counts[0] == counts[1]


# ---- preview: the answers -------------------------------------------------------------------------------


def test_a_known_name_is_confirmed_in_one_press(desk, room, pair):
    upload = room.match(room.upload(HEADER + UNITS + rows("Tove Marrin", "", "2026-03-02")))
    unit = room.units(upload)[0]
    assert f"It is Tove Marrin, born {pair[0].birth_date:%-d %b %Y}" in desk.text(upload)
    text = desk.answer("unit-athlete", upload, unit.uuid, athlete=str(pair[0].uuid))
    assert "no question" in text
    unit.refresh_from_db()
    assert unit.athlete == pair[0]


def test_two_athletes_of_one_name_are_both_offered(desk, room, pair):
    AthleteFactory(given_name="Tove", family_name="Marrin", birth_date=dt.date(2008, 5, 5))
    text = desk.text(room.match(room.upload(HEADER + UNITS + rows("Tove Marrin", "", "2026-03-02"))))
    assert text.count("It is Tove Marrin, born") == 2


def test_an_unknown_athlete_is_asked_once_for_all_days_and_never_created(desk, room, pair):
    text = HEADER + UNITS + rows("Nobody Here", "", "2026-03-02") + rows("Nobody Here", "", "2026-03-03")
    upload = room.match(room.upload(text))
    page = desk.text(upload)
    assert page.count("choose the athlete…") == 1
    assert "one answer is for all" in page
    desk.answer("unit-athlete", upload, room.units(upload)[0].uuid, athlete=str(pair[1].uuid))
    assert {unit.athlete for unit in room.units(upload)} == {pair[1]}


def test_choosing_nobody_says_so_and_changes_nothing(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + rows("Nobody Here", "", "2026-03-02")))
    unit = room.units(upload)[0]
    assert "Choose an athlete." in desk.answer("unit-athlete", upload, unit.uuid, athlete="")
    unit.refresh_from_db()
    assert unit.athlete is None


def test_a_missing_day_is_entered(desk, room):
    table = "ID,Throw,Max layback,Elbow flexion FP\nTM-1,1,171,92\nTM-1,2,172,93\n"
    upload = room.match(room.upload(table))
    unit = room.units(upload)[0]
    assert "Enter the day they were thrown" in desk.text(upload)
    desk.answer("unit-date", upload, unit.uuid, date="2026-03-02")
    upload.refresh_from_db()
    assert upload.state == Upload.State.READY


def test_a_future_day_is_a_question_and_no_session(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + rows("Tove Marrin", "TM-1", "2150-03-02")))
    text = desk.text(upload)
    assert "lies in the future" in text
    assert "Answer a question above first." in text


def test_conditions_for_all_throws_stand_in_the_preview(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    text = desk.answer("import-conditions", upload, surface="flat_ground", warm_up_first="2")
    assert "4 throws: flat ground, full effort, fastball, regulation ball" in text
    assert "2 throws: flat ground, warm-up, fastball, regulation ball" in text
    shown = form_values(text.encode(), desk.address("import-conditions", upload))
    assert (shown["surface"], shown["warm_up_first"]) == ("flat_ground", "2")


@pytest.mark.parametrize("data", [{"surface": "moon"}, {"warm_up_first": "-2"}, {"warm_up_first": "9000"}])
def test_a_condition_that_does_not_exist_is_refused_in_words(desk, room, data):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    text = desk.answer("import-conditions", upload, **data)
    assert 'class="notice error"' in text
    assert room.draft(upload).answers == {}


def test_values_outside_the_span_are_counted_and_kept_on_request(desk, room):
    wild = "Tove Marrin,TM-1,2026-03-02,7,92,52,260,78\n"
    upload = room.match(room.upload(HEADER + UNITS + TOVE + wild))
    assert "1 value lies outside what a pitcher can reach" in desk.text(upload)
    desk.answer("import-keep-values", upload)
    read_upload(upload.pk)
    assert "They are kept as they stand" in desk.text(upload)
    values = room.units(upload)[0].payload["throws"][-1]["values"]
    assert [
        value.get("value") for key, value in values.items() if key.startswith("shoulder_external_rotation_max")
    ] == [260]


def test_a_part_is_left_out_and_taken_back(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE + IKEM))
    unit = room.units(upload)[0]
    text = desk.answer("unit-leave-out", upload, unit.uuid)
    assert "1 session of 1 athlete, 4 throws" in text
    undo = desk.address("unit-take-back", upload, unit.uuid)
    assert text.count(f'action="{undo}"') == 2  # in the notice and at its place
    assert "2 sessions of 2 athletes" in desk.answer("unit-take-back", upload, unit.uuid)


def test_a_day_with_a_session_shows_what_is_there_and_where_throws_would_go(desk, room):
    room.accept(room.match(room.upload(HEADER + UNITS + TOVE)))
    more = rows("Tove Marrin", "TM-1", "2026-03-02", 8).replace(",93.0,", ",99.0,")
    upload = room.upload(HEADER + UNITS + more)
    text = desk.text(upload)
    assert "There is a session of that day and room already, with 6 throws." in text
    assert "2 new throws" in text
    assert "Throw 1, 3 to 6: there already with the same values" in text
    assert "Throw 2: there already with other values" in text
    unit = room.units(upload)[0]
    desk.answer("unit-target", upload, unit.uuid, target="new")
    unit.refresh_from_db()
    assert unit.target == ImportUnit.Target.NEW


# ---- accept ---------------------------------------------------------------------------------------------


def test_one_tap_hands_a_clean_upload_over_and_its_sessions_are_linked(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE + IKEM))
    desk.accept(upload)
    upload.refresh_from_db()
    assert upload.state == Upload.State.ACCEPTING
    accept_upload(upload.pk)
    text = desk.text(upload)
    assert "It became 2 sessions." in text
    for capture in CaptureSession.objects.all():
        assert reverse("metrics:session", args=[capture.uuid]) in text


def test_accepting_twice_makes_each_session_once(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    values = form_values(desk.page(upload).content, desk.address("import-accept", upload))
    for _ in range(2):
        desk.client.post(desk.address("import-accept", upload), values)
    accept_upload(upload.pk)
    desk.client.post(desk.address("import-accept", upload), values)
    accept_upload(upload.pk)
    assert (CaptureSession.objects.count(), Throw.objects.count()) == (1, 6)


def test_a_preview_that_changed_meanwhile_is_not_accepted_unseen(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    seen = form_values(desk.page(upload).content, desk.address("import-accept", upload))
    desk.answer("import-conditions", upload, surface="flat_ground")
    text = desk.answer("import-accept", upload, **seen)
    assert "The preview changed after you opened it" in text
    upload.refresh_from_db()
    assert upload.state == Upload.State.READY


@pytest.mark.parametrize("read_at", ["", "soon"])
def test_accepting_without_having_seen_anything_is_refused(desk, room, read_at):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    desk.answer("import-accept", upload, read_at=read_at)
    upload.refresh_from_db()
    assert upload.state == Upload.State.READY


def test_what_has_a_question_waits_while_the_rest_is_accepted(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE + rows("Nobody Here", "", "2026-03-02")))
    assert "Accept 1 session<" in desk.text(upload)
    desk.accept(upload)
    accept_upload(upload.pk)
    text = desk.text(upload)
    assert "What is left" in text
    assert "Whose throws are these?" in text
    assert reverse("metrics:session", args=[CaptureSession.objects.get().uuid]) in text


def test_nothing_is_answered_while_the_worker_accepts(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    desk.accept(upload)
    text = desk.answer("import-conditions", upload, surface="flat_ground")
    assert "Nothing was changed: this upload is being accepted." in text


def test_what_is_a_session_is_changed_on_its_page_only(desk, room, pair):
    upload = room.match(room.upload(HEADER + UNITS + TOVE + rows("Nobody Here", "", "2026-03-02")))
    desk.accept(upload)
    accept_upload(upload.pk)
    made = next(unit for unit in room.units(upload) if unit.state == ImportUnit.State.ACCEPTED)
    text = desk.answer("unit-date", upload, made.uuid, date="2026-01-01")
    assert "a session already" in text
    assert CaptureSession.objects.get().date == dt.date(2026, 3, 2)


def test_the_list_offers_the_one_tap_with_what_was_seen(desk, room):
    upload = room.match(room.upload(HEADER + UNITS + TOVE))
    lines = desk.client.get(reverse("metrics:import-lines"), {"upload": str(upload.uuid)})
    assert "North room · 1 session, 1 athlete" in lines.content.decode()
    values = form_values(lines.content, desk.address("import-accept", upload))
    answer = desk.client.post(desk.address("import-accept", upload), values)
    assert answer["Location"] == reverse("sessions:uploads")
    upload.refresh_from_db()
    assert upload.state == Upload.State.ACCEPTING
