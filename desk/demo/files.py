"""The files of the demo's capture rooms: a table a day, as such rooms export them."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from openpyxl import Workbook

from athletes.quantities import M_S_PER_MPH
from desk.demo.cast import Story
from desk.demo.days import Visit, visits_by_day
from desk.demo.numbers import ball_speeds, height_on, metrics_of, values_of
from metrics.catalogue import Metric, load_catalogue

WHO = ("Pitcher", "Pitcher ID", "Date", "Throw", "Pitch", "Effort", "Surface", "Ball speed")
WARM_UPS = 2
LEVEL_CHANGE_DAYS = 120


@dataclass(frozen=True, slots=True)
class DemoFile:
    """One file to upload. `room` names the setup whose header it has."""

    name: str
    room: str
    method: str
    date: dt.date
    data: bytes


def level_of(story: Story, date: dt.date, today: dt.date) -> str:
    """The level on a date; who changed it did so four months before the demo."""
    changed = today - dt.timedelta(days=LEVEL_CHANGE_DAYS)
    return story.level_before if story.level_before and date < changed else story.level


def demo_files(athletes: Sequence[Story], today: dt.date, *, without: Collection[Visit] = ()) -> Iterable[DemoFile]:
    """All tables, oldest day first. `without`: visits of which there are recordings instead."""
    writers = {"motion_capture": markers_day, "video": _video_day, "hands_on": _screens_day}
    for (date, method), visits in visits_by_day(athletes, today).items():
        tabled = [visit for visit in visits if visit not in without]
        if tabled:
            yield writers[method](date, tabled, today)


def markers_day(date: dt.date, visits: Sequence[Visit], today: dt.date) -> DemoFile:
    """North room: one row a throw, a units row, numbers read at first touch, stride and releases in metres."""
    metrics = _all_metrics("motion_capture")
    text = io.StringIO()
    table = csv.writer(text)
    table.writerow([*WHO, *(header_of(metric) for metric in metrics)])
    table.writerow(["", "", "", "", "", "", "", "mph", *(_unit_of(metric) for metric in metrics)])
    for visit in visits:
        height = height_on(visit.story, visit, (today - date).days)
        table.writerows(_rows_of(visit, metrics, level_of(visit.story, date, today), height))
    return DemoFile(f"north-room-{date}.csv", "North room", "motion_capture", date, text.getvalue().encode())


def _rows_of(visit: Visit, metrics: Sequence[Metric], level: str, height: float) -> list[list[str]]:
    throws = visit.story.throws_a_session + WARM_UPS
    columns = [values_of(metric, visit, level, height, throws) for metric in metrics]
    speeds = ball_speeds(visit, level, throws)
    rows = []
    for throw in range(throws):
        cells = [
            "" if values is None else _written(metric, values[throw], height)
            for metric, values in zip(metrics, columns, strict=True)
        ]
        rows.append([*_who(visit, throw), f"{speeds[throw] / M_S_PER_MPH:.1f}", *cells])
    return rows


def _who(visit: Visit, throw: int) -> list[str]:
    story = visit.story
    full = "60%" if story.controlled else "full"
    return [
        story.full_name,
        story.external_id(visit.number),
        visit.date.isoformat(),
        str(throw + 1),
        "curveball" if throw == WARM_UPS + 4 else "fastball",
        "warm-up" if throw < WARM_UPS else full,
        "flat ground" if story.flat_ground else "mound",
    ]


def _all_metrics(method: str) -> list[Metric]:
    """The same columns every day: what any level is judged on."""
    levels = ("youth", "high_school", "college", "professional")
    keys = {metric.key for level in levels for metric in metrics_of(method, level)}
    return [metric for metric in load_catalogue().metrics.values() if metric.key in keys]


def header_of(metric: Metric) -> str:
    """The room's own words: it reads what the catalogue names foot plant at first touch."""
    return metric.name.replace("foot plant", "foot contact")


def _unit_of(metric: Metric) -> str:
    return "m" if metric.unit == "% height" else metric.unit


def _written(metric: Metric, value: float, height_cm: float) -> str:
    if metric.unit == "% height":
        return f"{value / 100 * height_cm / 100:.3f}"
    return f"{value:.{metric.decimals + 1}f}"


def _video_day(date: dt.date, visits: Sequence[Visit], today: dt.date) -> DemoFile:
    """Remote video: a workbook, one row a value."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Throws"
    sheet.append(["Athlete", "Athlete ID", "Date", "Throw", "Surface", "Metric", "Value", "Unit"])
    for visit in visits:
        level = level_of(visit.story, date, today)
        height = height_on(visit.story, visit, (today - date).days)
        throws = max(3, visit.story.throws_a_session // 2)
        who = (visit.story.full_name, visit.story.external_id(visit.number), visit.date)
        surface = "flat ground" if visit.story.flat_ground else "mound"
        for metric in metrics_of("video", level):
            for throw, value in enumerate(values_of(metric, visit, level, height, throws) or [], start=1):
                sheet.append([*who, throw, surface, header_of(metric), round(value, metric.decimals + 1), metric.unit])
    data = io.BytesIO()
    book.save(data)
    return DemoFile(f"remote-video-{date}.xlsx", "Remote video", "video", date, data.getvalue())


def _screens_day(date: dt.date, visits: Sequence[Visit], today: dt.date) -> DemoFile:
    """Treatment table: hands-on screens, one row a value, each measured twice."""
    text = io.StringIO()
    table = csv.writer(text, delimiter=";")
    table.writerow(["Athlete", "Athlete ID", "Date", "Trial", "Screen", "Value", "Unit"])
    for visit in visits:
        level = level_of(visit.story, date, today)
        who = [visit.story.full_name, visit.story.external_id(visit.number), visit.date.isoformat()]
        for metric in metrics_of("hands_on", level):
            numbers = values_of(metric, visit, level, visit.story.height_cm, 2) or []
            for trial, value in enumerate(numbers, start=1):
                table.writerow([*who, trial, metric.name, f"{value:.{metric.decimals}f}", metric.unit])
    return DemoFile(f"screens-{date}.csv", "Treatment table", "hands_on", date, text.getvalue().encode())
