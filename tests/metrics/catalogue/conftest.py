"""Shared readings of the catalogue and of the published tables that it is held against."""

import csv
from pathlib import Path

import pytest

from metrics.catalogue import load_catalogue

HERE = Path(__file__).parent
PUBLISHED = HERE.parents[1] / "reference" / "data"


def read_rows(path):
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


@pytest.fixture(scope="session")
def catalogue():
    return load_catalogue()


@pytest.fixture(scope="session")
def design_table():
    """The metric table as it was drawn up, copied by hand: what the data must say, row by row."""
    return read_rows(HERE / "catalogue_table.csv")


@pytest.fixture(scope="session")
def published():
    """Reads one of the published tables by its name."""
    return lambda name: read_rows(PUBLISHED / f"{name}.csv")
