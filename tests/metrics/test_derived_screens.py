"""What follows from the athlete's record: age, body-mass index, growth, throws counted; held against ranges."""

from __future__ import annotations

import datetime as dt
import math

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.growth_chart import bmi_at_percentile, chart_at, load_chart, percentile_of_bmi
from metrics.judging.values import Limits
from metrics.scoring.person import (
    MASS_U_KG,
    DayCount,
    age_in_years,
    body_mass_index,
    growth_chart_limits,
    judge_person,
    throws_in_days,
)
from metrics.selectors.derived_screens import CHART_OF_BOYS, GROWN, NO_CHART, NO_HEIGHTS, NO_SIZES, derived_screens
from tests import factories
from tests.metrics.catalogue.profiles.build_published import REFERENCE_FOLDER, read_rows
from tests.metrics.scoring_cases import profile

TODAY = factories.DAY
SIZES = {row["key"]: row for row in read_rows(REFERENCE_FOLDER / "body_size.csv") if "_bmi_" in row["key"]}
AGES = range(7, 21)


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


# --- the growth chart, held against the reference table (CDC 2000 growth charts, tests/reference/data/body_size.csv)


def months_of(age: int) -> float:
    return float(SIZES[f"cdc_boys_bmi_{age}y_M"]["population"].split(", ")[1].split()[0])


@pytest.mark.parametrize("age", AGES)
@pytest.mark.parametrize("percentile", [5, 50, 85, 95])
def test_percentiles_are_those_that_the_chart_prints(age, percentile):
    """Printed to one decimal, so half a tenth is the tolerance."""
    printed = float(SIZES[f"cdc_boys_bmi_{age}y_p{percentile}"]["value"])
    assert bmi_at_percentile(months_of(age), percentile / 100) == pytest.approx(printed, abs=0.0501)


def test_the_parameters_are_those_of_the_reference_table():
    for age, at in zip(AGES, load_chart(), strict=True):
        assert (at.l, at.m, at.s) == tuple(float(SIZES[f"cdc_boys_bmi_{age}y_{name}"]["value"]) for name in "LMS")
        assert at.age_months == months_of(age)


@pytest.mark.parametrize("share", [0.05, 0.5, 0.85, 0.97])
def test_the_percentile_of_a_percentile_is_itself(share):
    assert percentile_of_bmi(170.0, bmi_at_percentile(170.0, share)) == pytest.approx(share)


def test_between_two_ages_the_chart_lies_between_them():
    low, middle, high = (bmi_at_percentile(months, 0.85) for months in (156.5, 162.5, 168.5))
    assert low < middle < high
    assert middle == pytest.approx((low + high) / 2, abs=0.02)


@pytest.mark.parametrize("months", [84.4, 240.1, -1.0])
def test_outside_its_ages_the_chart_says_nothing(months):
    assert chart_at(months) is None
    assert bmi_at_percentile(months, 0.85) is None
    assert percentile_of_bmi(months, 20.0) is None


# --- arithmetic


def test_body_mass_index_by_hand():
    """80 kg over 1.85² = 3.4225 m² is 23.37; 0.5 of 80 kg and twice 0.5 of 185 cm are 0.83% together."""
    bmi, u = body_mass_index(185.0, 80.0, 0.5)
    assert bmi == pytest.approx(23.375, abs=0.001)
    assert u == pytest.approx(23.375 * math.hypot(MASS_U_KG / 80, 1 / 185), rel=1e-4)


@pytest.mark.parametrize(("height", "mass"), [(0, 80), (185, 0), (-1, 80)])
def test_nobody_has_no_height_or_mass(height, mass):
    with pytest.raises(ValueError, match="a body has height and mass"):
        body_mass_index(height, mass, 0.5)


@pytest.mark.parametrize(
    ("born", "on", "years"),
    [("2012-02-29", "2028-02-29", 16.0), ("2012-02-29", "2013-03-01", 1.002), ("2010-04-14", "2026-04-14", 16.0)],
)
def test_age_in_years_counts_leap_days(born, on, years):
    assert age_in_years(day(born), day(on)) == pytest.approx(years, abs=0.001)


def counted(*rows: tuple[int, str, int]):
    """Days before today, method, throws."""
    return [DayCount(TODAY - dt.timedelta(days=ago), method, throws) for ago, method, throws in rows]


