"""Every planted secret × everybody, over every page, file and list that a GET gives them."""

from __future__ import annotations

import pytest

from tests.policy.knocking import Knocker
from tests.policy.personas import BY_NAME, PERSONAS, Persona
from tests.policy.places import is_known, ours
from tests.policy.secrets import SECRETS
from tests.policy.table import Row, field_rows

pytestmark = pytest.mark.django_db

ROWS = {row.name: row for row in field_rows()}
ALLOWED = {"yes", "may"}
OTHERS = "another athlete’s name"


def word_for(row: Row, persona: Persona) -> str:
    """What the table of fields says for this persona; strangers and the signed out read nothing."""
    word = "no" if persona.column == "signed out" or persona.is_stranger else row.cells[persona.column]
    if persona.is_without_consent and persona.column != "admin" and row.cells["without consent"] == "admin only":
        return "no"
    if is_ones_own(row, persona):
        return "may"
    if word == "author":  # the responsible coach typed it
        return "yes" if persona.account == "coach" else "no"
    return word


def is_ones_own(row: Row, persona: Persona) -> bool:
    """One’s own e-mail stands on the page of one’s own account, whoever one is a stranger to."""
    return row.name == "e-mail of a family account" and persona.account == "guardian"


def places_of(door: Knocker, persona: Persona, secret: str) -> list[str]:
    """Names of the addresses whose answer holds the secret."""
    found = []
    for pattern in filter(is_known, ours()):
        answer = door.at(persona, "GET", pattern)
        if answer.status == 200 and any(spelling in answer.text for spelling in SECRETS[secret]):
            found.append(pattern.name)
    return found


def test_the_table_speaks_of_every_secret_and_only_of_planted_ones():
    assert set(ROWS) == set(SECRETS)
    words = {
        cell for row in ROWS.values() for key, cell in row.cells.items() if key not in ("field", "without consent")
    }
    assert words <= {"yes", "may", "no", "author"}
    assert {row.cells["without consent"] for row in ROWS.values()} <= {"same", "admin only"}


@pytest.mark.parametrize("persona", [one.name for one in PERSONAS])
def test_nobody_reads_what_is_not_theirs(door, persona):
    who = BY_NAME[persona]
    # The strangers are tied to the other athlete, whose name is theirs to read.
    secrets = [one for one in SECRETS if not (one == OTHERS and who.is_stranger)]
    leaks = {
        secret: found
        for secret in secrets
        if word_for(ROWS[secret], who) not in ALLOWED and (found := places_of(door, who, secret))
    }
    assert leaks == {}


@pytest.mark.parametrize("secret", SECRETS)
def test_what_the_table_grants_does_stand_somewhere(door, secret):
    """Else the test above would look for words that no page shows."""
    ordinary = [one for one in PERSONAS if not one.is_without_consent]
    missing = [
        one.name for one in ordinary if word_for(ROWS[secret], one) == "yes" and not places_of(door, one, secret)
    ]
    if secret == "birth date":  # of the kept guardian’s child it is another one
        missing.remove("the guardian whom the grown athlete kept")
    assert missing == []
