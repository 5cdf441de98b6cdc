"""`manage.py demo`: an invented facility with nine months of files, loaded as a coach would load them."""

from __future__ import annotations

import datetime as dt
import time
from io import StringIO
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from athletes.models import Athlete, User
from athletes.today import facility_today
from desk.demo.cast import load_cast
from desk.demo.days import Visit
from desk.demo.files import DemoFile, demo_files
from desk.demo.loading import (
    create_marker_hall,
    is_unfinished,
    left_for_the_coach,
    load,
    receive,
    record_visit,
    write_files,
)
from desk.demo.people import create_people
from desk.demo.planning import plan_for_athletes
from desk.demo.recordings import THROWS, recorded_visits
from desk.demo.sharing import share_with_families
from desk.demo.this_day import begin_the_day
from desk.tasks import load_demo_file, plan_demo_work, record_demo_visit, share_demo_sessions

FIRST_DAYS = 3
"""As many of the newest days are loaded before the first page; the rest flows in through the worker."""

SHARED_AFTER_S = 20
"""The worker has begun on the files by then; while it is at them, sharing waits."""


class Command(BaseCommand):
    help = "Fills an empty database with the demonstration."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--if-empty", action="store_true", help="do nothing when there are athletes")
        parser.add_argument("--size", default="full", choices=["full", "tiny"])
        parser.add_argument("--time", action="store_true", help="load everything here, and print how long it took")

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.MODE == "production":
            raise CommandError("The demonstration has public passwords. Run it with MOUNDBOOK_MODE=demo only.")
        if Athlete.everything.exists():
            if options["if_empty"]:
                return
            raise CommandError("There are athletes already. The demonstration fills an empty database only.")
        started = time.monotonic()
        cast, today = load_cast(options["size"]), facility_today()
        self.stdout.write(f"Writing the demonstration: {len(cast.athletes)} athletes …")
        call_command("begin", stdout=StringIO())
        begin_the_day(cast, create_people(cast, today), today)
        tiny = options["size"] == "tiny"
        visits = recorded_visits(cast.athletes, today, tiny=tiny)
        files = list(demo_files(cast.athletes, today, without=visits))
        extra = left_for_the_coach(today) if options["size"] == "full" else []
        folder = write_files([*files, *extra])
        self.load(files, at_once=options["time"] or tiny)
        self.record(visits, today, at_once=options["time"] or tiny, tiny=tiny)
        if options["time"] or tiny:
            share_with_families(today)
            plan_for_athletes(today)
        else:
            share_demo_sessions.apply_async([today.isoformat()], countdown=SHARED_AFTER_S)
            uploads = len(files) + THROWS * len(visits) + len(extra)
            plan_demo_work.apply_async([today.isoformat(), uploads], countdown=SHARED_AFTER_S)
        for file in extra:
            receive(file, User.objects.get(username="coach"))
        size_mb = sum(len(file.data) for file in files) / 1e6
        self.stdout.write(f"{len(files)} files ({size_mb:.1f} MB) stand in {folder.name} beside the data.")
        if options["time"]:
            self.stdout.write(f"Everything loaded in {time.monotonic() - started:.1f} s.")

    def record(self, visits: list[Visit], today: dt.date, *, at_once: bool, tiny: bool) -> None:
        """The newest visit's recordings here, the others through the worker, newest first."""
        create_marker_hall()
        for place, visit in enumerate(reversed(visits)):
            if at_once or not place:
                record_visit(visit, today, tiny=tiny)
            else:
                record_demo_visit.delay(visit.number, visit.date.isoformat(), today.isoformat())

    def load(self, files: list[DemoFile], *, at_once: bool) -> None:
        """The newest days here, so that the first page has something to show; the rest through the worker.

        The newest video file stays unaccepted: one tap for who tries the program.
        """
        coach = User.objects.get(username="coach")
        days = sorted({file.date for file in files})
        first = set(days if at_once else days[-FIRST_DAYS:])
        one_tap = [file for file in files if file.method == "video"][-1:]
        rooms_seen: set[str] = set()
        for file in files:
            upload = receive(file, coach)
            is_first = file.date in first or file.room not in rooms_seen
            rooms_seen.add(file.room)
            if file in one_tap:
                continue
            if not is_first or is_unfinished(load(upload, file.room)):
                load_demo_file.delay(upload.pk, file.room)
