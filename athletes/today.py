"""The facility's date: what *today* is on its wall clock, in a request and in the worker alike."""

from __future__ import annotations

import datetime as dt
import zoneinfo

from django.utils import timezone

from athletes.models import Facility


def facility_today(facility: Facility | None = None) -> dt.date:
    zone = zoneinfo.ZoneInfo((facility or Facility.current()).time_zone)
    return timezone.localdate(timezone.now(), zone)
