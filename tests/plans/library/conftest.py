"""The shipped library, and one made-up intervention that keeps every rule."""

from __future__ import annotations

import pytest

from plans.library import Dose, Intervention, load_library


@pytest.fixture(scope="session")
def library():
    return load_library()


@pytest.fixture(scope="session")
def by_key(library):
    return {one.key: one for one in library}


@pytest.fixture
def sound():
    """A made-up stretch that nothing is wrong with."""
    dose = Dose("adult", "house", sets=(2, 2), seconds=(30, 30), days=(7, 7))
    return Intervention(
        key="wall_stretch",
        name="Stretch at a wall",
        kind="mobility",
        answers=(("stride_length", "low"),),
        instructions=("Stand at a wall.", "Lean in.", "Hold it there."),
        cautions=("Stop when it hurts.",),
        effort="low",
        load="none",
        has_throws=False,
        doses={"under_13": dose, "13_15": dose, "16_18": dose, "adult": dose},
        recheck_weeks=(4, 6),
        source="common practice, no published source",
        status="common_practice",
    )
