"""The read API: who gets what, by which filters, in which form, at which price; and that its schema is true."""

from __future__ import annotations

import datetime as dt
import json
from io import StringIO
from uuid import uuid4

import pytest
import schemathesis
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections, connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from schemathesis.specs.openapi.checks import ignored_auth

from athletes.models import ViewLog
from tests.conftest import CAST
from tests.factories import (
    DAY,
    AthleteFactory,
    AvailabilityFactory,
    BodySizeFactory,
    CaptureSessionFactory,
    FindingFactory,
    LevelPeriodFactory,
    PainReportFactory,
    RangeRuleFactory,
    ReadingFactory,
    ScoringFactory,
    ShareFactory,
    ThrowFactory,
    TrainingGroupFactory,
    publish,
)
from tests.metrics.upstream.scenes import found, publish_links

LISTS = ("athletes", "sessions", "findings", "shares")
SEES_ATHLETES = {
    "admin": {"athlete", "other"},
    "coach": {"athlete", "other"},
    "visiting_coach": {"athlete"},
    "clinician": {"athlete"},
    "athlete_user": {"athlete"},
    "other_athlete_user": {"other"},
    "guardian": {"athlete"},
    "stranger": set(),
}
# A clinician reads the session itself.
SEES_SHARES = {name: seen for name, seen in SEES_ATHLETES.items() if name != "clinician"}
# Sessions and findings reach nobody else: families read what was shared of them.
SEES_SESSIONS = {
    "admin": {"athlete", "other"},
    "coach": {"athlete", "other"},
    "clinician": {"athlete"},
}
OF_THE_RECORD = (
    "availability_limits",
    "birth_date",
    "playing_role",
    "responsible_coach",
    "height_cm",
    "height_measured_on",
    "mass_kg",
    "mass_measured_on",
    "arm_span_cm",
    "arm_span_measured_on",
)


@pytest.fixture(autouse=True)
def standing_clock(clock):
    """Levels, sizes and availability are those of the facility's today."""


@pytest.fixture
def scored(cast):
    """One scored session with a throw and a finding for each of the two athletes, by name."""
    version = publish(RangeRuleFactory().version)
    sessions = {}
    for name, person in (("athlete", cast.athlete), ("other", cast.other_athlete)):
        sessions[name] = CaptureSessionFactory(athlete=person)
        ThrowFactory(session=sessions[name])
        ScoringFactory(session=sessions[name], profile_version=version, scored_facts_revision=person.facts_revision)
        FindingFactory(session=sessions[name], flag=True)
        ShareFactory(session=sessions[name])
    return sessions


@pytest.fixture
def ask(client_of, cast):
    """`ask("coach", "sessions/", method="video")`: status and decoded body."""

    def get(name: str | None, address: str, /, **query: object):
        answer = client_of(cast[name] if name else None).get(f"/api/{address}", query)
        return answer.status_code, answer.json()

    return get


def rows_of(answer: tuple[int, dict]) -> list[dict]:
    status, body = answer
    assert status == 200, body
    return body["results"]


# ---- who gets what --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CAST)
def test_each_of_the_cast_lists_exactly_their_athletes(ask, cast, name):
    names = {str(cast.athlete.uuid): "athlete", str(cast.other_athlete.uuid): "other"}
    assert {names[row["uuid"]] for row in rows_of(ask(name, "athletes/"))} == SEES_ATHLETES[name]


@pytest.mark.parametrize("name", CAST)
def test_each_of_the_cast_lists_exactly_their_sessions_and_findings(ask, scored, name):
    names = {str(session.uuid): who for who, session in scored.items()}
    visible = SEES_SESSIONS.get(name, set())
    assert {names[row["uuid"]] for row in rows_of(ask(name, "sessions/"))} == visible
    assert {names[row["session"]] for row in rows_of(ask(name, "findings/"))} == visible


@pytest.mark.parametrize("name", CAST)
def test_each_of_the_cast_lists_exactly_what_was_shared_with_them(ask, cast, scored, name):
    names = {str(cast.athlete.uuid): "athlete", str(cast.other_athlete.uuid): "other"}
    assert {names[row["athlete"]] for row in rows_of(ask(name, "shares/"))} == SEES_SHARES.get(name, set())