def test_seven_days_end_with_the_date_itself():
    counts = counted((0, "video", 10), (6, "video", 20), (7, "video", 40), (27, "video", 80), (28, "video", 160))
    assert throws_in_days(counts, TODAY, 7) == (30, 2)
    assert throws_in_days(counts, TODAY, 28) == (150, 4)


def test_throws_that_were_filmed_and_captured_count_once():
    counts = counted((0, "motion_capture", 12), (0, "video", 8), (1, "video", 5))
    assert throws_in_days(counts, TODAY, 7) == (17, 2)


def test_two_sessions_of_one_day_by_one_method_are_added():
    assert throws_in_days(counted((0, "video", 8), (0, "video", 5)), TODAY, 7) == (13, 1)


def test_later_throws_are_not_counted():
    assert throws_in_days(counted((-1, "video", 8)), TODAY, 7) == (0, 0)


def test_the_chances_and_the_side_speak_of_the_side_that_the_value_is_nearer_to():
    judged = judge_person(8.0, 0.4, Limits(target_high=6, flag_high=7), profile())
    assert (judged.verdict.zone, judged.verdict.near_side) == ("flag", "high")
    assert judged.verdict.p_flag == pytest.approx(0.9938, abs=1e-4)  # 2.5 standard uncertainties, normal distribution
    assert judged.severity == pytest.approx(2.0)


def test_the_unit_of_a_heavy_body_is_the_chart_s_next_percentile():
    born = TODAY - dt.timedelta(days=round(13 * 365.25 + 15))
    limits = growth_chart_limits(born, TODAY)
    assert limits.target_high == limits.flag_high
    judged = judge_person(limits.flag_high + limits.unit_high, 0.2, limits, profile())
    assert judged.severity == pytest.approx(2.0)


# --- from the record

pytestmark = pytest.mark.django_db


@pytest.fixture
def profiles(db):
    factories.starting_profiles()


@pytest.fixture
def boy(profiles):
    """13 and a half, of the growth chart's sex, without sizes."""
    return factories.AthleteFactory(birth_date=day("2012-10-14"), sex="man", body_size={})


def measured(athlete, date: str, height_cm: float | None = None, mass_kg: float | None = None):
    factories.BodySizeFactory(athlete=athlete, date=day(date), height_cm=height_cm, mass_kg=mass_kg, arm_span_cm=None)


def one(athlete, key, on=TODAY):
    return next(found for found in derived_screens(athlete, on) if found.metric == key)


def test_all_that_the_catalogue_works_out_from_the_person_is_given_and_nothing_else(boy):
    from_person = {metric.key for metric in load_catalogue().metrics.values() if metric.is_from_person}
    assert {found.metric for found in derived_screens(boy, TODAY)} == from_person


def test_age_is_worked_out_wherever_the_catalogue_has_it():
    """It is context that nobody may type; a catalogue without it is held here until it has it."""
    metric = load_catalogue().metrics.get("age")
    assert metric is None or metric.is_from_person


def test_without_sizes_the_reasons_say_what_is_missing(boy):
    assert (one(boy, "bmi").value, one(boy, "bmi").reason) == (None, NO_SIZES)
    assert (one(boy, "height_velocity").value, one(boy, "height_velocity").reason) == (None, NO_HEIGHTS)


@pytest.mark.parametrize(("mass", "zone", "side"), [(48.0, "in_range", "high"), (72.0, "flag", "high")])
def test_body_mass_index_is_held_against_boys_of_his_age(boy, mass, zone, side):
    """1.65 m: 48 kg is 17.6, under the median of 18.8; 72 kg is 26.4, over the 95th percentile of 25.6."""
    measured(boy, "2026-04-02", 165.0, mass)
    found = one(boy, "bmi")
    assert (found.zone, found.side) == (zone, side)
    assert found.value == pytest.approx(mass / 1.65**2)
    assert (found.p_flag > 0.99) is (zone == "flag")
    assert "2 April 2026" in found.how


def test_a_body_mass_index_on_the_edge_cannot_be_told(boy):
    edge = bmi_at_percentile(age_in_years(boy.birth_date, TODAY) * 12, 0.85)
    measured(boy, "2026-04-14", 165.0, edge * 1.65**2)
    found = one(boy, "bmi")
    assert found.sure == "cant_tell"
    assert found.p_flag == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("sex", ["", "woman"])
def test_the_chart_of_boys_judges_nobody_else(boy, sex):
    boy.sex = sex
    measured(boy, "2026-04-02", 165.0, 72.0)
    found = one(boy, "bmi")
    assert (found.zone, found.reason, found.p_flag) == ("not_scored", CHART_OF_BOYS, None)
    assert found.value == pytest.approx(26.4, abs=0.1)


