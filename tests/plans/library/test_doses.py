"""How a dose is told, how long it takes, and which age takes which."""

from __future__ import annotations

import pytest

from plans.library import Dose, band_at, tell_dose, tell_supervision
from plans.library.words import BANDS

ALONE = ("alone", "house")


@pytest.mark.parametrize(
    ("dose", "told"),
    [
        (Dose(*ALONE, sets=(3, 3), seconds=(30, 30), days=(7, 7)), "3 × 30 s, every day"),
        (Dose(*ALONE, sets=(2, 3), reps=(12, 15), days=(3, 3)), "2 to 3 × 12 to 15, 3 days a week"),
        (Dose(*ALONE, sets=(1, 1), reps=(8, 8), each_side=True, days=(1, 1)), "1 × 8, each side, 1 day a week"),
        (Dose(*ALONE, sets=(3, 3), reps=(6, 6), seconds=(5, 5), days=(3, 4)), "3 × 6 holds of 5 s, 3 to 4 days a week"),
        (Dose(*ALONE, sets=(2, 2), reps=(8, 8), throws=(10, 10), days=(3, 3)), "2 × 8, then 10 throws, 3 days a week"),
        (Dose(*ALONE, sets=(3, 3), reps=(5, 5), load_kg=(1, 2), days=(2, 2)), "3 × 5, 1 to 2 kg, 2 days a week"),
        (Dose(*ALONE, sets=(2, 2), reps=(8, 8), moves=4, days=(2, 2)), "2 × 8 of each of 4 movements, 2 days a week"),
        (Dose(*ALONE, work_minutes=(1, 2), days=(7, 7)), "1 to 2 min, every day"),
        (Dose(*ALONE, words="No throwing until seen"), "No throwing until seen"),
    ],
)
def test_a_dose_is_told_in_one_line(dose, told):
    assert tell_dose(dose) == told


@pytest.mark.parametrize(
    ("dose", "minutes"),
    [
        (Dose(*ALONE, sets=(3, 3), seconds=(30, 30)), 3),  # 3 × 30 s and two rests of 20 s: 130 s
        (Dose(*ALONE, sets=(3, 3), reps=(6, 8), each_side=True), 5),  # 6 × 8 × 3 s and five rests: 244 s
        (Dose(*ALONE, sets=(3, 3), reps=(5, 5), seconds=(10, 10), each_side=True), 7),  # 6 × 50 s and 100 s: 400 s
        (Dose(*ALONE, sets=(2, 2), reps=(10, 10), moves=4), 7),  # 8 × 30 s and 140 s: 380 s
        (Dose(*ALONE, throws=(10, 15)), 5),  # 15 × 20 s
        (Dose(*ALONE, sets=(2, 2), reps=(8, 8), throws=(10, 10)), 5),  # 68 s and 200 s: 268 s
        (Dose(*ALONE, work_minutes=(10, 15)), 15),
        (Dose(*ALONE, words="No throwing until seen"), 0),
    ],
)
def test_minutes_are_the_most_that_a_day_takes(dose, minutes):
    assert dose.minutes == minutes


@pytest.mark.parametrize(
    ("age", "band"),
    [(0, "under_13"), (12, "under_13"), (13, "13_15"), (15, "13_15"), (16, "16_18"), (18, "16_18"), (19, "adult"),
     (60, "adult")],
)  # fmt: skip
def test_an_age_takes_the_dose_of_its_band(age, band):
    assert band_at(age) == band


def test_the_bands_follow_each_other_without_a_gap():
    spans = list(BANDS.values())
    assert spans[0][0] == 0
    assert spans[-1][1] is None
    assert [last + 1 for _, last in spans[:-1]] == [first for first, _ in spans[1:]]


def test_an_age_below_zero_is_refused():
    with pytest.raises(ValueError, match="0 or more"):
        band_at(-1)


def test_supervision_is_told():
    assert tell_supervision(Dose("coach", "house")) == "with a coach"