def test_a_share_is_given_as_the_family_reads_it_and_no_number_of_the_session_with_it(ask, scored):
    [row] = rows_of(ask("guardian", "shares/"))
    assert row["summary"] == "We work on one thing first: your step."
    assert row["work"] == [
        {
            "metric": "stride_length", "headline": "Your step is short",
            "sentence": "Your step toward home is short for how tall you are.", "zone": "flag", "side": "low",
            "sure": "likely", "value": "3 ft 6 in", "good": "3 ft 10 in to 4 ft 7 in",
        }
    ]  # fmt: skip
    assert row["better"] == []


def bytes_at(client_of, user, address: str) -> tuple[int, bytes]:
    answer = client_of(user).get(f"/api/{address}")
    return answer.status_code, answer.content


@pytest.mark.parametrize("name", CAST)
def test_what_is_not_for_the_reader_and_what_is_missing_get_the_same_404(client_of, cast, scored, name):
    rows = {
        "athletes": ({"athlete": cast.athlete, "other": cast.other_athlete}, SEES_ATHLETES),
        "sessions": (scored, SEES_SESSIONS),
        "shares": ({who: session.shares.get() for who, session in scored.items()}, SEES_SHARES),
    }
    for kind, (owned, sees) in rows.items():
        missing = bytes_at(client_of, cast[name], f"{kind}/{uuid4()}/")
        assert missing[0] == 404
        for who, row in owned.items():
            got = bytes_at(client_of, cast[name], f"{kind}/{row.uuid}/")
            assert (got[0] == 200) if who in sees.get(name, set()) else (got == missing)


@pytest.mark.parametrize("kind", ["athletes", "sessions", "shares"])
def test_word_that_is_no_uuid_gets_the_same_404(client_of, cast, kind):
    client = cast["coach"]
    assert bytes_at(client_of, client, f"{kind}/1/") == bytes_at(client_of, client, f"{kind}/{uuid4()}/")


@pytest.mark.parametrize("address", [*(f"{kind}/" for kind in LISTS), "schema/", ""])
def test_nobody_signed_in_gets_403(client_of, facility, address):
    assert client_of(None).get(f"/api/{address}").status_code == 403


@pytest.mark.parametrize("kind", LISTS)
@pytest.mark.parametrize("verb", ["post", "put", "patch", "delete"])
def test_nothing_can_be_written(client_of, cast, kind, verb):
    assert getattr(client_of(cast["admin"]), verb)(f"/api/{kind}/").status_code == 405


def test_closed_account_gets_403(client_of, cast):
    client = client_of(cast["coach"])
    cast["coach"].is_active = False
    cast["coach"].save()
    assert client.get("/api/athletes/").status_code == 403


def test_filtering_by_somebody_unseen_tells_nothing(ask, cast, scored):
    for kind in ("sessions", "findings"):
        unseen = ask("clinician", f"{kind}/", athlete=cast.other_athlete.uuid)
        assert unseen == ask("clinician", f"{kind}/", athlete=uuid4())
        assert unseen[1]["results"] == []


# ---- what an athlete's row holds ------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in CAST if "athlete" in SEES_ATHLETES[name]])
def test_visiting_coach_gets_the_word_of_availability_and_no_more(ask, cast, name):
    cast.athlete.playing_role = "starter"
    cast.athlete.save()
    AvailabilityFactory(athlete=cast.athlete, state="limited", limits="60 throws")
    row = ask(name, f"athletes/{cast.athlete.uuid}/")[1]
    assert (row["availability"], row["level"], row["throws"]) == ("limited", "high_school", "right")
    empty = {field for field in OF_THE_RECORD if row[field] is None}
    assert empty == (set(OF_THE_RECORD) if name == "visiting_coach" else set())


def test_athlete_is_given_as_known_today_in_cm_and_kg(ask, cast):
    LevelPeriodFactory(athlete=cast.athlete, valid_from=DAY + dt.timedelta(days=1), level="college")
    row = ask("coach", f"athletes/{cast.athlete.uuid}/")[1]
    assert row["level"] == "high_school"
    assert (row["height_cm"], row["mass_kg"], row["arm_span_cm"]) == (185.0, 80.0, 187.0)
    assert row["height_measured_on"] == "2026-04-02"


