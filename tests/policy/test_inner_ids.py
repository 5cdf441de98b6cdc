"""An address names an athlete or a session and something of it: the other athlete’s thing is not there under it."""

from __future__ import annotations

import pytest

from tests.policy.personas import BY_NAME
from tests.policy.places import WORDS, address, bodies, ours, queries, things_of
from tests.policy.table import address_rows

pytestmark = pytest.mark.django_db

PATTERNS = {pattern.name: pattern for pattern in ours()}
ROWS = {row.name: row for row in address_rows()}
# What the address names → the same kind of thing, of somebody or something else.
ELSEWHERE = {
    "note": "other’s note",
    "withdrawn note": "other’s note",
    "pain report": "other’s pain report",
    "check-in": "other’s check-in",
    "answer": "other’s answer",
    "throw": "other’s throw",
    "recorded throw": "other’s throw",
    "part of an upload": "part of a recorded upload",
    "share": "other’s share",
    "withdrawn share": "other’s share",
    "invitation": "other’s invitation",
    "guardian": "other’s guardian",
    "prescription": "other’s prescription",
    "throws of a day": "other’s throws of a day",
    "withdrawn throws": "other’s throws of a day",
}
OWNERS = {"uuid"}
# An act on a group that is not found is said in a notice, since its Undo may have been pressed twice: see the tests
# of training groups.
ANSWERED_IN_WORDS = {"athletes:group-undo"}
# Only the athlete does it, of age: a coach is refused before the guardian is looked for (test_coming_of_age.py).
THE_ATHLETES_OWN = {"athletes:let-read"}
LEFT_OUT = ANSWERED_IN_WORDS | THE_ATHLETES_OWN
INNER = sorted(
    name for name, one in PATTERNS.items() if len(set(one.parts) - WORDS.keys()) > 1 and name not in LEFT_OUT
)


@pytest.mark.parametrize("name", INNER)
def test_a_thing_of_somebody_else_is_not_there(door, name):
    """For the coach, who may see both: that it is refused is not for want of a right."""
    pattern, world = PATTERNS[name], door.world
    things = things_of(pattern)
    ids = {part: world.uuid_of(thing if part in OWNERS else ELSEWHERE[thing]) for part, thing in things.items()}
    place, body = address(pattern, ids, queries(world).get(name)), dict(bodies(world).get(name, {}))
    for method in sorted(ROWS[name].methods):
        answer = door.knock(BY_NAME["the responsible coach"], method, place, body)
        assert answer.word == "not there", f"{method}: {answer.status}"
