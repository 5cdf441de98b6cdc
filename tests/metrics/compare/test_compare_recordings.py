"""Two recorded sessions beside each other: which throws move, how they are made alike, and the curve of both."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from django.urls import reverse

from metrics.models import ImportUnit
from tests import factories
from tests.metrics.motion.conftest import DAY, CaptureRoom, folders, measured_once, pitcher, profiles, room, throw_bytes

__all__ = ["folders", "measured_once", "pitcher", "profiles", "room"]

pytestmark = pytest.mark.django_db


def recorded(room: CaptureRoom, athlete, data: bytes, day: dt.date):
    """A session of one recorded throw."""
    upload = room.upload(data)
    ImportUnit.objects.filter(draft__upload=upload).update(athlete=athlete, date=day)
    return room.session(room.accept(upload))


@pytest.fixture
def pair(room, pitcher):
    then = recorded(room, pitcher, throw_bytes(habit="opens_early"), DAY - dt.timedelta(days=40))
    return then, recorded(room, pitcher, throw_bytes(), DAY)


def page_of(client, athlete, **query):
    return client.get(reverse("metrics:compare", args=[athlete.uuid]), query).context["page"]


def curve_of(client, athlete, **query):
    return client.get(reverse("metrics:compare-curves", args=[athlete.uuid]), query).json()


def test_recorded_throws_move_beside_each_other(pair, pitcher, coach, client_of):
    page = page_of(client_of(coach), pitcher)
    assert page.no_figure == ""
    for side, capture in zip(page.sides, pair, strict=True):
        assert side.throw.figure_url == reverse("metrics:throw-figure", args=[capture.uuid, side.throw.uuid])
        assert client_of(coach).get(side.throw.figure_url).status_code == 200
        assert side.height_cm == 186.0


def test_figures_and_curves_are_fetched_with_the_page_only_where_there_are_recordings(pair, pitcher, coach, client_of):
    html = client_of(coach).get(reverse("metrics:compare", args=[pitcher.uuid])).content.decode()
    assert html.count("data-place=") == 2
    assert 'data-height-cm="186.00"' in html


def test_one_side_without_a_recording_is_named(pair, pitcher, coach, client_of):
    plain = factories.CaptureSessionFactory(athlete=pitcher, date=DAY + dt.timedelta(days=5))
    page = page_of(client_of(coach), pitcher, a=pair[1].uuid, b=plain.uuid)
    assert page.no_figure == (
        f"No moving figure and no curves: the session of {plain.date:%-d %B %Y} (motion capture) has no recording."
    )


def test_without_a_height_nothing_is_scaled_and_that_is_said(pair, pitcher, coach, client_of):
    pitcher.body_sizes.all().delete()
    laying = " ".join(page_of(client_of(coach), pitcher).laying)
    assert "Not scaled when laid over each other: no height is known for Then" in laying


def test_the_left_hander_of_two_is_mirrored(room, pair, pitcher, coach, client_of):
    other = factories.AthleteFactory(given_name="Left", family_name="Handed", throws="left", level="college")
    theirs = recorded(room, other, throw_bytes(side="left"), DAY)
    page = page_of(client_of(coach), pitcher, b=theirs.uuid)
    assert page.mirrored == 1
    assert "Left Handed is mirrored: thrown with the left arm." in page.laying
    assert page_of(client_of(coach), pitcher).mirrored is None


def test_curves_of_both_stand_on_one_clock_and_differ_by_what_lies_between_them(pair, pitcher, coach, client_of):
    data = curve_of(client_of(coach), pitcher, curve="trunk_rotation")
    first, second = data["sides"]
    assert [side["title"] for side in data["sides"]] == ["Then", "Now"]
    lengths = {len(first["mean"]), len(second["mean"]), len(data["difference"]), len(data["times_ms"])}
    assert len(lengths) == 1
    rows = [np.array(one, dtype=float) for one in (first["mean"], second["mean"], data["difference"])]
    seen = np.isfinite(rows).all(axis=0)
    assert seen.sum() > 100
    assert rows[1][seen] - rows[0][seen] == pytest.approx(rows[2][seen], abs=0.011)  # each rounded to a hundredth
    release = [next(one["chart_ms"] for one in side["events"] if one["key"] == "br") for side in data["sides"]]
    assert release == pytest.approx([data["release_ms"]] * 2, abs=0.01)


def test_a_trunk_that_opened_early_is_further_round_at_contact_then(pair, pitcher, coach, client_of):
    data = curve_of(client_of(coach), pitcher, curve="trunk_rotation")
    at_contact = int(np.argmin(np.abs(np.array(data["times_ms"]))))
    assert data["difference"][at_contact] > 5  # rotation counts down to home: the closed trunk has more to go


def test_too_few_throws_have_no_band_and_that_is_said(pair, pitcher, coach, client_of):
    data = curve_of(client_of(coach), pitcher, curve="trunk_rotation")
    assert data["low"] is data["high"] is None
    assert "Too few throws for a band of the difference" in data["said"]


def test_three_throws_on_each_side_have_a_band_around_the_difference(room, pitcher, coach, client_of):
    for day, habit in ((DAY - dt.timedelta(days=40), "opens_early"), (DAY, "")):
        for number in range(3):
            upload = room.upload(throw_bytes(habit=habit, number=number), f"throw {number}.c3d")
            units = ImportUnit.objects.filter(draft__upload=upload)
            units.update(athlete=pitcher, date=day)
            room.accept(upload)
    data = curve_of(client_of(coach), pitcher, curve="trunk_rotation")
    assert [len(side["throws"]) for side in data["sides"]] == [3, 3]
    # throws of the same positions: the band closes on the difference
    middle = len(data["difference"]) // 2
    assert data["low"][middle] == pytest.approx(data["difference"][middle], abs=0.02)
    assert data["high"][middle] == pytest.approx(data["difference"][middle], abs=0.02)


def test_a_throw_beside_another_of_its_session_is_drawn_alone(room, pitcher, coach, client_of):
    capture = recorded(room, pitcher, throw_bytes(), DAY)
    data = curve_of(client_of(coach), pitcher, a=capture.uuid, b=capture.uuid, curve="elbow_flexion")
    assert [len(side["throws"]) for side in data["sides"]] == [1, 1]
    assert [side["title"] for side in data["sides"]] == ["First", "Second"]
    assert set(data["difference"]) <= {0.0, None}


@pytest.mark.parametrize("name", ["", "happiness"])
def test_a_curve_that_is_not_known_is_nowhere(pair, pitcher, coach, client_of, name):
    address = reverse("metrics:compare-curves", args=[pitcher.uuid])
    assert client_of(coach).get(address, {"curve": name}).status_code == 404
