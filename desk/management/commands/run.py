"""Start everything on this machine: database, broker, worker, clock, web. Ctrl-C stops it."""

import os
import signal
import socket
import time
from argparse import ArgumentParser
from http.client import HTTPException
from io import StringIO
from pathlib import Path
from types import FrameType
from typing import Any, NoReturn, TextIO
from urllib import error, request

from django.conf import settings
from django.core.management import call_command, get_commands
from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from desk.running import broker, places
from desk.running.accounts import demo_accounts
from desk.running.children import ChildKeepsDying, Household
from desk.running.processes import beat_plan, web_plan, worker_plan

SIGN_IN = "/sign-in/"
REFUSALS = (places.DataFolderInUse, places.NoFreePort, broker.PrivateFolderRefused, ChildKeepsDying)


class Command(BaseCommand):
    help = "Starts the database, the background worker and the web server; Ctrl-C stops all of it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=settings.PORT, help="the port, or the next free one")
        parser.add_argument("--no-demo", action="store_true", help="do not fill an empty database with the demo")
        parser.add_argument("--size", default="", help="the size of the demo, for example tiny")

    def handle(self, *args: Any, **options: Any) -> None:
        for number in (signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, _stop_like_ctrl_c)
        try:
            with places.hold_data_folder(settings.VAR_DIR) as lock, places.listen_from(options["port"]) as web:
                self.live(lock, web, options)
        except REFUSALS as refusal:
            raise CommandError(str(refusal)) from refusal
        except KeyboardInterrupt:
            self.say("Stopped.")

    def live(self, lock: TextIO, web: socket.socket, options: dict[str, Any]) -> None:
        """From the first child to the last, while the data folder and the port are ours."""
        started = time.monotonic()
        port = web.getsockname()[1]
        if port != options["port"]:
            self.say(f"Port {options['port']} is taken, so Moundbook answers on {port}.")
        os.environ["PORT"] = str(port)  # for the children: links in letters lead where the pages are
        address = f"http://{places.HOST}:{port}/"
        lock.write(address)
        lock.flush()
        self.household = Household(self.say)
        try:
            self.open_up(address, web.fileno(), options)
            self.welcome(address, time.monotonic() - started)
            self.household.watch()
        finally:
            self.close()

    def say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def open_up(self, address: str, listening: int, options: dict[str, Any]) -> None:
        """Bring up the parts in the order in which they need each other."""
        log_dir = Path(settings.VAR_DIR) / "log"
        log_dir.mkdir(parents=True, exist_ok=True)
        if not settings.REDIS_URL:
            self.start_broker(log_dir)
        self.say("Preparing the database …")
        call_command("migrate", verbosity=0, interactive=False)
        call_command("begin", stdout=StringIO())
        if not settings.WHITENOISE_USE_FINDERS:
            call_command("collectstatic", verbosity=0, interactive=False)
        self.household.start(worker_plan(log_dir / "worker.log"))
        self.household.start(beat_plan(log_dir / "clock.log", settings.VAR_DIR / "clock-schedule"))
        self.household.start(web_plan(log_dir / "web.log", listening))
        if settings.DEMO and not options["no_demo"]:
            self.fill_when_empty(options["size"])
        connections.close_all()
        self.household.wait_for(lambda: _answers(address + SIGN_IN[1:]), name="web server", limit_s=60)

    def start_broker(self, log_dir: Path) -> None:
        broker.private_folder(settings.EMBEDDED_BROKER_DIR)
        broker.clear_socket(settings.EMBEDDED_BROKER_SOCKET)
        self.household.start(broker.broker_plan(settings.EMBEDDED_BROKER_SOCKET, log_dir / "broker.log"))
        url = f"unix://{settings.EMBEDDED_BROKER_SOCKET}"
        self.household.wait_for(lambda: broker.answers(url), name="broker", limit_s=20)

    def fill_when_empty(self, size: str) -> None:
        if "demo" in get_commands():
            options = {"size": size} if size else {}
            call_command("demo", if_empty=True, stdout=self.stdout, **options)

    def welcome(self, address: str, seconds: float) -> None:
        self.say(f"\nMoundbook is open after {seconds:.0f} s:  {address}\n")
        if settings.DEMO:
            for account in demo_accounts():
                self.say("  {:<16}{:<20}{}".format(*account))
            self.say("")
        self.say("Ctrl-C stops it.")

    def close(self) -> None:
        """Stop in order; a second Ctrl-C ends everything at once."""
        self.say("Stopping …")
        try:
            self.household.stop()
        except KeyboardInterrupt:
            self.household.kill()


def _stop_like_ctrl_c(number: int, frame: FrameType | None) -> NoReturn:
    raise KeyboardInterrupt


def _answers(url: str) -> bool:
    """Whether the web server answers this address with a page, or with the way to one."""
    try:
        with request.urlopen(url, timeout=5):  # noqa: S310 - our own address
            return True
    except error.HTTPError as answer:
        return answer.code < 500
    except (OSError, HTTPException):
        return False
