"""Figures above the delivery line come from the markers of a throw of the session."""

from __future__ import annotations

import pytest

from metrics.selectors.delivery_figures import figures_of, usual_throw
from metrics.selectors.delivery_moments import events_of_session
from metrics.selectors.session_rows import RELATED, read_session
from sessions.models import CaptureSession
from tests import factories

pytestmark = pytest.mark.django_db


def rows_of(capture):
    return read_session(CaptureSession.objects.select_related("athlete", *RELATED).get(pk=capture.pk))


def places(strokes, css):
    return [place for name, points in strokes if name == css for place in points]


def test_recorded_throw_is_drawn_at_its_events(room, pitcher):
    rows = rows_of(room.session(room.throw_of(pitcher)))
    figures = figures_of(rows)
    assert set(figures) == {event.key for event in events_of_session(rows) if event.time_ms is not None}
    for strokes in figures.values():
        feet = min(y for _, y in places(strokes, "leg"))
        head = max(y for _, y in places(strokes, "head"))
        assert -0.15 < feet < 0.35
        assert 0.9 < head - feet < 2.3


def test_pitcher_moves_toward_home_plate_from_knee_lift_to_release(room, pitcher):
    figures = figures_of(rows_of(room.session(room.throw_of(pitcher))))
    lift, release = (max(x for x, _ in places(figures[key], "leg")) for key in ("pkh", "br"))
    assert release - lift > 0.3


def test_without_a_recording_there_is_no_figure(facility, athlete):
    capture = factories.CaptureSessionFactory(athlete=athlete)
    factories.ThrowFactory(session=capture)
    assert usual_throw(rows_of(capture)) is None
    assert figures_of(rows_of(capture)) == {}
