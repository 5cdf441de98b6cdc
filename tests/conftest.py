"""What every test may use: the cast, the facility, a clock that stands still; and how tests run.

Tests run in random order (the number is printed; `--order-number N` repeats a run) and reach no network.
"""

from __future__ import annotations

import datetime as dt
import random
import secrets
import socket
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.db import connection
from django.db.backends.sqlite3.base import DatabaseOperations as SqliteOperations
from django.test import Client, RequestFactory
from django.utils import timezone
from pytest_django.plugin import DjangoDbBlocker

from athletes.services.sign_ins import note_sign_in
from tests import factories

# ---- the run --------------------------------------------------------------------------------------------


# Where the groups are that run in one process: tests of the browser, of whole applications, of all addresses.
BEGUN_FIRST = ("tests/flows/", "tests/policy/", "tests/config/", "tests/desk/running/", "tests/sessions/test_")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--order-number", type=int, default=None, help="repeat the order of an earlier run")


def pytest_configure(config: pytest.Config) -> None:
    # Parallel workers take the number of the run that started them, so that all shuffle alike.
    given = getattr(config, "workerinput", {}).get("order_number", config.option.order_number)
    config.option.order_number = secrets.randbelow(100_000) if given is None else given


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: Any) -> None:
    node.workerinput["order_number"] = node.config.option.order_number


def pytest_report_header(config: pytest.Config) -> str:
    return f"random order: --order-number {config.option.order_number}"


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Two processes share the tests by files, so that no file's own data are made in both; named groups go first.

    The longest work is in the groups: begun last, it would leave the other process idle at the end.
    """
    if config.getvalue("dist") != "loadgroup":
        return None
    from xdist.scheduler import LoadGroupScheduling

    class ByFile(LoadGroupScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return str(super()._split_scope(nodeid)).split("::", 1)[0]

    config.option.loadscopereorder = False
    return ByFile(config, log)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Shuffles the files, then the tests in each; a file stays together for its own fixtures' sake."""
    order = random.Random(config.option.order_number)
    files: dict[str, list[pytest.Item]] = {}
    for item in items:
        files.setdefault(item.nodeid.split("::", 1)[0], []).append(item)
    names = list(files)
    order.shuffle(names)
    names.sort(key=lambda name: not name.startswith(BEGUN_FIRST))  # keeps the order among those begun first and others
    for name in names:
        order.shuffle(files[name])
    items[:] = [item for name in names for item in files[name]]


def _is_on_this_machine(address: Any) -> bool:
    return not isinstance(address, tuple) or address[0] in {"127.0.0.1", "::1", "localhost"}


