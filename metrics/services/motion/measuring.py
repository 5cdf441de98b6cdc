"""A stored throw measured again: after an event was moved, or when the athlete's size on that day was corrected."""

from __future__ import annotations

import logging

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import User
from metrics.kinematics import FoundThrow, NotMeasured, ThrowMeasurement
from metrics.measuring.capture import captured_throw, measure_kept
from metrics.measuring.room import Room
from metrics.models import MotionReport
from metrics.services.motion.arrays import ArraysLost, arrays_of
from metrics.services.motion.readings import write_readings
from metrics.services.motion.rooms import thrower_now
from sessions.models import CaptureSession, EventTime, Throw
from sessions.services.events import clear_event_time, set_event_time

log = logging.getLogger(__name__)


@transaction.atomic
def move_event(*, throw: Throw, event: str, time_s: float, by: User, read_at: int | None = None) -> None:
    """Sets an event's time and reads every metric anew, or changes nothing.

    Raises ValidationError with a sentence when the throw cannot be read so, ChangedMeanwhile.
    """
    set_event_time(throw=throw, event=event, time_s=time_s, by=by, read_at=read_at)
    _measure_or_refuse(throw)


@transaction.atomic
def restore_event(*, throw: Throw, event: str, by: User, read_at: int | None = None) -> bool:
    """Takes the time that was found again; False when none was set. Raises as `move_event`."""
    if not clear_event_time(throw=throw, event=event, by=by, read_at=read_at):
        return False
    _measure_or_refuse(throw)
    return True


def _measure_or_refuse(throw: Throw) -> None:
    try:
        measure_again(throw)
    except (NotMeasured, ArraysLost) as refused:
        raise ValidationError(refused.sentence) from refused


def measured_throw(throw: Throw) -> ThrowMeasurement:
    """The throw with its curves, by the events that stand. Raises NotMeasured, ArraysLost."""
    recording = throw.recording
    kept = arrays_of(recording)
    # Asked anew: what came with the throw may be from before an event was moved.
    events = dict(EventTime.objects.filter(throw=throw).values_list("event", "time_s"))
    room = Room.from_json(recording.room)
    return measure_kept(kept.positions, kept.found, room=room, thrower=thrower_now(throw), events=events or None)


def measure_again(throw: Throw) -> None:
    """Replaces the throw's readings and report. Raises NotMeasured, ArraysLost."""
    recording = throw.recording
    captured = captured_throw(measured_throw(throw), FoundThrow(**recording.found), recording.first_frame)
    write_readings(throw, captured, thrower_now(throw))


def measure_where_size_changed(capture: CaptureSession) -> int:
    """Reads throws anew whose athlete has another height or mass on that day than they were measured for.

    Gives how many. One that cannot be read so keeps its readings, and the log says why.
    """
    done = 0
    reports = MotionReport.objects.filter(throw__session=capture, throw__withdrawn_at=None)
    for report in reports.select_related("throw__session__athlete", "throw__recording__original"):
        if report.measured_for == thrower_now(report.throw).to_json():
            continue
        try:
            with transaction.atomic():
                measure_again(report.throw)
            done += 1
        except (NotMeasured, ArraysLost) as refused:
            log.warning("Throw %s keeps its readings: %s", report.throw.uuid, refused)
    return done
