"""A pitcher of a browser test's own, and the capture room's tables of the days on which he was measured."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

from desk.demo.cast import Off, Story
from desk.demo.days import Visit
from desk.demo.files import markers_day

MADE = """
import datetime as dt
from athletes.models import User
from athletes.services.people import add_external_id, create_athlete
by = User.objects.get(username="coach")
athlete = create_athlete(given_name="{given}", family_name="{family}", birth_date=dt.date(2003, 5, 4), throws="right",
    level="college", level_from=dt.date(2020, 1, 1), by=by, external_id="{id}", height_cm=188.0, mass_kg=88.0,
    measured_on=dt.date(2020, 1, 1), responsible_coach=by)
print(athlete.uuid)
"""


class Pitcher:
    """Of age, at college. `off`: what is off from the first visit on, and how that goes; see desk.demo.cast.Off."""

    def __init__(self, app, name: tuple[str, str], number: int, off: Iterable[Off]) -> None:
        self.app, self.number = app, number
        self.story = Story(
            name=name,
            story="",
            age=23.0,
            level="college",
            throws="right",
            height_cm=188.0,
            grows_cm=0.0,
            mass_kg=88.0,
            group="",
            coach="coach",
            sessions={},
            off=tuple(off),
        )
        made = MADE.format(given=name[0], family=name[1], id=self.story.external_id(number))
        self.uuid = app.shell(made).splitlines()[-1]

    def file_of(self, folder: Path, day: dt.date, ordinal: int, *, progress: float) -> Path:
        """The table of one day. `progress`: 0 as in the beginning, 1 at the end of the story's course."""
        visit = Visit(self.number, self.story, "motion_capture", day, progress, ordinal)
        path = folder / f"{self.story.name[1].lower()}-{day}.csv"
        path.write_bytes(markers_day(day, [visit], day).data)
        return path
