"""The stop stands on every page of the athlete: whoever opens one of them reads it, wherever they came from."""

from __future__ import annotations

import re
from collections.abc import Iterator
from uuid import uuid4

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from athletes.services.check_ins import check_in
from metrics.services.screens.saving import save_screens
from tests import factories
from tests.metrics.test_session_page import captured

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

ROOMS = ("athletes", "sessions", "metrics", "desk")
# What has an id in its address and is about no single athlete.
OF_NO_ATHLETE = {
    "of a file": re.compile(r"(sessions:(upload|original)|metrics:(import|match|labels|unit))"),
    "of an invitation": re.compile(r"athletes:invitation"),
    "of a training group": re.compile(r"(desk:group|athletes:group)"),
}
# Whose id stands first in addresses that begin so.
FIRST_IDS = {"/sessions/": "session", "/screens/saved/": "entry", "/shared/": "share_uuid"}
READERS = ("admin", "coach", "clinician")
CHANGING = {
    "athletes:edit",
    "athletes:check-in",
    "sessions:session-open",
    "metrics:session-move",
    "metrics:throw-exclude",
}
STAFF_ONLY = {"admin": CHANGING, "coach": CHANGING}


def places(patterns=None, namespace: str = "") -> Iterator[tuple[str, tuple[str, ...]]]:
    """Names of all addresses of the rooms that have an id, with the names of their parts."""
    for entry in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(entry, URLResolver):
            yield from places(entry.url_patterns, entry.namespace or namespace)
        elif isinstance(entry, URLPattern) and namespace in ROOMS and entry.pattern.converters:
            yield f"{namespace}:{entry.name}", tuple(entry.pattern.converters)


PLACES = dict(places())


@pytest.fixture
def world(cast, coach):
    """An athlete in pain with everything that has a page of its own."""
    factories.starting_profiles()
    capture = captured(cast.athlete, {"elbow_flexion_fp": 92.0})
    row = check_in(athlete=cast.athlete, feeling="pain", words="elbow", by=coach)
    entry = save_screens(
        athlete=cast.athlete,
        by=coach,
        key=uuid4(),
        date=factories.DAY,
        sent={"v-hip_ir_front-1": "30", "p-hip_ir_front": "on"},
    )
    return {
        "athlete": cast.athlete.uuid,
        "session": capture.uuid,
        "entry": entry.uuid,
        "throw_uuid": capture.throws.first().uuid,
        "report_uuid": row.pain_report.uuid,
        "note_uuid": factories.NoteFactory(athlete=cast.athlete).uuid,
        "check_in_uuid": row.uuid,
        "share_uuid": factories.ShareFactory(session=capture).uuid,
        "guardian_uuid": cast["guardian"].uuid,
        "answer_uuid": uuid4(),
        "metric": "elbow_flexion_fp",
    }


def address(name: str, world: dict) -> str:
    """By what the first id of the address is."""
    first = next((kind for path, kind in FIRST_IDS.items() if path in _example(name)), "athlete")
    return reverse(name, kwargs={part: world[first if part == "uuid" else part] for part in PLACES[name]})


def _example(name: str) -> str:
    return reverse(name, kwargs={part: "x" if part == "metric" else uuid4() for part in PLACES[name]})


def own_pages() -> list[str]:
    return [name for name in PLACES if not any(kind.match(name) for kind in OF_NO_ATHLETE.values())]


def stops(page: str) -> bool:
    """A block of its own, reversed, with the place of the pain; the time line's words would not do."""
    blocks = re.findall(r'<div class="stop-block".*?</div>', page, re.DOTALL)
    return any("Pain: elbow." in block for block in blocks)


@pytest.mark.parametrize("reader", READERS)
def test_the_stop_stands_on_every_page_of_the_athlete(world, cast, client_of, reader):
    """Parts of pages and saved files have no head of their own; what is only posted to has no page."""
    client, seen, bare = client_of(cast[reader]), [], []
    for name in own_pages():
        answer = client.get(address(name, world))
        page = answer.content.decode() if answer["Content-Type"].startswith("text/html") else ""
        if answer.status_code == 200 and "<main" in page:
            seen.append(name)
            if not stops(page):
                bare.append(name)
    assert bare == []
    expected = {"desk:record", "metrics:session", "metrics:finding", "metrics:screens", "athletes:pain"}
    assert expected | STAFF_ONLY.get(reader, set()) <= set(seen)


def test_a_visiting_coach_does_not_read_on_a_shared_page_why_somebody_is_stopped(world, cast, client_of):
    shown = client_of(cast["visiting_coach"]).get(address("desk:shared", world))
    assert shown.status_code == 200
    assert "elbow." not in shown.content.decode()
    assert "stop-block" not in shown.content.decode()


@pytest.mark.parametrize("page", ["metrics:screens-station", "metrics:screens-blank"])
def test_the_stop_stands_on_pages_that_name_the_athlete_by_a_question(page, world, cast, client_of):
    asked = {"only": "hip_er", "who": "list", "athlete": str(world["athlete"])}
    shown = client_of(cast["coach"]).get(reverse(page), asked).content.decode()
    assert "Ikaika Brandvold" in shown
    assert stops(shown)


@pytest.mark.parametrize("name", ["desk:record", "metrics:session"])
def test_a_stop_without_pain_and_a_cleared_pain(name, world, cast, client_of):
    """The same block says *stopped*; after the clearance it is gone."""
    factories.ClearanceFactory(report=cast.athlete.pain_reports.get())
    client = client_of(cast["coach"])
    assert "stop-block" not in client.get(address(name, world)).content.decode()
    factories.AvailabilityFactory(athlete=cast.athlete, state="stopped", limits="Illness")
    assert "Throwing and loaded work are stopped." in client.get(address(name, world)).content.decode()