@pytest.fixture(autouse=True, scope="session")
def no_network() -> Iterator[None]:
    """A test that calls out fails at the call."""
    connect = socket.socket.connect

    def refuse(self: socket.socket, address: Any) -> None:
        if not _is_on_this_machine(address):
            raise AssertionError(f"A test tried to reach {address!r}.")
        connect(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", refuse)
        yield


@pytest.fixture(autouse=True, scope="session")
def emptied_tables() -> Iterator[None]:
    """After a test that commits, Django empties all tables; on SQLite by DELETE, which read-only tables refuse.

    The triggers are set aside for that moment and come back in the same transaction.
    """
    flush = SqliteOperations.execute_sql_flush

    def without_triggers(self: SqliteOperations, statements: list[str]) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
        drops = [f'DROP TRIGGER "{name}"' for name, _ in triggers]
        flush(self, [*drops, *statements, *(sql for _, sql in triggers)])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(SqliteOperations, "execute_sql_flush", without_triggers)
        yield


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> bytes:
    """The tests' database; and what it is when all migrations were applied and no test has run, as a file of SQLite.

    No bytes where no chosen test asks for the database (none is made then), and on PostgreSQL.
    """
    with django_db_blocker.unblock():
        made = connection.connection is not None and connection.vendor == "sqlite"
        return connection.connection.serialize() if made else b""


@pytest.fixture(scope="session")
def migrated(django_db_setup: bytes) -> bytes:
    """A database file for an application of a test’s own: one that starts need not apply every migration again."""
    return django_db_setup


# ---- time -----------------------------------------------------------------------------------------------


class Clock:
    """Stands still at noon in Chicago on the tests' ordinary day until it is moved."""

    def __init__(self, now: dt.datetime) -> None:
        self.now = now

    def __call__(self) -> dt.datetime:
        return self.now

    def move(self, **amount: float) -> dt.datetime:
        """`clock.move(hours=2)`"""
        self.now += dt.timedelta(**amount)
        return self.now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """django.utils.timezone.now, stopped; `clock.now` may be set, `clock.move(days=1)` moves it."""
    stopped = Clock(factories.NOON)
    monkeypatch.setattr(timezone, "now", stopped)
    return stopped


# ---- the cast -------------------------------------------------------------------------------------------


@pytest.fixture
def facility(db: None):
    return factories.FacilityFactory()


@pytest.fixture
def client_of() -> Callable[[Any], Client]:
    """`client_of(user)`: a test client signed in as that account; `client_of(None)` is nobody."""

    def sign_in(user: Any) -> Client:
        client = Client()
        if user is not None:
            client.force_login(user)
            request = RequestFactory().get("/")
            request.session = client.session
            note_sign_in(request=request, account=user, with_code=False)  # as the door does
            request.session.save()
        return client

    return sign_in


@pytest.fixture
def admin(db: None):
    return factories.UserFactory(role="admin", username="admin")


@pytest.fixture
def coach(db: None):
    return factories.UserFactory(role="coach", username="coach", first_name="Ngaire", last_name="Abaza")


@pytest.fixture
def visiting_coach(db: None):
    return factories.UserFactory(role="visiting_coach", username="visiting-coach")


@pytest.fixture
def clinician(db: None):
    return factories.UserFactory(role="clinician", username="clinician")


@pytest.fixture
def athlete_user(db: None):
    return factories.UserFactory(role="athlete", username="athlete")


@pytest.fixture
def other_athlete_user(db: None):
    return factories.UserFactory(role="athlete", username="other-athlete")


@pytest.fixture
def guardian(db: None):
    return factories.UserFactory(role="guardian", username="guardian")


@pytest.fixture
def stranger(db: None):
    """An account that is tied to nobody."""
    return factories.UserFactory(role="clinician", username="stranger")


@pytest.fixture
def athlete(coach, visiting_coach, clinician, athlete_user, guardian):
    """The athlete whom the whole cast is tied to, except the other athlete and the stranger."""
    person = factories.AthleteFactory(
        given_name="Ikaika", family_name="Brandvold", responsible_coach=coach, account=athlete_user
    )
    factories.TrainingGroupFactory(name="Varsity", athletes=[person], visiting_coaches=[visiting_coach])
    factories.ReferralFactory(clinician=clinician, athlete=person)
    factories.GuardianshipFactory(guardian=guardian, athlete=person)
    return person


@pytest.fixture
def other_athlete(other_athlete_user):
    """An athlete tied to nobody but the other athlete's own account."""
    return factories.AthleteFactory(given_name="Lucía", family_name="Strand", account=other_athlete_user)


@dataclass(frozen=True, slots=True)
class Cast:
    """Everybody, by name: `cast["guardian"]`; the athlete they are tied to is `cast.athlete`."""

    users: dict[str, Any]
    athlete: Any
    other_athlete: Any

    def __getitem__(self, name: str) -> Any:
        return self.users[name]


# For parametrising over everybody: @pytest.mark.parametrize("name", CAST) and cast[name].
CAST = (
    "admin",
    "coach",
    "visiting_coach",
    "clinician",
    "athlete_user",
    "other_athlete_user",
    "guardian",
    "stranger",
)


@pytest.fixture
def cast(
    facility,
    athlete,
    other_athlete,
    admin,
    coach,
    visiting_coach,
    clinician,
    athlete_user,
    other_athlete_user,
    guardian,
    stranger,
) -> Cast:
    people = (
        admin,
        coach,
        visiting_coach,
        clinician,
        athlete_user,
        other_athlete_user,
        guardian,
        stranger,
    )
    return Cast(dict(zip(CAST, people, strict=True)), athlete, other_athlete)
