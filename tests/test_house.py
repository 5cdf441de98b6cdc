"""The form of the house: short functions, short files, honest names, pages without inline style or script."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

from tests.source import (
    CHECKOUT,
    CODE_FOLDERS,
    ROOMS,
    functions_of,
    imports_of,
    length_of,
    module_name,
    python_files,
)

FILE_LINES = 300
FUNCTION_LINES = 40
VIEW_LINES = 25
VAGUE_NAMES = {"utils", "util", "helpers", "helper", "misc", "common"}

TEMPLATES = sorted((CHECKOUT / "templates").rglob("*.html"))
SCRIPTS = sorted((CHECKOUT / "static").rglob("*.js"))

INLINE = {
    "an inline style": re.compile(r"""\sstyle\s*=\s*["']""", re.IGNORECASE),
    "a style element": re.compile(r"<style\b", re.IGNORECASE),
    "an inline script": re.compile(r"<script\b(?![^>]*\bsrc=)(?![^>]*type=[\"']application/json)", re.IGNORECASE),
    "a handler in an attribute": re.compile(r"\son[a-z]+\s*=\s*[\"']", re.IGNORECASE),
    "a script address": re.compile(r"javascript:", re.IGNORECASE),
    "a file from elsewhere": re.compile(r"(?:src|href)\s*=\s*[\"'](?:https?:)?//", re.IGNORECASE),
}


def lines_in(path: Path) -> int:
    return path.read_text().count("\n")


def relative(path: Path) -> str:
    return str(path.relative_to(CHECKOUT))


def test_there_are_pages_to_look_at():
    assert len(TEMPLATES) > 5


@pytest.mark.parametrize("fault", INLINE)
def test_templates_hold_structure_only(fault):
    """The content policy of every page refuses inline style and script, so a browser would drop them."""
    found = [
        f"{relative(path)}:{number}: {line.strip()[:100]}"
        for path in TEMPLATES
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if INLINE[fault].search(line)
    ]
    assert found == []


def test_markup_made_by_code_carries_no_inline_style_either():
    found = [
        f"{relative(path)}:{number}"
        for path in python_files(*ROOMS)
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if INLINE["an inline style"].search(line) or INLINE["a style element"].search(line)
    ]
    assert found == []


def test_code_files_are_short():
    long = {
        relative(path): lines_in(path)
        for path in (*python_files(*CODE_FOLDERS), *SCRIPTS)
        if lines_in(path) > FILE_LINES
    }
    assert long == {}


def test_functions_are_short():
    long = {
        f"{relative(path)}:{function.lineno} {function.name}": length_of(function)
        for path in python_files(*CODE_FOLDERS)
        for function in functions_of(path)
        if length_of(function) > FUNCTION_LINES
    }
    assert long == {}


def test_views_load_ask_one_service_and_render():
    seen, long = 0, {}
    for path in python_files(*ROOMS):
        if "views" not in path.relative_to(CHECKOUT).with_suffix("").parts:
            continue
        for function in functions_of(path):
            if function.args.args and function.args.args[0].arg == "request":
                seen += 1
                if length_of(function) > VIEW_LINES:
                    long[f"{relative(path)}:{function.lineno} {function.name}"] = length_of(function)
    assert seen > 0
    assert long == {}


def test_no_module_is_a_drawer_for_everything():
    found = [
        module_name(path) for path in python_files(*CODE_FOLDERS) if VAGUE_NAMES & set(module_name(path).split("."))
    ]
    assert found == []


def test_nothing_happens_behind_the_back_of_a_service():
    """No signals of the database: what a save sets off stands in the service that saves."""
    found = [
        str(one)
        for path in python_files(*ROOMS)
        for one in imports_of(path)
        if one.target.startswith(("django.db.models.signals", "django.db.backends.signals"))
    ]
    assert found == []


def test_every_test_folder_is_a_package():
    """Else a folder that is named like an app would be imported in its place."""
    folders = {path.parent for path in (CHECKOUT / "tests").rglob("*.py")}
    inside = {
        parent
        for folder in folders
        for parent in (folder, *folder.parents)
        if (CHECKOUT / "tests") in (parent, *parent.parents)
    }
    assert [relative(folder) for folder in sorted(inside) if not (folder / "__init__.py").exists()] == []


@pytest.mark.parametrize("words", [("check", "--quiet"), ("format", "--check", "--quiet")], ids=["rules", "format"])
def test_the_linter_has_nothing_to_say(words):
    done = subprocess.run(
        [sys.executable, "-m", "ruff", *words, "--no-cache", "."],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.django_db
def test_the_migrations_are_up_to_date(capsys):
    call_command("makemigrations", check=True, dry_run=True, verbosity=1)
    assert "No changes detected" in capsys.readouterr().out
