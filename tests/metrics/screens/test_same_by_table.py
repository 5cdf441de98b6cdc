"""The same screens by table and by hand come to the same readings and findings."""

import csv
import io
from uuid import uuid4

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.screen_form import load_screen_form
from metrics.models import Finding, Reading
from metrics.services.screens.saving import save_screens
from sessions.models import CaptureSession
from tests import factories
from tests.metrics.imports.conftest import Room, originals, profiles, room  # noqa: F401 - fixtures

pytestmark = pytest.mark.django_db

KEYS = [key for one in load_screen_form().screens for key in one.keys]
JUDGED = ("metric", "mean", "u", "zone", "side", "sure", "p_flag", "target_low", "flag_low", "n")


def middle(key: str) -> float:
    """A whole number inside the plausible span, another for each side."""
    metric = load_catalogue().metric(key)
    assert metric.plausible_low is not None
    assert metric.plausible_high is not None
    share = 0.4 if metric.side in ("throwing", "front") else 0.5
    return float(round(metric.plausible_low + share * (metric.plausible_high - metric.plausible_low)))


def table(name: str, external_id: str) -> str:
    text = io.StringIO()
    names = [load_catalogue().metric(key).name for key in KEYS]
    csv.writer(text).writerows(
        [["Athlete", "ID", "Date", *names], [name, external_id, "2026-04-14", *(f"{middle(key):g}" for key in KEYS)]]
    )
    return text.getvalue()


def judged(capture: CaptureSession) -> list[tuple]:
    found = Finding.objects.filter(session=capture).order_by("metric")
    return [tuple(getattr(one, name) for name in JUDGED) for one in found if one.metric in KEYS]


def test_every_screen_of_the_form_comes_by_table_as_well(room: Room, clock):  # noqa: F811 - the fixture
    by_table = factories.AthleteFactory(given_name="Tove", family_name="Marrin")
    factories.ExternalIdFactory(athlete=by_table, value="TM-1")
    by_hand = factories.AthleteFactory(given_name="Ikem", family_name="Doull")
    room.accept(room.match(room.upload(table("Tove Marrin", "TM-1"), "screens.csv"), method="hands_on"))
    sent = {f"v-{key}-1": f"{middle(key):g}" for key in KEYS} | {"units": "metric"}
    save_screens(athlete=by_hand, by=room.coach, key=uuid4(), date=factories.DAY, sent=sent)

    one, other = (CaptureSession.objects.get(athlete=athlete, method="hands_on") for athlete in (by_table, by_hand))
    values = [Reading.objects.get(throw__session=capture).values for capture in (one, other)]
    assert set(values[1]) == {f"{key}@screen" for key in KEYS}
    assert values[0] == values[1]
    assert judged(one) == judged(other)
    assert len(judged(one)) == len(KEYS)
