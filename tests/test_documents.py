"""What the documents promise exists: links lead somewhere, commands and variables are the real ones."""

from __future__ import annotations

import re

import pytest

from tests.source import CHECKOUT

DOCUMENTS = sorted([*CHECKOUT.glob("*.md"), *(CHECKOUT / "docs").rglob("*.md")])
LINK = re.compile(r"\[[^\]]*\]\(([^)#]+)(?:#[^)]*)?\)")


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_every_link_and_picture_of_a_document_leads_to_a_file(document):
    links = [link for link in LINK.findall(document.read_text()) if "://" not in link]
    assert [link for link in links if not (document.parent / link).exists()] == []


def test_the_index_names_every_document_of_its_folder():
    named = set(LINK.findall((CHECKOUT / "docs/index.md").read_text()))
    there = {path.name for path in (CHECKOUT / "docs").glob("*.md")} - {"index.md"}
    assert there <= named


def test_every_make_command_in_a_document_is_a_target():
    targets = set(re.findall(r"^([a-z]+):", (CHECKOUT / "Makefile").read_text(), re.MULTILINE))
    named = {
        word
        for document in DOCUMENTS
        for word in re.findall(r"(?:^|`)make ([a-z]+)\b", document.read_text(), re.MULTILINE)
    }
    assert {"run", "test"} <= named
    assert named <= targets


def test_the_page_for_operators_names_every_variable():
    page = (CHECKOUT / "docs/operating.md").read_text()
    variables = re.findall(r"^#?([A-Z][A-Z_]+)=", (CHECKOUT / ".env.example").read_text(), re.MULTILINE)
    assert [name for name in variables if f"`{name}`" not in page] == []


def test_every_folder_and_file_that_the_developers_page_names_exists():
    page = (CHECKOUT / "DEVELOPERS.md").read_text()
    named = re.findall(r"`((?:[a-z_.]+/)+[a-z_A-Z.]*)`", page)
    planned = {"plans/"}
    assert len(named) > 15
    assert [path for path in named if not (CHECKOUT / path).exists() and path not in planned] == []


def test_continuous_integration_runs_the_readmes_test_command():
    assert (CHECKOUT / ".ci/run").read_text().rstrip().endswith("\nmake test")
    assert "\nmake test " in (CHECKOUT / "README.md").read_text()


def test_the_readme_names_the_demonstrations_accounts():
    from desk.demo.accounts import DEMO_ACCOUNTS

    rows = re.findall(r"^\| ([a-z ]+) \| `(\w+)` \|", (CHECKOUT / "README.md").read_text(), re.MULTILINE)
    assert sorted(rows) == sorted((role, name) for role, name, _ in DEMO_ACCOUNTS)