def test_a_grown_man_s_body_mass_index_is_shown_and_not_judged(profiles):
    man = factories.AthleteFactory(birth_date=day("1998-10-14"), sex="man")
    assert one(man, "bmi").reason == NO_CHART
    assert one(man, "height_velocity").reason == GROWN


@pytest.mark.parametrize(
    ("gained", "zone", "sure"), [(3.0, "in_range", "sure"), (9.0, "flag", "sure"), (7.1, "watch", "likely")]
)
def test_growth_is_held_against_seven_centimetres_a_year(boy, gained, zone, sure):
    measured(boy, "2025-04-14", 150.0)
    measured(boy, "2026-04-14", 150.0 + gained)
    found = one(boy, "height_velocity")
    assert (found.zone, found.sure, found.side) == (zone, sure, "high")
    assert found.u == pytest.approx(0.708, abs=0.001)
    assert found.how == "From the heights of 14 April 2025 and 14 April 2026, 365 days apart."


def test_a_height_that_shrank_by_more_than_measuring_error_is_pointed_at(boy):
    measured(boy, "2025-04-14", 160.0)
    measured(boy, "2026-04-14", 156.0)
    found = one(boy, "height_velocity")
    assert found.value < 0
    assert "look at both numbers" in found.how


def test_half_a_centimetre_less_is_only_measuring_error(boy):
    measured(boy, "2025-04-14", 160.0)
    measured(boy, "2026-04-14", 159.5)
    assert "look at both" not in one(boy, "height_velocity").how


def thrown(athlete, ago: int, throws: int, method: str = "video", **changes):
    session = factories.CaptureSessionFactory(athlete=athlete, date=TODAY - dt.timedelta(days=ago), method=method)
    for number in range(1, throws + 1):
        factories.ThrowFactory(session=session, number=number, **changes)
    return session


def test_throws_are_counted_from_sessions_warm_ups_and_left_out_ones_too(boy, coach):
    thrown(boy, 0, 3)
    thrown(boy, 3, 2, intent="warm_up")
    thrown(boy, 10, 4, method="motion_capture", excluded_at=dt.datetime(2026, 4, 4, tzinfo=dt.UTC))
    assert [one(boy, key).value for key in ("workload_7_days", "workload_28_days")] == [5, 9]
    assert one(boy, "workload_7_days").how.startswith("On 2 days of 8 April 2026 to 14 April 2026")
    for days in (7, 28):
        screen = one(boy, f"workload_{days}_days")
        assert screen.of.name == f"Throws in sessions, last {days} days"
        assert "Throws entered for a day are not in it" in screen.how
    assert one(boy, "workload_7_days").zone == "not_scored"


def test_rounds_of_screens_other_people_s_throws_and_withdrawn_ones_are_no_throws_of_his(boy, coach):
    thrown(boy, 0, 3, method="hands_on")
    thrown(factories.AthleteFactory(), 0, 3)
    withdrawn = thrown(boy, 0, 3)
    type(withdrawn).everything.filter(pk=withdrawn.pk).update(withdrawn_at=dt.datetime(2026, 4, 14, tzinfo=dt.UTC))
    mistaken = thrown(boy, 1, 3)
    mistaken.throws.update(withdrawn_at=dt.datetime(2026, 4, 14, tzinfo=dt.UTC))
    assert one(boy, "workload_7_days").value == 0


def test_without_a_profile_nothing_is_judged_and_all_is_shown(db):
    athlete = factories.AthleteFactory(birth_date=day("2012-10-14"), sex="man")
    found = one(athlete, "bmi")
    assert found.value is not None
    assert found.reason == "No range profile is published and in use."


def test_the_number_of_queries_does_not_grow_with_the_record(boy, django_assert_num_queries):
    for month in range(1, 5):
        measured(boy, f"2026-0{month}-01", 160.0 + month, 50.0)
    for ago in range(6):
        thrown(boy, ago, 4)
    derived_screens(boy, TODAY)  # a published version's rules are read once a process
    fresh = type(boy).objects.get(pk=boy.pk)
    with django_assert_num_queries(4):  # levels, sizes, version, throws
        derived_screens(fresh, TODAY)
    known = type(boy).objects.with_facts().get(pk=boy.pk)
    with django_assert_num_queries(2):
        derived_screens(known, TODAY)