def test_height_of_a_minor_is_that_between_two_measurements(ask, cast):
    BodySizeFactory(athlete=cast.athlete, date=dt.date(2026, 4, 26), height_cm=187.0)
    assert ask("coach", f"athletes/{cast.athlete.uuid}/")[1]["height_cm"] == 186.0  # 12 of 24 days, by hand


def test_open_pain_makes_an_athlete_stopped_without_saying_where(ask, cast):
    PainReportFactory(athlete=cast.athlete)
    row = ask("visiting_coach", f"athletes/{cast.athlete.uuid}/")[1]
    assert row["availability"] == "stopped"
    assert "elbow" not in json.dumps(row)


def test_visiting_coach_learns_of_their_own_groups_only(ask, cast):
    other = TrainingGroupFactory(name="Return to throw", athletes=[cast.athlete])
    own = cast.athlete.groups.get(name="Varsity")
    row = ask("visiting_coach", f"athletes/{cast.athlete.uuid}/")[1]
    assert row["groups"] == [{"uuid": str(own.uuid), "name": "Varsity"}]
    assert rows_of(ask("visiting_coach", "athletes/", group=other.uuid)) == []
    assert len(rows_of(ask("visiting_coach", "athletes/", group=own.uuid))) == 1


# ---- what a session and a finding hold ------------------------------------------------------------------


def test_session_comes_with_its_throws_and_how_it_was_scored(ask, cast, scored):
    session = scored["athlete"]
    throw = session.throws.get()
    row = ask("coach", f"sessions/{session.uuid}/")[1]
    assert (row["athlete"], row["date"], row["method"]) == (str(cast.athlete.uuid), str(DAY), "motion_capture")
    assert (row["level"], row["landing"], row["throw_count"]) == ("high_school", "fc", 1)
    assert [(one["uuid"], one["ball_speed_m_s"]) for one in row["throws"]] == [(str(throw.uuid), 36.0)]
    assert (row["scoring"]["profile_version"], row["scoring"]["is_current"]) == (1, True)


def test_session_says_where_to_start_and_by_which_links(ask, cast):
    publish_links(("stride_length low", "shoulder_external_rotation_fp low", "moderate"))
    session = found(cast.athlete, {"stride_length": "low", "shoulder_external_rotation_fp": "low"})
    trace = ask("coach", f"sessions/{session.uuid}/")[1]["trace"]
    stride = {"metric": "stride_length", "direction": "low"}
    assert (trace["links_version"], trace["starting_point"], trace["check_next"]) == (1, stride, [])
    assert [(one["cause"], one["share"]) for one in trace["explained"]] == [(stride, 0.5), (None, 1.0)]


def test_session_without_findings_has_no_trace(ask, cast):
    assert ask("coach", f"sessions/{CaptureSessionFactory(athlete=cast.athlete).uuid}/")[1]["trace"] is None


def test_session_that_was_not_scored_says_so(ask, cast):
    session = CaptureSessionFactory(athlete=cast.athlete)
    assert ask("coach", f"sessions/{session.uuid}/")[1]["scoring"] is None


@pytest.mark.parametrize("late", ["input_revision", "facts_revision"])
def test_findings_that_lag_behind_their_inputs_are_not_current(ask, cast, scored, late):
    row = scored["athlete"] if late == "input_revision" else cast.athlete
    setattr(row, late, getattr(row, late) + 1)
    row.save()
    finding = rows_of(ask("coach", "findings/", session=scored["athlete"].uuid))[0]
    assert finding["is_current"] is False
    assert ask("coach", f"sessions/{scored['athlete'].uuid}/")[1]["scoring"]["is_current"] is False


def test_finding_is_the_whole_record_of_its_decision(ask, scored):
    row = rows_of(ask("coach", "findings/", session=scored["athlete"].uuid))[0]
    assert (row["metric"], row["unit"], row["moment"]) == ("elbow_flexion_fp", "deg", "fc")
    assert (row["mean"], row["sd"], row["u"], row["n"]) == (78.0, 3.0, 1.2, 8)
    assert (row["flag_low"], row["target_low"], row["target_high"], row["flag_high"]) == (85.0, 90.0, 110.0, 115.0)
    assert (row["zone"], row["side"], row["sure"], row["p_flag"]) == ("flag", "low", "sure", 0.99)
    assert row["profile_version"] == 1


