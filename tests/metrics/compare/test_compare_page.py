"""The page that lays two sessions beside each other: who reads it, which two, what it says of each metric."""

from __future__ import annotations

import csv
import datetime as dt
import io
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from scipy import stats

from athletes.models import ViewLog
from metrics.catalogue import load_catalogue
from metrics.models import Finding
from metrics.services.scoring import rescore
from sessions.models import CaptureSession
from tests import factories
from tests.conftest import CAST

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

ELBOW, FRONT_KNEE, TRUNK = "elbow_flexion_fp", "lead_knee_extension", "trunk_opening_time"
PAGES = ("metrics:compare", "metrics:compare-curves", "metrics:compare-csv")


def captured(athlete, values: dict[str, list[float]], *, days_ago: int = 0, throw=None, **changes) -> CaptureSession:
    """A scored session; each metric's list is its value throw by throw, at first touch."""
    day = factories.DAY - dt.timedelta(days=days_ago)
    capture = factories.CaptureSessionFactory(athlete=athlete, date=day, **changes)
    keys = {key: load_catalogue().metric(key).reading_key(capture.landing) for key in values}
    for number in range(max(len(listed) for listed in values.values())):
        readings = {keys[key]: {"value": listed[number]} for key, listed in values.items() if number < len(listed)}
        factories.ReadingFactory(throw=factories.ThrowFactory(session=capture, **(throw or {})), values=readings)
    rescore(capture)
    return capture


@pytest.fixture
def profiles(facility):
    return factories.starting_profiles()


@pytest.fixture
def pair(profiles, athlete):
    """Then and now: the knee came by 30°, the elbow stayed."""
    then = captured(athlete, {ELBOW: [92.0] * 8, FRONT_KNEE: [-25.0] * 8}, days_ago=60)
    return then, captured(athlete, {ELBOW: [92.5] * 8, FRONT_KNEE: [5.0] * 8})


def address(athlete, view: str = "metrics:compare", **query: object) -> str:
    asked = "&".join(f"{key.rstrip('_')}={value}" for key, value in query.items())
    return f"{reverse(view, args=[athlete.uuid])}?{asked}"


def read(client, athlete, **query):
    """The page as the view gives it to its template, and its text."""
    answer = client.get(address(athlete, **query))
    assert answer.status_code == 200
    return answer.context["page"], answer.content.decode()


def lines(page) -> dict[str, object]:
    return {line.key: line for group in page.table.groups for line in group.lines}


# ---- who ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("page", PAGES)
def test_staff_and_the_clinician_in_charge_compare_the_athletes_own_people_may_not(
    cast, profiles, client_of, name, page
):
    captured(cast.athlete, {ELBOW: [92.0] * 3})
    wanted = {"admin": 200, "coach": 200, "clinician": 200, "other_athlete_user": 404, "stranger": 404}.get(name, 403)
    assert client_of(cast[name]).get(address(cast.athlete, page, curve="elbow_flexion")).status_code == wanted


def test_a_stranger_and_a_missing_athlete_get_the_same_answer(cast, pair, client_of):
    client = client_of(cast["stranger"])
    missing = client.get(reverse("metrics:compare", args=[uuid4()]))
    assert client.get(address(cast.athlete)).content == missing.content


@pytest.mark.parametrize("key", ["a", "b", "whom"])
def test_what_a_clinician_may_not_see_is_as_if_it_were_nowhere(cast, pair, client_of, key):
    hidden = captured(cast.other_athlete, {ELBOW: [92.0] * 3})
    value = cast.other_athlete.uuid if key == "whom" else hidden.uuid
    client = client_of(cast["clinician"])
    refused, nowhere = (client.get(address(cast.athlete, **{key: one})) for one in (value, uuid4()))
    assert refused.status_code == nowhere.status_code == 404
    assert refused.content == nowhere.content
    assert not ViewLog.objects.exists()


def test_the_first_session_must_be_the_athletes_own(cast, pair, client_of):
    elsewhere = captured(cast.other_athlete, {ELBOW: [92.0] * 3})
    assert client_of(cast["coach"]).get(address(cast.athlete, a=elsewhere.uuid)).status_code == 404


@pytest.mark.parametrize("key", ["a", "b", "a_throw", "b_throw", "whom"])
def test_an_id_that_cannot_be_one_is_nowhere(pair, coach, athlete, client_of, key):
    assert client_of(coach).get(address(athlete, **{key: "first"})).status_code == 404


