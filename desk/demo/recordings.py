"""Motion capture recordings of the demo's in-house athletes: synthesised deliveries, as a capture room writes them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from hashlib import sha256
from importlib import import_module

import numpy as np

from desk.demo.cast import Story
from desk.demo.days import Visit, visits_by_day
from desk.demo.files import DemoFile, level_of
from desk.demo.numbers import COURSES, height_on

ROOM = "Marker hall"
RATE_HZ = 240.0
IN_HOUSE = 4
THROWS = 3
NOISE_M = 0.0005
AFTER_RELEASE_S = 0.5
# What a story has off → the habit of the synthesiser that shows it.
HABITS = {
    ("stride_length", -1): "short_stride",
    ("trunk_opening_time", -1): "opens_early",
    ("lead_knee_extension", -1): "lead_knee_collapses",
    ("trunk_lateral_tilt_br", 1): "leans_to_glove_side",
    ("shoulder_external_rotation_fp", -1): "arm_late",
    ("elbow_flexion_fp", -1): "arm_straight_at_landing",
    ("separation_fp", -1): "opens_early",
    ("pelvis_rotation_fp", -1): "pelvis_opens_early",
    ("shoulder_external_rotation_max", -1): "little_layback",
    ("shoulder_external_rotation_max", 1): "much_layback",
    ("pelvis_trunk_lag", -1): "trunk_before_pelvis",
}
TINY_VISITS, TINY_THROWS = 1, 3


def recorded_visits(athletes: Sequence[Story], today: dt.date, *, tiny: bool = False) -> list[Visit]:
    """All motion capture visits of the first athletes who have any, the oldest day first.

    All, since a table's numbers and a synthesised delivery are two inventions: from one to the other half of an
    athlete would seem to change. The smallest demonstration has room for the last visit of two athletes only.
    """
    numbers = [number for number, story in enumerate(athletes, 1) if story.sessions.get("motion_capture")]
    chosen = set(numbers[: 2 if tiny else IN_HOUSE])
    listed: dict[int, list[Visit]] = {}
    for (_, method), visits in visits_by_day(athletes, today).items():
        for visit in visits:
            if method == "motion_capture" and visit.number in chosen:
                listed.setdefault(visit.number, []).append(visit)
    kept = [visit for visits in listed.values() for visit in (visits[-TINY_VISITS:] if tiny else visits)]
    return sorted(kept, key=lambda visit: (visit.date, visit.number))


def recordings_of(visit: Visit, today: dt.date, *, tiny: bool = False) -> Iterable[DemoFile]:
    """One file a throw, the same bytes every time."""
    made = import_module("tests.synthesis")  # what the measurement is tested against, and no part of the application
    story = visit.story
    who = story.external_id(visit.number)
    rng = np.random.default_rng(list(sha256(f"{who} {visit.date}".encode()).digest()[:8]))
    level = level_of(story, visit.date, today)
    style = made.style_of(level, *_habits(visit))
    body = made.Body(height=height_on(story, visit, (today - visit.date).days) / 100, mass=story.mass_kg)
    room = made.Room(rate_hz=RATE_HZ, unit="mm", side=story.throws, head=True, ball=True)
    for number in range(1, (TINY_THROWS if tiny else THROWS) + 1):
        recording = made.record(made.Delivery(body, style.varied(rng)), room)
        recording = made.without(recording, ("R_HEAD", "L_HEAD"))
        recording = made.cut(recording, end=recording.throw.events.br + AFTER_RELEASE_S)
        data = made.c3d_bytes(made.with_names(made.with_noise(recording, NOISE_M, rng), who))
        yield DemoFile(f"{visit.date} {who} throw {number}.c3d", ROOM, "motion_capture", visit.date, data)


def _habits(visit: Visit) -> list[str]:
    """Those of the story that show at this point of its course."""
    found = []
    for off in visit.story.off:
        habit = HABITS.get((off.metric, 1 if off.half_widths > 0 else -1))
        if habit and COURSES[off.course](visit.progress, visit.ordinal) > 0.5:
            found.append(habit)
    return list(dict.fromkeys(found))
