"""Many sessions scored in one pass have the rows of each scored alone, to the last bit."""

from __future__ import annotations

import datetime as dt
import random
from typing import Any

import pytest

from metrics.catalogue import load_catalogue
from metrics.models import Finding, Scoring, Standing
from metrics.profiles import version_for, versions_for
from metrics.services.scoring import rescore, rescore_together
from metrics.services.time_lines import in_order
from sessions.models import CaptureSession
from tests import factories

pytestmark = pytest.mark.django_db

DAYS = ("2026-03-02", "2026-03-09", "2026-03-09", "2026-04-20")


def _values(method: str, offset: float, chance: random.Random) -> dict[str, dict[str, Any]]:
    """A reading of every metric that the method can give, some of them missing or in metres."""
    values: dict[str, dict[str, Any]] = {}
    for index, metric in enumerate(load_catalogue().metrics.values()):
        if not metric.can_be_given_by(method) or chance.random() < 0.03:
            continue
        low, high = metric.plausible_low or 0.0, metric.plausible_high or 100.0
        number = low + (high - low) * min(1.0, max(0.0, 0.15 + (index % 8) / 10 + offset + chance.gauss(0, 0.03)))
        in_metres = metric.unit == "% height" and index % 2
        reading = {"value": number * 0.018, "unit": "m"} if in_metres else {"value": number}
        values[metric.reading_key("fc")] = {"reason": "implausible"} if chance.random() < 0.02 else reading
    return values


def _session(athlete: Any, day: str, ordinal: int, frame_rate_hz: float | None, method: str) -> CaptureSession:
    chance = random.Random(f"{athlete.pk} {day} {ordinal}")
    capture = factories.CaptureSessionFactory(
        athlete=athlete, date=dt.date.fromisoformat(day), ordinal=ordinal, method=method, landing="fc",
        frame_rate_hz=frame_rate_hz,
    )  # fmt: skip
    for number in range(1, 3 + ordinal + athlete.pk % 3):
        throw = factories.ThrowFactory(session=capture, number=number, ball_speed_m_s=chance.uniform(30, 40))
        factories.ReadingFactory(throw=throw, values=_values(method, (athlete.pk % 4) / 20, chance))
    return capture


@pytest.fixture
def sessions() -> list[CaptureSession]:
    """Three athletes of different size and level with four sessions each, two of them on one day, and an empty one."""
    factories.starting_profiles()
    made = []
    for index, level in enumerate(("high_school", "college", "professional")):
        athlete = factories.AthleteFactory(level=level, body_size={"height_cm": 176 + 7 * index, "mass_kg": 80})
        method = "video" if index == 2 else "motion_capture"
        made += [_session(athlete, day, n, (None, 300.0)[n % 2], method) for n, day in enumerate(DAYS, start=1)]
    made.append(factories.CaptureSessionFactory(date=dt.date(2026, 3, 2)))
    return [CaptureSession.objects.select_related("athlete").get(pk=one.pk) for one in made]


def everything_scored() -> dict[str, list[tuple[Any, ...]]]:
    """All that scoring writes, without keys and times; floats as they are, to the last bit."""
    left_out = {"id", "scored_at", "rebuilt_at"}
    found = {}
    for model, order in ((Finding, ("session", "metric")), (Scoring, ("session",)), (Standing, ("athlete",))):
        names = [field.attname for field in model._meta.concrete_fields if field.attname not in left_out]
        found[model.__name__] = list(model.objects.order_by(*(f"{one}_id" if one != "metric" else one for one in order))
                                     .values_list(*names))  # fmt: skip
    return found


def test_sessions_scored_together_have_the_rows_of_each_scored_alone(sessions):
    for capture in in_order(sessions):
        rescore(capture)
    alone = everything_scored()
    Finding.objects.all().delete()
    Scoring.objects.all().delete()
    Standing.objects.all().delete()

    rescore_together(sessions)

    assert everything_scored() == alone
    confirmations = {row.confirmation for row in Finding.objects.all()}
    assert confirmations == {"", "to_confirm", "confirmed", "recurring"}
    assert len(alone["Finding"]) > 500


def test_scoring_together_again_changes_nothing(sessions):
    rescore_together(sessions)
    first = everything_scored()
    rescore_together(sessions)
    assert everything_scored() == first


def test_a_session_after_those_scored_is_scored_again_by_the_worker(sessions):
    *earlier, last = in_order([one for one in sessions if one.athlete_id == sessions[0].athlete_id])
    rescore(last)
    rescore_together(earlier)
    assert Scoring.objects.get(session=last).scored_revision == 0
    assert all(one.scoring.scored_revision == one.input_revision for one in earlier)


def test_the_number_of_queries_does_not_grow_with_the_sessions(sessions, django_assert_max_num_queries):
    rescore_together(sessions[:1])  # the rules of the version are read once a process
    Scoring.objects.all().delete()
    with django_assert_max_num_queries(30):
        rescore_together(sessions)


def test_versions_of_many_dates_are_those_of_each(sessions):
    profile = version_for(dt.date(2026, 1, 1)).profile
    later = factories.RangeProfileVersionFactory(profile=profile, number=99)
    factories.publish(later, valid_from=dt.date(2026, 3, 9))
    dates = [dt.date(1990, 1, 1), *(dt.date.fromisoformat(day) for day in DAYS)]
    assert versions_for(dates) == {date: version_for(date) for date in dates}