def test_a_look_is_noted_for_each_athlete(cast, pair, client_of):
    elsewhere = captured(cast.other_athlete, {ELBOW: [92.0] * 3})
    client_of(cast["coach"]).get(address(cast.athlete, b=elsewhere.uuid))
    assert {row.athlete_uuid for row in ViewLog.objects.all()} == {cast.athlete.uuid, cast.other_athlete.uuid}
    assert {row.what for row in ViewLog.objects.all()} == {"comparison"}


def test_without_consent_only_an_admin_compares(cast, pair, client_of):
    cast.athlete.consent_withdrawn_on = factories.DAY
    cast.athlete.save()
    assert client_of(cast["coach"]).get(address(cast.athlete)).status_code == 404
    assert client_of(cast["admin"]).get(address(cast.athlete)).status_code == 200


# ---- which two ------------------------------------------------------------------------------------------


def test_the_latest_and_the_comparable_one_before_stand_there_at_first(pair, coach, athlete, client_of):
    captured(athlete, {ELBOW: [90.0] * 3}, days_ago=30, method="video")
    captured(athlete, {ELBOW: [90.0] * 3}, days_ago=20, throw={"surface": "flat_ground"})
    page, _ = read(client_of(coach), athlete)
    assert [side.capture for side in page.sides] == list(pair)


def test_the_earlier_stands_first_however_the_address_names_them(pair, coach, athlete, client_of):
    then, now = pair
    page, html = read(client_of(coach), athlete, a=now.uuid, b=then.uuid)
    assert [side.capture for side in page.sides] == [then, now]
    assert "60 days apart" in html


def test_the_address_of_a_view_brings_the_same_two_back(pair, coach, athlete, client_of):
    first, _ = read(client_of(coach), athlete, from_="br", laid="over", curve="pelvis_rotation")
    captured(athlete, {ELBOW: [100.0] * 3}, days_ago=-5)
    answer = client_of(coach).get(f"{first.url}?{first.query}")
    assert [side.capture for side in answer.context["page"].sides] == list(pair)
    assert answer.context["page"].query == first.query
    assert {"from=br", "laid=over", "curve=pelvis_rotation"} <= set(first.query.split("&"))


def test_one_session_alone_waits_for_the_next(profiles, coach, athlete, client_of):
    captured(athlete, {ELBOW: [92.0] * 3})
    page, html = read(client_of(coach), athlete)
    assert page.sides == ()
    assert "There is one session so far." in html


def test_nobody_measured_is_said_with_the_next_step(facility, coach, athlete, client_of):
    html = read(client_of(coach), athlete)[1]
    assert "Two sessions will stand beside each other here." in html
    assert "Upload a file" in html


def test_a_session_beside_itself_claims_no_change(pair, coach, athlete, client_of):
    page, html = read(client_of(coach), athlete, a=pair[0].uuid, b=pair[0].uuid)
    assert "nothing can have changed" in html
    assert "Really changed" not in html
    assert page.sides[0].throw.uuid != page.sides[1].throw.uuid


def test_a_withdrawn_session_is_named_and_not_replaced_in_silence(pair, coach, athlete, client_of):
    pair[0].mark_withdrawn(coach, "", factories.NOON)
    pair[0].save()
    page, html = read(client_of(coach), athlete, a=pair[0].uuid, b=pair[1].uuid)
    assert page.sides == ()
    assert f"The session of {pair[0].date:%-d %B %Y} (motion capture) was withdrawn" in html


def test_what_an_address_cannot_have_is_said(pair, coach, athlete, client_of):
    page, html = read(client_of(coach), athlete, from_="windup", laid="under", curve="happiness", until="soon")
    assert len(page.wrong) == 4
    assert all(sentence in html for sentence in page.wrong)
    assert page.sides


def test_of_very_many_sessions_the_newest_are_listed_and_a_day_reaches_the_others(pair, coach, athlete, client_of):
    old = factories.DAY - dt.timedelta(days=4000)
    CaptureSession.objects.bulk_create(
        CaptureSession(athlete=athlete, date=old + dt.timedelta(days=day), method="video", throwing_side="right")
        for day in range(300)
    )
    page, html = read(client_of(coach), athlete)
    assert [len(choice.options) for choice in page.choices] == [200, 200]
    assert "The newest 200 are listed" in html
    page, _ = read(client_of(coach), athlete, a=pair[0].uuid, b=pair[1].uuid, until=old + dt.timedelta(days=9))
    chosen = [option.value for choice in page.choices for option in choice.options if option.is_chosen]
    assert chosen == [str(one.uuid) for one in pair]


