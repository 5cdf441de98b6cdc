"""A training group, and three who may be in it."""

from __future__ import annotations

import pytest

from tests import factories


@pytest.fixture
def group():
    return factories.TrainingGroupFactory(name="Relief")


@pytest.fixture
def three():
    return [factories.AthleteFactory(given_name=name, family_name="Okonjo") for name in ("Ann", "Ben", "Cem")]
