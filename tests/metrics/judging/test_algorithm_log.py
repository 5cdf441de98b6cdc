"""Stored findings name the algorithm that made them, so its source may not change unnoticed."""

from __future__ import annotations

import pytest

from metrics.judging import ALGORITHM
from tests.metrics.judging.algorithm_log import LOG, faults, read_entries, source_hash

FIRST = {"version": "judging 1", "source": "a", "note": "first"}


def test_source_is_logged_under_its_version():
    assert faults(read_entries(LOG.read_text(encoding="utf-8")), source_hash(), ALGORITHM) == []


@pytest.mark.parametrize(
    ("entries", "source", "version"),
    [
        ([], "a", "judging 1"),
        ([FIRST], "changed", "judging 1"),
        ([FIRST], "a", "judging 2"),
        ([FIRST, {**FIRST, "source": "b", "note": "tidied"}], "b", "judging 1"),
    ],
)
def test_unlogged_change_is_a_fault(entries, source, version):
    assert faults(entries, source, version)


@pytest.mark.parametrize("change", [{"note": "no change in numbers: tidied"}, {"version": "judging 2"}])
def test_logged_change_is_none(change):
    last = {**FIRST, "source": "b", **change}

    assert faults([FIRST, last], "b", last["version"]) == []