# ---- what changed ---------------------------------------------------------------------------------------


def test_a_real_change_comes_first_with_its_word(pair, coach, athlete, client_of):
    page, html = read(client_of(coach), athlete)
    assert [group.key for group in page.table.groups] == ["real", "same"]
    knee, elbow = lines(page)[FRONT_KNEE], lines(page)[ELBOW]
    assert (knee.word, elbow.word) == ("better", "no real change")
    assert page.sentence == "60 days apart. 1 of 3 comparable metrics really changed: lead knee extension."
    assert "Better and worse are held against the range of the later date." in html


def test_the_least_real_difference_is_that_of_two_means_by_hand(pair, coach, athlete, client_of):
    """Eight equal throws on each side: only the catalogue's spread, worth eight throws, and u_b are left."""
    page, _ = read(client_of(coach), athlete)
    row = Finding.objects.get(session=pair[1], metric=FRONT_KNEE)
    within = 8 * row.decision["prior_sd"] ** 2 / 22 * (1 / 8 + 1 / 8)
    u = (within + 2 * row.u_between**2) ** 0.5
    nu = u**4 / (within**2 / 22)
    assert lines(page)[FRONT_KNEE].detectable == pytest.approx(stats.t.ppf(0.975, nu) * u, rel=1e-9)


def test_the_curve_of_what_really_changed_is_shown_first(profiles, coach, athlete, client_of):
    captured(athlete, {ELBOW: [70.0] * 8, FRONT_KNEE: [5.0] * 8}, days_ago=60)
    captured(athlete, {ELBOW: [100.0] * 8, FRONT_KNEE: [5.0] * 8})
    assert read(client_of(coach), athlete)[0].first_curve == "elbow_flexion"
    assert read(client_of(coach), athlete, curve="separation")[0].first_curve == "separation"


def test_screens_by_hand_are_compared_like_throws(profiles, coach, athlete, client_of):
    screen = next(key for key, one in load_catalogue().metrics.items() if one.is_screen and not one.derived_from)
    for days, value in ((60, 30.0), (0, 31.0)):
        captured(athlete, {screen: [value] * 2}, days_ago=days, method="hands_on")
    page, html = read(client_of(coach), athlete)
    assert lines(page)[screen].difference == pytest.approx(1.0)
    assert "Rounds" in html
    now = page.sides[1].capture.uuid
    alone, html = read(client_of(coach), athlete, a=now, b=now)
    assert alone.table is None
    assert "Choose another one for either side." in html


def test_how_many_would_change_by_chance_is_said(pair, coach, athlete, client_of):
    page, html = read(client_of(coach), athlete)
    assert page.table.chance in html
    assert "One of 3 comparable metrics changed" in page.table.chance
    assert "about 0.2 would by chance" in page.table.chance


def test_none_is_none_and_not_no_where_nothing_changed(profiles, coach, athlete, client_of):
    screen = next(key for key, one in load_catalogue().metrics.items() if one.is_screen and not one.derived_from)
    for days in (60, 0):
        captured(athlete, {screen: [30.0] * 2}, days_ago=days, method="hands_on")
    page, _ = read(client_of(coach), athlete)
    assert page.table.chance.startswith("None of 1 comparable metric changed")


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"method": "video"}, "measured by video and by motion capture"),
        ({"landing": "fp"}, "read at foot plant and at first touch"),
        ({"throw": {"surface": "flat_ground"}}, "other conditions: flat ground and mound"),
        ({"throwing_side": "left"}, "thrown with the left arm and with the right"),
    ],
    ids=["method", "moment", "conditions", "arm"],
)
def test_what_is_not_comparable_says_why_and_gets_no_difference(profiles, coach, athlete, client_of, changes, reason):
    then = captured(athlete, {ELBOW: [70.0] * 8}, days_ago=60, **changes)
    now = captured(athlete, {ELBOW: [92.0] * 8})
    page, html = read(client_of(coach), athlete, a=then.uuid, b=now.uuid)
    line = lines(page)[ELBOW]
    assert (line.reason, line.word, line.difference) == (reason, "", None)
    assert f"not comparable: {reason}" in html


