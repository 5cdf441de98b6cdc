"""The first page of somebody of the family, as its words."""

from __future__ import annotations

import pytest

from tests.desk.families import main_text


@pytest.fixture
def home(client_of):
    return lambda user: main_text(client_of(user).get("/"))
