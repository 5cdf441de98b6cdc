"""Measure recordings of throws: events and every metric, without touching the database."""

import json
import sys
from argparse import ArgumentParser, ArgumentTypeError
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from metrics.kinematics import DEFAULT_FILTER_HZ
from metrics.measuring import Asked, MeasuredFile, Measurer, as_json, as_text
from metrics.measuring.asked import NO_FILTER, SIDES, parse_filter

WRONG_USE = 2


class Command(BaseCommand):
    help = (
        "Prints the events and every metric of the throws in C3D files, with unit and uncertainty, or why there is "
        "none. Exit status: 0 when every file gave a throw, 1 when one did not, 2 on wrong use."
    )
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("files", nargs="+", metavar="FILE", help="a recording, as C3D")
        parser.add_argument("--height", type=float, required=True, metavar="M", help="the athlete's height in metres")
        parser.add_argument("--mass", type=float, required=True, metavar="KG", help="the athlete's mass in kilograms")
        parser.add_argument("--throws", choices=SIDES, required=True, help="the throwing side")
        parser.add_argument(
            "--filter", type=_filter, default=DEFAULT_FILTER_HZ, metavar="HZ",
            help=f"cut-off of the filter of positions, or {NO_FILTER}; {DEFAULT_FILTER_HZ} when not given",
        )  # fmt: skip
        parser.add_argument("--json", action="store_true", help="print JSON instead of tables")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            asked = Asked(options["height"], options["mass"], options["throws"], options["filter"])
        except ValueError as error:
            raise CommandError(str(error), returncode=WRONG_USE) from None
        measurer = Measurer()
        try:
            measured = [self.measure(measurer, file, asked, options["json"]) for file in options["files"]]
        finally:
            measurer.close()
        if options["json"]:
            self.stdout.write(json.dumps(as_json(measured), ensure_ascii=False, allow_nan=False, indent=2))
        if not all(one.throws for one in measured):
            sys.exit(1)

    def measure(self, measurer: Measurer, file: str, asked: Asked, quiet: bool) -> MeasuredFile:
        """One file: its tables as soon as they are there, and its sentences on standard error."""
        measured = measurer.measure(file, asked)
        about_it = () if measured.throws else measured.problems  # else they stand with the throws
        for sentence in (*measured.refusals, *about_it):
            self.stderr.write(f"{file}: {sentence}")
        if not quiet and measured.throws:
            self.stdout.write(as_text(measured))
        return measured


def _filter(text: str) -> float | None:
    try:
        return parse_filter(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is neither a number of hertz nor {NO_FILTER}") from None
