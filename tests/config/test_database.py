"""The database that the tests run on is the one that was asked for, and is set up as the pages need it."""

from __future__ import annotations

import os

import pytest
from django.db import connection

EXPECTED = os.environ.get("EXPECTED_DATABASE", "sqlite")


@pytest.mark.django_db
def test_the_tests_run_on_the_database_that_was_asked_for():
    """Else a run that is meant for PostgreSQL would pass on SQLite and show nothing."""
    assert connection.vendor == EXPECTED


@pytest.mark.django_db
@pytest.mark.skipif(EXPECTED != "sqlite", reason="speaks of SQLite only")
def test_writers_wait_for_each_other_instead_of_failing():
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys")
        assert cursor.fetchone() == (1,)
        cursor.execute("PRAGMA busy_timeout")
        assert cursor.fetchone() == (20_000,)
    assert connection.settings_dict["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
