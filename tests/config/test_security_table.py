"""The table of docs/security.md says something of every requirement, and what it names as proof exists.

The ids in asvs_5_level_1.csv are those of level 1 in the OWASP Application Security Verification Standard 5.0.0
(github.com/OWASP/ASVS, 5.0/docs_en/OWASP_Application_Security_Verification_Standard_5.0.0_en.csv, column L = 1, at
commit 5cf9b032440be53ce345ab3c130fda46ba1ce7a2; CC BY-SA 4.0). The words of the table are our own.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tests.source import CHECKOUT

LEVEL_1 = (Path(__file__).parent / "asvs_5_level_1.csv").read_text().split()
PAGE = (CHECKOUT / "docs/security.md").read_text()
ROWS = {
    cells[0]: cells[1:]
    for line in PAGE.splitlines()
    if line.startswith("| V") and len(cells := [cell.strip() for cell in line.strip("|").split("|")]) == 5
}
STATES = {"met", "partly", "gap", "operator", "not applicable"}


def test_the_list_has_the_seventy_requirements_of_level_1():
    assert len(LEVEL_1) == len(set(LEVEL_1)) == 70


def test_every_requirement_has_its_row_and_no_other_has_one():
    assert list(ROWS) == LEVEL_1


@pytest.mark.parametrize("number", LEVEL_1)
def test_a_row_says_whether_it_is_met_and_by_what(number):
    words, state, how, proof = ROWS[number]
    assert words
    assert state in STATES
    assert how
    assert (proof == "—") == (state != "met" and "::" not in proof), "what is met names its test"


def named_tests() -> list[str]:
    return sorted(set(re.findall(r"`(tests/[\w/]+\.py::\w+)`", PAGE)))


@pytest.mark.parametrize("name", named_tests())
def test_a_test_that_the_table_names_exists(name):
    path, function = name.split("::")
    tree = ast.parse((CHECKOUT / path).read_text())
    assert function in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_the_counts_under_the_table_are_those_of_its_rows():
    for state in STATES:
        count = sum(row[1] == state for row in ROWS.values())
        assert re.search(rf"\b{count} {state}\b", PAGE), f"{state}: {count}"
