"""Stored readings name the algorithm that made them, so its source may not change unnoticed."""

from __future__ import annotations

from metrics.kinematics import ALGORITHM
from tests.metrics.judging.algorithm_log import LOG, faults, read_entries, source_hash
from tests.metrics.kinematics.algorithm_log import PACKAGE


def test_source_is_logged_under_its_version():
    entries = read_entries((PACKAGE / LOG.name).read_text(encoding="utf-8"))
    assert faults(entries, source_hash(PACKAGE), ALGORITHM) == []