@pytest.mark.parametrize("kind", LISTS)
def test_no_primary_key_leaves(ask, scored, kind):
    def names(value: object) -> set[str]:
        if isinstance(value, dict):
            return set(value) | {name for item in value.values() for name in names(item)}
        return {name for item in value for name in names(item)} if isinstance(value, list) else set()

    fields = names(rows_of(ask("admin", f"{kind}/")))
    assert fields
    assert not {name for name in fields if name in ("id", "pk") or name.endswith("_id")}


# ---- filters and pages ----------------------------------------------------------------------------------


def uuids(rows: list[dict], name: str = "uuid") -> list[str]:
    return [row[name] for row in rows]


def test_athletes_are_found_by_name_level_and_group(ask, cast):
    group = TrainingGroupFactory(athletes=[cast.other_athlete])
    LevelPeriodFactory(athlete=cast.other_athlete, valid_from=DAY, level="college")
    for query in ({"name": "strand lu"}, {"level": "college"}, {"group": group.uuid}):
        assert uuids(rows_of(ask("coach", "athletes/", **query))) == [str(cast.other_athlete.uuid)]
    assert uuids(rows_of(ask("coach", "athletes/", level="high_school"))) == [str(cast.athlete.uuid)]


@pytest.fixture
def spread(cast):
    """Three sessions of one athlete: a month apart, two methods, a new level before the last; each a finding."""
    LevelPeriodFactory(athlete=cast.athlete, valid_from=dt.date(2026, 4, 1), level="college")
    made = [
        CaptureSessionFactory(athlete=cast.athlete, date=dt.date(2026, month, 10), method=method)
        for month, method in ((2, "video"), (3, "motion_capture"), (4, "motion_capture"))
    ]
    for session, metric in zip(made, ("stride_length", "stride_length", "elbow_flexion_fp"), strict=True):
        FindingFactory(session=session, metric=metric, flag=metric == "stride_length")
    return made


NARROWED = {
    "method": ({"method": "video"}, [0]),
    "from": ({"date_from": "2026-03-10"}, [2, 1]),
    "to": ({"date_to": "2026-03-10"}, [1, 0]),
    "between": ({"date_from": "2026-03-01", "date_to": "2026-03-31"}, [1]),
    "level on the day": ({"level": "college"}, [2]),
    "level before": ({"level": "high_school"}, [1, 0]),
    "all": ({}, [2, 1, 0]),
}


@pytest.mark.parametrize("name", NARROWED)
def test_sessions_and_findings_are_narrowed_alike(ask, cast, spread, name):
    query, left = NARROWED[name]
    expected = [str(spread[index].uuid) for index in left]
    assert uuids(rows_of(ask("coach", "sessions/", athlete=cast.athlete.uuid, **query))) == expected
    assert uuids(rows_of(ask("coach", "findings/", athlete=cast.athlete.uuid, **query)), "session") == expected


def test_findings_are_narrowed_by_metric_and_zone(ask, spread):
    assert uuids(rows_of(ask("coach", "findings/", metric="elbow_flexion_fp")), "session") == [str(spread[2].uuid)]
    assert len(rows_of(ask("coach", "findings/", zone="flag", side="low"))) == 2


@pytest.mark.parametrize(
    ("kind", "query"),
    [
        ("findings", {"metric": "elbow_wobble"}),
        ("findings", {"zone": "purple"}),
        ("sessions", {"date_from": "yesterday"}),
        ("sessions", {"athlete": "1"}),
        ("athletes", {"level": "amateur"}),
        ("athletes", {"levle": "college"}),
    ],
)
def test_filter_that_cannot_be_used_is_refused_by_name(ask, kind, query):
    status, body = ask("coach", f"{kind}/", **query)
    assert (status, list(body)) == (400, list(query))


def test_lists_come_in_pages(ask, cast):
    AthleteFactory.create_batch(3)
    first = ask("coach", "athletes/", page_size=2)[1]
    second = ask("coach", "athletes/", page_size=2, page=2)[1]
    assert (first["count"], len(first["results"]), first["previous"]) == (5, 2, None)
    assert not {*uuids(first["results"])} & {*uuids(second["results"])}
    assert ask("coach", "athletes/", page_size=2, page=9)[0] == 404


