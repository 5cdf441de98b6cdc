"""The world that every test of this folder knocks at, and that they share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.policy.knocking import Knocker
from tests.policy.opening import open_door

FOLDER = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """In one process: the world is built once, and an answer is asked once."""
    for item in items:
        if item.path.is_relative_to(FOLDER):
            item.add_marker(pytest.mark.xdist_group("policy"))


@pytest.fixture(scope="package")
def door(django_db_setup, django_db_blocker, tmp_path_factory) -> Iterator[Knocker]:
    with django_db_blocker.unblock(), open_door(tmp_path_factory.mktemp("policy")) as opened:
        yield opened
