"""A capture room's file for the application: each throw cut out, measured, and kept as arrays beside its readings."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import numpy as np

from metrics.catalogue import load_catalogue
from metrics.kinematics import FoundThrow, NotMeasured, Setup, ThrowMeasurement, find_throws, measure_throw
from metrics.kinematics.axes import body_height
from metrics.kinematics.filters import HIGHEST_SHARE
from metrics.kinematics.landmarks import NEEDED, columns_by_person, find_columns
from metrics.kinematics.segments import BALL_KG
from metrics.kinematics.throws import read_markers
from metrics.measuring.captured import CapturedFile, CapturedThrow, Refusal, Said
from metrics.measuring.room import Room, Thrower
from metrics.measuring.suggesting import label_set_fingerprint, suggest_labels
from metrics.measuring.traces import trace_of
from sessions.formats.c3d import read_c3d
from sessions.formats.kept import cut, kept_bytes
from sessions.formats.recording import Recording

LABEL_CODES: Final = frozenset({"no_known_labels", "labels_missing"})
"""Refusals that matching the file's names to landmarks answers."""

PLAUSIBLE_HEIGHT_M: Final = (0.9, 2.4)
"""A height taken from markers is held within this: it only places what no marker shows (house value)."""


def capture_bytes(
    data: bytes,
    filename: str,
    *,
    room: Room,
    thrower: Thrower,
    keep: bool = False,
    rooms: Mapping[str, Room] | None = None,
) -> CapturedFile:
    """A C3D file's throws, measured from the arrays that would be kept; with those arrays when ``keep``.

    ``rooms``: by `label_set_fingerprint`; a file with one of these sets of names is read by that room, else by
    ``room``. What cannot be measured comes back as refusals. Raises UnreadableFile for a file that is no recording.
    """
    recording = read_c3d(data, filename)
    room = (rooms or {}).get(label_set_fingerprint(recording.labels), room)
    file = _file(recording, room)
    if room.filter_hz is not None and room.filter_hz >= HIGHEST_SHARE * recording.rate_hz:
        return replace(file, refusals=(_filter_too_fast(room.filter_hz, recording.rate_hz),))
    setup = room.setup_for(recording)
    try:
        found = find_throws(recording, setup=setup)
    except NotMeasured as refused:
        suggested = tuple(suggest_labels(recording)) if refused.code in LABEL_CODES else ()
        return replace(file, refusals=(Refusal(refused.code, refused.sentence),), suggestions=suggested)
    throws, refusals = [], []
    for number, throw in enumerate(found, 1):
        kept, own = cut_throw(recording, throw, room)
        try:
            measured = measure_kept(kept, own, room=room, thrower=thrower)
        except NotMeasured as refused:
            place = f"Throw {number}, at {throw.fastest_s:.1f} s: " if len(found) > 1 else ""
            refusals.append(Refusal(refused.code, f"{place}{refused.sentence}"))
            continue
        one = captured_throw(measured, own, throw.first)
        throws.append(replace(one, kept=base64.b64encode(kept_bytes(kept)).decode()) if keep else one)
    return replace(file, throws=tuple(throws), refusals=tuple(refusals))


def cut_throw(recording: Recording, throw: FoundThrow, room: Room) -> tuple[Recording, FoundThrow]:
    """The throw's own arrays, and the throw as it lies in them."""
    columns = find_columns(recording.labels, room.names, room.person)
    if not room.uses_plates:
        recording = replace(recording, plates=())
    kept = cut(recording, throw.first, throw.last, set(columns.values()))
    own = replace(
        throw, first=0, last=throw.last - throw.first, fastest_s=throw.fastest_s - throw.first / recording.rate_hz
    )
    return kept, own


def measure_kept(
    kept: Recording, throw: FoundThrow, *, room: Room, thrower: Thrower, events: Mapping[str, float] | None = None
) -> ThrowMeasurement:
    """Measures what `cut_throw` gave. ``events``: times that a person set, s from its first frame.

    Raises NotMeasured.
    """
    setup = room.setup_for(kept)
    return measure_throw(
        kept,
        height_m=thrower.height_m or _height_of(kept, setup),
        mass_kg=thrower.mass_kg,
        side=thrower.side,
        filter_hz=room.filter_hz,
        sex=thrower.sex,
        ball_kg=thrower.ball_kg or BALL_KG,
        age_years=thrower.age_years,
        setup=setup,
        throw=throw,
        events=events,
    )


def captured_throw(measured: ThrowMeasurement, throw: FoundThrow, first_frame: int) -> CapturedThrow:
    """A measurement as plain values. ``first_frame``: of the original, at which the kept arrays begin."""
    report = measured.report
    return CapturedThrow(
        throw=throw,
        first_frame=first_frame,
        side=report.side,
        axes=dict(report.axes),
        gaps=dict(report.gaps_filled),
        forearm_ratio=round(float(report.forearm_ratio), 4),
        noise_mm=round(float(report.noise_mm), 3),
        events={name: float(time) for name, time in measured.events.items()},
        automatic={name: float(time) for name, time in report.automatic_events.items()},
        rules=dict(report.event_rules),
        values=readings_of(measured),
        notices=tuple(Said(one.code, one.sentence) for one in report.notices),
        questions=tuple(Said(one.code, one.sentence) for one in report.questions),
        trace=trace_of(measured),
    )


def readings_of(measured: ThrowMeasurement) -> dict[str, dict[str, Any]]:
    """Reading key → {"value": number}, with "unit": "m" where metres stand for a percent; or {"reason": code}."""
    catalogue = load_catalogue()
    readings: dict[str, dict[str, Any]] = {}
    for key, one in measured.metrics.items():
        if one.value is None:
            readings[key] = {"reason": one.code}
        elif catalogue.metric(key.partition("@")[0]).unit == "% height":
            readings[key] = {"value": float(one.value), "unit": "m"}
        else:
            readings[key] = {"value": float(one.value)}
    return readings


def _file(recording: Recording, room: Room) -> CapturedFile:
    people, _ = columns_by_person(recording.labels, room.names)
    mine = max(people.values(), key=len, default={})
    if room.person:
        mine = people.get(room.person, mine)
    seen = np.isfinite(recording.positions).all(axis=-1).mean(axis=0)
    return CapturedFile(
        labels=recording.labels,
        label_set=label_set_fingerprint(recording.labels),
        known={label: recording.labels[column] for label, column in mine.items()},
        missing=tuple(label for label in NEEDED if label not in mine),
        seen={label: round(float(seen[column]), 4) for label, column in mine.items()},
        people=tuple(sorted(filter(None, people))),
        unit=recording.units,
        rate_hz=recording.rate_hz,
        frames=len(recording.positions),
        plates=len(recording.plates),
        marked=recording.events,
        problems=tuple(one.sentence for one in recording.problems),
    )


def _filter_too_fast(filter_hz: float, rate_hz: float) -> Refusal:
    return Refusal(
        "filter_too_fast",
        f"A filter of {filter_hz:g} Hz needs more than the file's {rate_hz:g} frames a second: set one under "
        f"{HIGHEST_SHARE * rate_hz:g} Hz in the capture setup, or none.",
    )


def _height_of(kept: Recording, setup: Setup) -> float:
    low, high = PLAUSIBLE_HEIGHT_M
    measured = body_height(read_markers(kept, setup)[0])
    return float(np.clip(measured, low, high)) if np.isfinite(measured) else (low + high) / 2
