"""docs/access.md as values: the table of addresses and the table of fields."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from tests.policy.personas import Persona, athlete_kept_the_guardian
from tests.source import CHECKOUT

PAGE = CHECKOUT / "docs/access.md"
COLUMNS = ("admin", "coach", "clinician", "visiting coach", "athlete", "guardian")
ADDRESS_HEAD = (
    "address", "what it is", "asked by", *COLUMNS, "stranger", "signed out", "without consent", "look noted",
)  # fmt: skip
FIELD_HEAD = ("field", *COLUMNS, "without consent")
WRONG_METHOD = "no such request"


@dataclass(frozen=True, slots=True)
class Row:
    name: str
    cells: dict[str, str]

    @property
    def methods(self) -> frozenset[str]:
        return frozenset(self.cells["asked by"].split(", "))

    @property
    def noted(self) -> str:
        return self.cells["look noted"]

    def expected(self, persona: Persona, method: str) -> str:
        """The word that this persona is to get. Raises ValueError for a word that the page does not explain."""
        if persona.column == "signed out":
            return self.cells["signed out"]
        if method not in self.methods:
            return WRONG_METHOD
        word = self.cells[persona.column]
        if word == "of a minor":
            word = "no" if persona.change is athlete_kept_the_guardian else "yes"
        if persona.is_stranger:
            return self._of_stranger(word, persona.column)
        if persona.is_without_consent and persona.column != "admin":
            return self._without_consent(word)
        return word

    def _of_stranger(self, word: str, column: str) -> str:
        rules = {
            "as role": word,
            "not there": "not there",
            "no or not there": "no" if word == "no" else "not there",
            "clinicians as role": word if column == "clinician" else "not there",
        }
        return _by(rules, self.cells["stranger"])

    def _without_consent(self, word: str) -> str:
        kept = "no" if word == "no" else "not there"
        rules = {"same": word, "admin only": "not there", "admin only; no stays no": kept}
        return _by(rules, self.cells["without consent"])


def _by(rules: dict[str, str], word: str) -> str:
    if word not in rules:
        raise ValueError(f"docs/access.md explains no {word!r} here")
    return rules[word]


def _tables(head: tuple[str, ...]) -> list[dict[str, str]]:
    """Rows of every table of the page that has this head."""
    found, inside = [], False
    for line in PAGE.read_text().splitlines():
        cells = tuple(cell.strip() for cell in line.strip("|").split("|")) if line.startswith("|") else ()
        if cells == head:
            inside = True
        elif not cells:
            inside = False
        elif inside and not re.fullmatch(r"-+", cells[0]):
            found.append(dict(zip(head, cells, strict=True)))
    return found


@cache
def address_rows() -> tuple[Row, ...]:
    return tuple(Row(cells["address"].strip("`"), cells) for cells in _tables(ADDRESS_HEAD))


@cache
def field_rows() -> tuple[Row, ...]:
    return tuple(Row(cells["field"], cells) for cells in _tables(FIELD_HEAD))
