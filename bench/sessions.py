"""Sessions with readings of every metric, and findings in number."""

from __future__ import annotations

import datetime as dt
import random

from django.db import connection

from athletes.models import Athlete
from metrics.catalogue import Metric, load_catalogue
from metrics.models import Finding, Reading
from metrics.services.scoring import rescore
from sessions.models import CaptureSession, Throw


def full_session(athlete: Athlete, date: dt.date, throws: int) -> CaptureSession:
    """A scored session of motion capture in which every throw has every metric of the catalogue."""
    chance = random.Random(date.toordinal())
    capture = CaptureSession.objects.create(
        athlete=athlete, date=date, method="motion_capture", throwing_side="right", landing="fc", frame_rate_hz=300
    )
    metrics = [metric for metric in load_catalogue().metrics.values() if metric.can_be_given_by(capture.method)]
    made = Throw.objects.bulk_create(
        Throw(session=capture, number=number, ball_speed_m_s=chance.uniform(38, 41)) for number in range(1, throws + 1)
    )
    Reading.objects.bulk_create(
        Reading(
            throw=throw,
            source=Reading.Source.TABLE,
            algorithm="bench",
            checksum=str(throw.pk),
            values={metric.reading_key("fc"): {"value": _value(metric, chance)} for metric in metrics},
        )
        for throw in made
    )
    rescore(capture)
    return capture


def _value(metric: Metric, chance: random.Random) -> float:
    low, high = metric.plausible_low or 0.0, metric.plausible_high or 100.0
    return round(low + (high - low) * chance.uniform(0.4, 0.6), 2)


def copy_findings(source: CaptureSession) -> None:
    """Gives every session that has no finding those of this one, inside the database."""
    table = Finding._meta.db_table
    columns = [field.column for field in Finding._meta.concrete_fields if field.column not in {"id", "session_id"}]
    listed = ", ".join(f'"{column}"' for column in columns)
    copied = ", ".join(f'f."{column}"' for column in columns)
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} (session_id, {listed}) SELECT s.id, {copied} "
            f"FROM {CaptureSession._meta.db_table} s JOIN {table} f ON f.session_id = %s "
            f"WHERE NOT EXISTS (SELECT 1 FROM {table} x WHERE x.session_id = s.id)",
            [source.pk],
        )
