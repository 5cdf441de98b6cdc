"""The administration’s pages are one class: an admin’s, and for everybody else a way in that does not open."""

from __future__ import annotations

import pytest
from django.urls import NoReverseMatch, reverse

from tests.policy.personas import PERSONAS
from tests.policy.places import ADMIN, Pattern, patterns
from tests.policy.table import address_rows

pytestmark = pytest.mark.django_db

ROW = next(row for row in address_rows() if row.name == "admin:*")
# The doors themselves, and the way to one’s own password, which lead elsewhere and hold nothing.
DOORS = {"admin:login", "admin:logout", "admin:password_change"}
PLACES = {one.name: one for one in patterns() if one.name.startswith(ADMIN) and not one.name.endswith(":None")}
OUTSIDERS = [one for one in PERSONAS if one.column != "admin"]


def address_of(pattern: Pattern) -> str:
    """Ids are made up: whoever is no admin may not learn whether there is such a row."""
    for value in ("1", "athletes"):
        try:
            return reverse(pattern.name, kwargs=dict.fromkeys(pattern.parts, value))
        except NoReverseMatch:
            continue
    raise AssertionError(f"no address for {pattern.name}")


@pytest.mark.parametrize("name", sorted(PLACES.keys() - DOORS))
def test_only_an_admin_reaches_the_administration(door, name):
    place = address_of(PLACES[name])
    wrong = [
        f"{method} by {persona.name}: {answer.word} ({answer.status})"
        for persona in OUTSIDERS
        for method in ("GET", "POST")
        if (answer := door.knock(persona, method, place)).word != ROW.expected(persona, method)
    ]
    assert wrong == []


@pytest.mark.parametrize("name", sorted(name for name in PLACES if name.endswith("_changelist")))
def test_an_admin_sees_each_list(door, name):
    admin = next(one for one in PERSONAS if one.column == "admin")
    assert door.knock(admin, "GET", address_of(PLACES[name])).word == ROW.cells["admin"]
