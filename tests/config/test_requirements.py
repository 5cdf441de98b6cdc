"""The pinned parts: all exact, all used, and nothing used that is not named."""

from __future__ import annotations

import re
import sys
from importlib.metadata import packages_distributions, version

import pytest

from tests.source import CHECKOUT, CODE_FOLDERS, imports_of, python_files

# Parts that no line of ours imports.
USED_WITHOUT_IMPORT = {
    "argon2-cffi": "Django's password hasher",
    "defusedxml": "openpyxl reads XML through it when it is there",
    "django-axes": "named in the settings",
    "django-filter": "named in the settings",
    "django-htmx": "named in the settings",
    "gunicorn": "started as a process",
    "plotly": "its script is served to pages with a large chart",
    "psycopg": "Django's PostgreSQL driver",
    "psycopg-binary": "the same, compiled",
    "tzdata": "zoneinfo, where the machine has no time zones of its own",
    "whitenoise": "named in the settings",
}
OURS = {*CODE_FOLDERS, "plans", "tests"}


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def pins(file: str) -> dict[str, tuple[str, str]]:
    """Name → (version, heading under which it stands)."""
    found, heading = {}, ""
    for line in (CHECKOUT / file).read_text().splitlines():
        if line.startswith("# "):
            heading = line[2:]
        elif line and not line.startswith("-r "):
            name, exact = re.fullmatch(r"([A-Za-z0-9._-]+)==(\S+)", line).groups()
            found[name] = (exact, heading)
    return found


def chosen() -> set[str]:
    return {name for name, (_, heading) in pins("requirements.txt").items() if "bring with them" not in heading}


def imported() -> set[str]:
    owners = packages_distributions()
    found = set()
    for path in python_files(*(folder for folder in CODE_FOLDERS if folder != "bench")):
        for one in imports_of(path):
            top = one.target.split(".", 1)[0]
            if top not in sys.stdlib_module_names and top not in OURS:
                found |= {normal(name) for name in owners.get(top, [f"nobody ({one})"])}
    return found


@pytest.mark.parametrize("file", ["requirements.txt", "requirements-dev.txt"])
def test_every_part_is_pinned_to_the_version_that_is_installed(file):
    wrong = {name: exact for name, (exact, _) in pins(file).items() if version(name) != exact}
    assert wrong == {}


def test_what_the_code_imports_is_chosen_and_not_only_brought_along():
    assert imported() - chosen() == set()


def test_what_is_chosen_is_used():
    assert chosen() - imported() - set(USED_WITHOUT_IMPORT) == set()
