"""What consent that was withdrawn closes where no word of the planted ones shows it."""

from __future__ import annotations

import pytest

from tests.policy.personas import BY_NAME
from tests.policy.places import ours

pytestmark = pytest.mark.django_db

PATTERNS = {pattern.name: pattern for pattern in ours()}
THROWN = "Throws in sessions, last 7 days"


@pytest.mark.parametrize(
    ("persona", "shown"),
    [
        ("the responsible coach", True),
        ("the coach, without consent", False),
        ("the clinician, without consent", False),
        ("the admin, without consent", True),
    ],
)
def test_the_record_counts_throws_only_for_who_may_read_them(door, persona, shown):
    assert (THROWN in door.at(BY_NAME[persona], "GET", PATTERNS["desk:record"]).text) is shown


def test_accepting_all_says_which_upload_asks_something_by_now(door):
    """A file that was ready when it came waits for the consent that was withdrawn since, and stops no other."""
    coach, place = BY_NAME["the coach, without consent"], PATTERNS["metrics:import-accept-ready"]
    answer = door.at(coach, "POST", place)
    assert (answer.status, answer.headers["Location"]) == (302, "/uploads/")