def test_a_metric_that_hangs_on_the_filter_is_not_compared_across_filters(profiles, coach, athlete, client_of):
    speed = "elbow_extension_velocity_max"
    assert load_catalogue().metric(speed).filter_dependent
    known = {"filter_knowledge": "known"}
    captured(athlete, {ELBOW: [92.0] * 5, speed: [2200.0] * 5}, days_ago=60, filter_hz=10.0, **known)
    captured(athlete, {ELBOW: [92.0] * 5, speed: [2400.0] * 5}, filter_hz=13.4, **known)
    found = lines(read(client_of(coach), athlete)[0])
    assert found[speed].reason == "depends on the filter: 10 Hz and 13.4 Hz"
    assert found[ELBOW].reason == ""


def test_what_one_side_lacks_is_named(profiles, coach, athlete, client_of):
    captured(athlete, {ELBOW: [92.0] * 5}, days_ago=60)
    captured(athlete, {ELBOW: [92.0] * 5, FRONT_KNEE: [5.0] * 5})
    assert lines(read(client_of(coach), athlete)[0])[FRONT_KNEE].reason == "not measured then"


def test_session_in_which_nothing_was_measured_is_said(pair, coach, athlete, client_of):
    empty = factories.CaptureSessionFactory(athlete=athlete, date=factories.DAY - dt.timedelta(days=9))
    page, html = read(client_of(coach), athlete, a=empty.uuid, b=pair[1].uuid)
    assert f"no metric has a number in the session of {empty.date:%-d %B %Y}" in html
    assert page.table is not None


def test_conditions_stand_beside_each_other_and_what_differs_is_marked(profiles, coach, athlete, client_of):
    captured(athlete, {ELBOW: [92.0] * 5}, days_ago=60, frame_rate_hz=240.0)
    captured(athlete, {ELBOW: [92.0] * 5}, frame_rate_hz=360.0)
    page, html = read(client_of(coach), athlete)
    rows = {row.name: row for row in page.conditions}
    assert (rows["Frames"].first, rows["Frames"].second) == ("240 a second", "360 a second")
    assert rows["Frames"].differs
    assert not rows["Thrown from"].differs
    assert html.count("differs</span>") == sum(row.differs for row in page.conditions)


def test_without_a_recording_no_figure_is_promised(pair, coach, athlete, client_of):
    _, html = read(client_of(coach), athlete)
    assert "No moving figures and no curves" in html
    assert "data-compare-curves" not in html


def test_queries_do_not_grow_with_what_was_measured(profiles, coach, athlete, client_of):
    def asked() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            read(client, athlete)
        return len(queries)

    client = client_of(coach)
    captured(athlete, {ELBOW: [92.0] * 2}, days_ago=90)
    captured(athlete, {ELBOW: [92.0] * 2}, days_ago=80)
    asked()
    few = asked()
    for days in (70, 60, 50):
        captured(athlete, {ELBOW: [92.0] * 9, FRONT_KNEE: [1.0] * 9, TRUNK: [20.0] * 9}, days_ago=days)
    assert asked() == few


# ---- two throws of one session --------------------------------------------------------------------------


@pytest.fixture
def outing(profiles, athlete):
    return captured(athlete, {ELBOW: [92.0, 93.0, 91.0, 92.0, 92.0, 130.0]})


def of_throws(outing, one: int, other: int) -> dict[str, object]:
    throws = list(outing.throws.order_by("number"))
    return {"a": outing.uuid, "b": outing.uuid, "a_throw": throws[one].uuid, "b_throw": throws[other].uuid}


def test_two_throws_are_held_against_how_throws_of_the_session_differ(outing, coach, athlete, client_of):
    usual, _ = read(client_of(coach), athlete, **of_throws(outing, 0, 1))
    far, html = read(client_of(coach), athlete, **of_throws(outing, 0, 5))
    assert (lines(usual)[ELBOW].difference, lines(usual)[ELBOW].word) == (1.0, "as throws differ")
    assert (lines(far)[ELBOW].difference, lines(far)[ELBOW].word) == (38.0, "further apart than throws are")
    assert "Further apart than throws of this session are" in html


def test_the_least_difference_of_two_throws_is_that_of_the_spread_by_hand(outing, coach, athlete, client_of):
    """√2 of the steadied spread, with the eight degrees that the catalogue's is worth; u_b is one session's own."""
    page, _ = read(client_of(coach), athlete, **of_throws(outing, 0, 1))
    spread = Finding.objects.get(session=outing, metric=ELBOW).decision["pooled_sd"]
    assert lines(page)[ELBOW].detectable == pytest.approx(stats.t.ppf(0.975, 8) * spread * 2**0.5, rel=1e-9)


