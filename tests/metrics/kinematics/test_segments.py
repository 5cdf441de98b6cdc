"""Segment masses, centres and radii against the published table, and that table's copy against itself.

De Leva 1996 gives some segments twice, with other end points. The same bone has one centre and one radius in metres, so
every fraction of the second row is that of the first times one ratio of lengths: a digit typed wrong would show.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from metrics.kinematics.segments import BALL_KG, BY_SEX, MEN, segments_for
from tests import reference

TABLE = Path(reference.__file__).parent / "data" / "segment_inertia.csv"
ENDPOINTS = {"upper_arm": "SJC-EJC", "forearm": "EJC-WJC", "hand": "WJC-MET3"}
FRACTIONS = ("centre", "radius_sagittal", "radius_transverse", "radius_longitudinal")
PAIRED = {"head": 1, "trunk": 1, "upper_arm": 2, "forearm": 2, "hand": 2, "thigh": 2, "shank": 2, "foot": 2}


def published():
    """(sex, segment, end points) → its numbers."""
    with TABLE.open(newline="") as file:
        return {
            (row["sex"], row["segment"], row["endpoints"]): {
                name: float(row[name]) for name in ("mass", *FRACTIONS)
            }
            for row in csv.DictReader(file)
        }  # fmt: skip


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("name", ENDPOINTS)
def test_every_number_is_the_published_one(sex, name):
    row, segment = published()[sex, name, ENDPOINTS[name]], BY_SEX[sex][name]
    sagittal, longitudinal, transverse = segment.radii  # about X forward, Y along, Z to the right
    assert (segment.mass, segment.centre) == (row["mass"], row["centre"])
    assert [sagittal, transverse, longitudinal] == [row[name] for name in FRACTIONS[1:]]


@pytest.mark.parametrize("sex", ["female", "male"])
def test_all_segments_of_the_copied_table_make_one_body(sex):
    first = {}
    for (whose, segment, _), row in published().items():
        if whose == sex:
            first.setdefault(segment, row["mass"])
    assert sum(PAIRED[segment] * mass for segment, mass in first.items()) == pytest.approx(1.0, abs=2e-4)


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize(("segment", "other"), [("hand", "WJC-DAC3"), ("forearm", "EJC-STYL")])
def test_other_end_points_of_the_copied_table_give_the_same_metres(sex, segment, other):
    rows = published()
    first, second = rows[sex, segment, ENDPOINTS[segment]], rows[sex, segment, other]
    ratios = [first[name] / second[name] for name in FRACTIONS]
    np.testing.assert_allclose(ratios, ratios[0], rtol=0.01)  # three digits, of which the least are 0.095 and 0.122


@pytest.mark.parametrize("sex", ["female", "male"])
def test_every_radius_is_one_that_a_body_can_have(sex):
    """No principal moment of inertia exceeds the sum of the other two."""
    for segment in BY_SEX[sex].values():
        squares = np.array(segment.radii) ** 2
        assert (squares <= squares.sum() - squares).all()


def test_a_person_of_unknown_sex_gets_the_mens_table_and_another_word_is_refused():
    assert segments_for(None) is MEN
    with pytest.raises(KeyError):
        segments_for("woman")


def test_the_ball_is_a_regulation_baseball():
    """5 to 5 1/4 ounces avoirdupois (rule 3.01 of the Official Baseball Rules), an ounce being 28.3495 g."""
    assert 5 * 0.0283495 < BALL_KG < 5.25 * 0.0283495
