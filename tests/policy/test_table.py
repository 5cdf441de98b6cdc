"""Every address × every way of asking × everybody, as docs/access.md says."""

from __future__ import annotations

import pytest

from tests.policy.knocking import NO, NOT_THERE, YES, Answer
from tests.policy.personas import PERSONAS
from tests.policy.places import Pattern, is_known, ours
from tests.policy.table import address_rows

pytestmark = pytest.mark.django_db

ROWS = {row.name: row for row in address_rows()}
PATTERNS = {pattern.name: pattern for pattern in ours()}
NAMES = sorted(ROWS.keys() & PATTERNS.keys())
ONLY_READ = ("PUT", "PATCH", "DELETE")


def methods_of(pattern: Pattern) -> tuple[str, ...]:
    return ("GET", "POST", *ONLY_READ) if pattern.route.startswith("api/") else ("GET", "POST")


def test_every_address_has_its_row_and_every_row_its_address():
    assert set(PATTERNS) - set(ROWS) == set(), "addresses without a row in docs/access.md"
    assert set(ROWS) - set(PATTERNS) == {"admin:*"}, "rows of docs/access.md without an address"


def test_every_part_of_every_address_is_known():
    """tests/policy/places.py says what each id is of; tests/policy/world.py makes one."""
    assert [f"{one.name}: {one.route}" for one in PATTERNS.values() if not is_known(one)] == []


def test_no_address_stands_twice():
    assert len(ROWS) == len(address_rows())
    assert len(PATTERNS) == len(ours())


@pytest.mark.parametrize("name", NAMES)
def test_everybody_gets_the_answer_of_the_table(door, name):
    row, pattern = ROWS[name], PATTERNS[name]
    wrong = []
    for method in methods_of(pattern):
        for persona in PERSONAS:
            answer = door.at(persona, method, pattern)
            wanted = row.expected(persona, method)
            if answer.word != wanted:
                wrong.append(f"{method} by {persona.name}: {answer.word} ({answer.status}), not {wanted}")
    assert wrong == []


# What differs between any two answers: the masked token of the form that signs out, and nothing else.
def comparable(answer: Answer) -> tuple[object, ...]:
    return answer.status, sorted(answer.headers.items()), answer.without_tokens


@pytest.mark.parametrize("name", [name for name in NAMES if PATTERNS[name].has_id])
def test_what_is_not_there_for_somebody_looks_as_if_it_were_nowhere(door, name):
    """Body and every header. Cookies are not compared: a page with a form sets the token’s cookie anew."""
    row, pattern = ROWS[name], PATTERNS[name]
    compared = 0
    for method in sorted(row.methods):
        for persona in PERSONAS:
            wanted = row.expected(persona, method)
            if wanted == NOT_THERE or (wanted == NO and persona.is_stranger):
                real, made_up = door.at(persona, method, pattern), door.at_made_up(persona, method, pattern)
                assert comparable(real) == comparable(made_up), f"{method} by {persona.name}"
                compared += 1
    assert compared > 0


@pytest.mark.parametrize("name", [name for name in NAMES if ROWS[name].noted == "yes"])
def test_every_look_of_somebody_else_is_noted(door, name):
    row, pattern = ROWS[name], PATTERNS[name]
    seen = 0
    for method in sorted(row.methods):
        for persona in PERSONAS:
            answer = door.at(persona, method, pattern)
            if answer.word != YES:
                assert answer.looks == (), f"{method} by {persona.name}: a refusal is no look"
            elif persona.account == "athlete":
                assert answer.looks == (), f"{method} by {persona.name}: one’s own look"
            elif not (persona.is_stranger and door.tells_nothing(answer)):
                assert answer.looks != (), f"{method} by {persona.name}"
                seen += 1
    assert seen > 0


@pytest.mark.parametrize("name", [name for name in NAMES if ROWS[name].noted == "rows"])
def test_every_row_that_somebody_else_is_given_is_noted(door, name):
    for persona in PERSONAS:
        answer = door.at(persona, "GET", PATTERNS[name])
        shows = persona.account is not None and not door.tells_nothing(answer)
        assert bool(answer.looks) == (shows and persona.account != "athlete"), persona.name


@pytest.mark.parametrize("name", [name for name in NAMES if ROWS[name].noted == "—"])
def test_what_notes_nothing_tells_nothing_of_the_athlete(door, name):
    for method in sorted(ROWS[name].methods):
        for persona in PERSONAS:
            assert door.names_nobody(door.at(persona, method, PATTERNS[name])), f"{method} by {persona.name}"


def test_the_table_explains_each_word_that_it_uses_for_looks():
    assert {row.noted for row in ROWS.values()} == {"yes", "rows", "list", "page", "file", "—", "admin"}