def test_a_throw_beside_itself_has_no_table(outing, coach, athlete, client_of):
    assert read(client_of(coach), athlete, **of_throws(outing, 2, 2))[0].table is None


def test_a_throw_that_was_left_out_can_be_looked_at_and_is_named(outing, coach, athlete, client_of):
    outing.throws.filter(number=6).update(excluded_at=factories.NOON, excluded_reason="slipped")
    page, html = read(client_of(coach), athlete, **of_throws(outing, 0, 5))
    assert "Throw 6, left out" in html
    assert any("was left out: slipped. Its numbers are in no finding." in sentence for sentence in page.wrong)


def test_what_is_real_only_by_itself_is_kept_apart_from_what_stands_among_many(profiles, coach, athlete, client_of):
    """Among forty metrics that stayed, one that moved by a little more than its own limit is what chance gives."""
    many = [
        m for m in load_catalogue().metrics.values() if m.kind == "mechanic" and m.can_be_given_by("motion_capture")
    ]
    middle = {m.key: ((m.plausible_low or 0.0) + (m.plausible_high or 60.0)) / 2 for m in many}
    then = captured(athlete, {key: [value] * 8 for key, value in middle.items()}, days_ago=60)
    now = captured(athlete, {key: [value] * 8 for key, value in middle.items()})
    quiet, _ = read(client_of(coach), athlete, a=then.uuid, b=now.uuid)
    moved = middle[ELBOW] + 1.02 * lines(quiet)[ELBOW].detectable
    later = captured(
        athlete, {key: [moved if key == ELBOW else value] * 8 for key, value in middle.items()}, days_ago=-5
    )
    page, _ = read(client_of(coach), athlete, a=then.uuid, b=later.uuid)
    assert lines(page)[ELBOW].is_real
    assert lines(page)[ELBOW].group == "alone"
    assert page.table.real == ()
    assert page.sentence.endswith("really changed, when all are judged together. One does when judged alone.")


# ---- two people -----------------------------------------------------------------------------------------


@pytest.fixture
def two(cast, pair):
    return captured(cast.other_athlete, {ELBOW: [70.0] * 8, FRONT_KNEE: [-25.0] * 8}, days_ago=10)


def test_between_two_people_a_difference_is_never_called_a_change(cast, two, client_of):
    page, html = read(client_of(cast["coach"]), cast.athlete, b=two.uuid)
    assert [side.title for side in page.sides] == [cast.athlete.name, cast.other_athlete.name]
    assert {line.word for line in lines(page).values()} == {""}
    assert lines(page)[ELBOW].difference == pytest.approx(-22.5)
    assert page.table.chance == ""
    assert "Two people: a difference between them is no change" in html
    assert "Really changed?" not in html


def test_somebody_else_is_found_by_name_among_those_whom_the_reader_may_see(cast, two, client_of):
    page, _ = read(client_of(cast["coach"]), cast.athlete, name="stra")
    assert [person.name for person in page.people] == [cast.other_athlete.name]
    theirs, _ = read(client_of(cast["coach"]), cast.athlete, **{"whom": cast.other_athlete.uuid})
    assert theirs.sides[1].capture == two
    assert read(client_of(cast["clinician"]), cast.athlete, name="stra")[0].people == ()


def test_a_session_of_ones_own_left_in_the_list_gives_way_to_the_other_persons(cast, pair, two, client_of):
    page, _ = read(client_of(cast["coach"]), cast.athlete, b=pair[1].uuid, whom=cast.other_athlete.uuid)
    assert page.sides[1].capture == two


# ---- to take away ---------------------------------------------------------------------------------------


def test_the_table_is_saved_as_it_stands(pair, coach, athlete, client_of):
    page, _ = read(client_of(coach), athlete)
    saved = client_of(coach).get(page.csv_url)
    rows = list(csv.DictReader(io.StringIO(saved.content.decode("utf-8-sig"))))
    assert [row["metric"] for row in rows] == [line.key for group in page.table.groups for line in group.lines]
    knee = rows[0]
    assert (knee["metric"], knee["verdict"], float(knee["difference"])) == (FRONT_KNEE, "better", 30.0)
    assert saved.headers["Content-Disposition"] == 'attachment; filename="brandvold-comparison.csv"'