# ---- price and trace ------------------------------------------------------------------------------------


def add_session(athlete) -> None:
    session = CaptureSessionFactory(athlete=athlete)
    throw = ThrowFactory(session=session)
    ReadingFactory(throw=throw)
    ScoringFactory(session=session)
    FindingFactory(session=session, flag=True)
    ShareFactory(session=session)


@pytest.mark.parametrize("kind", LISTS)
def test_a_list_costs_as_many_queries_for_many_as_for_few(client_of, cast, scored, kind):
    client = client_of(cast["coach"])
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert client.get(f"/api/{kind}/").status_code == 200
        counts.append(len(queries))
        for _ in range(4):
            person = AthleteFactory()
            AvailabilityFactory(athlete=person)
            TrainingGroupFactory(athletes=[person])
            add_session(person)
    assert counts[0] == counts[1]


def test_each_look_by_somebody_else_is_logged(ask, cast, scored):
    session = scored["athlete"]
    for address in (f"athletes/{cast.athlete.uuid}/", f"sessions/{session.uuid}/"):
        ask("clinician", address)
    ask("clinician", "findings/")
    ask("guardian", "shares/")
    looks = ViewLog.objects.order_by("id").values_list("athlete_uuid", "what")
    assert list(looks) == [(cast.athlete.uuid, f"API: {kind}") for kind in LISTS]


def test_own_and_refused_looks_are_not_logged(ask, cast, scored):
    ask("athlete_user", f"athletes/{cast.athlete.uuid}/")
    ask("stranger", f"athletes/{cast.athlete.uuid}/")
    ask("guardian", f"sessions/{scored['athlete'].uuid}/")
    assert not ViewLog.objects.exists()


# ---- the schema -----------------------------------------------------------------------------------------


def test_schema_is_valid_and_made_without_a_warning():
    out, said = StringIO(), StringIO()
    call_command("spectacular", validate=True, fail_on_warn=True, stdout=out, stderr=said)
    assert said.getvalue() == ""
    assert "/api/findings/" in out.getvalue()


def test_every_filter_is_in_the_schema(ask):
    paths = ask("coach", "schema/", format="json")[1]["paths"]
    names = {parameter["name"] for parameter in paths["/api/findings/"]["get"]["parameters"]}
    assert names >= {"athlete", "session", "group", "level", "method", "metric", "zone", "date_from", "date_to"}


OPERATIONS = (*(f"/api/{kind}/" for kind in LISTS), "/api/athletes/{uuid}/", "/api/sessions/{uuid}/")


@pytest.fixture
def described(client_of, cast, scored):
    """The served schema, bound to the application, and a coach's cookies.

    The check that a request without sign-in is refused does not know these cookies: a test above does it.
    """
    client = client_of(cast["coach"])
    schema = schemathesis.openapi.from_dict(client.get("/api/schema/?format=json").json())
    schema.app = get_wsgi_application()
    # As Django's own test client does: a request must not close the connection that holds the test's transaction.
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield schema, {name: morsel.value for name, morsel in client.cookies.items()}
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.mark.parametrize("operation", OPERATIONS)
def test_rows_have_the_form_that_the_schema_gives(described, cast, scored, operation):
    schema, cookies = described
    row = scored["athlete"] if "sessions" in operation else cast.athlete
    values = {"path_parameters": {"uuid": str(row.uuid)}} if "{uuid}" in operation else {}
    answer = schema[operation]["GET"].Case(**values).call_and_validate(cookies=cookies, excluded_checks=[ignored_auth])
    assert answer.status_code == 200
    assert str(row.uuid) in answer.text


@pytest.mark.parametrize("operation", OPERATIONS)
def test_generated_requests_get_documented_answers(described, operation):
    """Also wrong ones: a status that the schema names, a body of the form that it gives, never a server error."""
    schema, cookies = described
    statuses = set()

    @settings(max_examples=15, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(case=schema[operation]["GET"].as_strategy())
    def holds(case) -> None:
        answer = case.call(cookies=cookies)
        statuses.add(answer.status_code)
        case.validate_response(answer, excluded_checks=[ignored_auth])

    holds()
    assert statuses & {200, 404}, "no request got past sign-in and filters"
