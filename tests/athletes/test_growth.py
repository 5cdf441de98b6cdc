"""Growth a year from two heights: which two, how sure, and who is called growing fast."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.facts import growing_fast_on, growth_on, header_of
from athletes.facts.growth import HEIGHT_U_CM, Growth, growth_between
from athletes.pages import who_from
from tests import factories

TODAY = factories.DAY


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def rate(*heights: tuple[str, float], on: str) -> Growth | None:
    return growth_between([(day(date), cm) for date, cm in heights], day(on))


# Worked by hand: centimetres gained, over days / 365.25.
@pytest.mark.parametrize(
    ("first", "second", "cm_year"),
    [
        (("2025-04-14", 150.0), ("2026-04-14", 157.0), 7.005),  # 365 days
        (("2023-04-14", 150.0), ("2024-04-13", 157.0), 7.005),  # 365 days with 29 February among them
        (("2024-02-29", 150.0), ("2025-02-28", 156.0), 6.004),  # from a leap day to the last of February
        (("2026-01-14", 150.0), ("2026-04-14", 152.0), 8.117),  # 90 days
        (("2025-10-14", 150.0), ("2026-04-14", 150.0), 0.0),
    ],
)
def test_the_rate_is_what_was_gained_for_each_year_between(first, second, cm_year):
    assert rate(first, second, on=second[0]).cm_year == pytest.approx(cm_year, abs=0.001)


def test_the_uncertainty_is_that_of_two_heights_over_the_years_between():
    """0.5 cm each: √2 · 0.5 = 0.707 cm; over a quarter of a year four times that."""
    growth = rate(("2026-01-14", 150.0), ("2026-04-14", 152.0), on="2026-04-14")
    assert growth.u_cm_year == pytest.approx(math.sqrt(2) * 0.5 * 365.25 / 90)
    assert growth.half_width_cm_year == pytest.approx(5.62, abs=0.01)


@pytest.mark.parametrize(("later", "says"), [("2026-04-13", False), ("2026-04-14", True)])
def test_two_heights_less_than_ninety_days_apart_say_nothing(later, says):
    assert (rate(("2026-01-14", 150.0), (later, 152.0), on="2026-04-14") is not None) is says


def test_one_height_or_two_of_one_day_say_nothing():
    assert rate(("2026-01-14", 150.0), on="2026-04-14") is None
    assert rate(("2026-01-14", 150.0), ("2026-01-14", 152.0), on="2026-04-14") is None
    assert growth_between([], TODAY) is None


def test_of_several_heights_the_pair_nearest_to_a_year_counts():
    heights = [("2024-06-14", 140.0), ("2025-03-14", 145.0), ("2025-10-14", 149.0), ("2026-04-14", 152.0)]
    growth = rate(*heights, on="2026-04-20")
    assert (growth.since, growth.until) == (day("2025-03-14"), day("2026-04-14"))


def test_a_pair_more_than_two_years_apart_says_nothing_of_now():
    assert rate(("2024-04-13", 140.0), ("2026-04-14", 152.0), on="2026-04-14") is None
    assert rate(("2024-04-14", 140.0), ("2026-04-14", 152.0), on="2026-04-14") is not None


@pytest.mark.parametrize(("on", "says"), [("2026-10-11", True), ("2026-10-12", False)])
def test_nothing_is_carried_on_beyond_half_a_year_after_the_last_height(on, says):
    assert (rate(("2025-04-14", 150.0), ("2026-04-14", 157.0), on=on) is not None) is says


def test_between_two_heights_the_rate_is_that_across_the_date():
    heights = [("2025-01-14", 150.0), ("2025-07-14", 152.0), ("2026-01-14", 158.0)]
    growth = rate(*heights, on="2025-10-01")
    assert (growth.since, growth.until) == (day("2025-01-14"), day("2026-01-14"))
    assert rate(*heights[:2], on="2025-10-01").until == day("2025-07-14")


def test_a_later_height_too_near_leaves_the_rate_before_it():
    heights = [("2025-09-14", 150.0), ("2026-03-01", 153.0), ("2026-04-14", 153.5)]
    growth = rate(*heights, on="2026-04-01")
    assert (growth.since, growth.until) == (day("2025-09-14"), day("2026-04-14"))


def test_a_smaller_later_height_is_a_rate_below_zero():
    assert rate(("2025-04-14", 157.0), ("2026-04-14", 156.0), on="2026-04-14").cm_year == pytest.approx(
        -1.0007, abs=1e-3
    )


@given(st.integers(90, 730), st.floats(100, 200), st.floats(-5, 20), st.floats(-30, 30))
def test_a_scale_that_is_set_wrong_by_the_same_for_both_changes_nothing(days, height, gained, error):
    later = TODAY - dt.timedelta(days=days)
    true = growth_between([(later, height), (TODAY, height + gained)], TODAY)
    wrong = growth_between([(later, height + error), (TODAY, height + gained + error)], TODAY)
    assert wrong.cm_year == pytest.approx(true.cm_year, abs=1e-8)


# --- people


def measured(birth_date: str, *heights: tuple[str, float]):
    athlete = factories.AthleteFactory(birth_date=day(birth_date), body_size={})
    for date, cm in heights:
        factories.BodySizeFactory(athlete=athlete, date=day(date), height_cm=cm, mass_kg=None, arm_span_cm=None)
    return athlete


YEAR = ("2025-04-14", 150.0)
pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("cm", "is_fast"), [(156.9, False), (156.99, False), (157.1, True), (160.0, True)])
def test_over_seven_centimetres_a_year_is_fast(cm, is_fast):
    athlete = measured("2012-06-01", YEAR, ("2026-04-14", cm))
    assert (growing_fast_on(athlete, TODAY) is not None) is is_fast


def test_a_noisy_pair_is_shown_with_its_uncertainty_rather_than_hidden():
    athlete = measured("2012-06-01", ("2026-01-14", 150.0), ("2026-04-14", 152.0))
    growth = growing_fast_on(athlete, TODAY)
    assert growth.cm_year - growth.half_width_cm_year < 7 < growth.cm_year


@pytest.mark.parametrize(
    ("born", "heights", "is_fast"),
    [
        ("2008-04-15", (YEAR, ("2026-04-14", 158.0)), True),  # a day under 18
        ("2007-06-01", (YEAR, ("2026-04-14", 158.0)), True),  # 18, and the interval shows growth
        ("2007-06-01", (("2026-01-14", 180.0), ("2026-04-14", 181.9)), True),
        ("2007-06-01", (("2026-01-14", 180.0), ("2026-04-12", 181.9)), False),  # 88 days
        ("2006-04-14", (YEAR, ("2026-04-14", 158.0)), False),  # 20 today
        ("1996-04-14", (YEAR, ("2026-04-14", 158.0)), False),
    ],
)
def test_who_is_grown_is_not_called_growing(born, heights, is_fast):
    assert (growing_fast_on(measured(born, *heights), TODAY) is not None) is is_fast


def test_of_a_young_adult_growth_must_be_shown_by_the_data(monkeypatch):
    monkeypatch.setattr("athletes.facts.growth.HEIGHT_U_CM", 2 * HEIGHT_U_CM)
    heights = (("2026-01-14", 180.0), ("2026-04-14", 182.0))
    assert growing_fast_on(measured("2007-06-01", *heights), TODAY) is None
    assert growing_fast_on(measured("2009-06-01", *heights), TODAY) is not None


def test_heights_alone_count_and_not_days_on_which_only_mass_was_taken():
    athlete = measured("2012-06-01", YEAR)
    factories.BodySizeFactory(athlete=athlete, date=TODAY, height_cm=None, mass_kg=50.0, arm_span_cm=None)
    assert growth_on(athlete, TODAY) is None


def test_before_the_birth_nothing_is_known():
    assert growth_on(measured("2012-06-01", YEAR), day("2012-05-31")) is None


def test_the_header_says_growing_fast_with_number_dates_and_uncertainty(coach):
    athlete = measured("2012-06-01", YEAR, ("2026-04-14", 159.0))
    header = header_of(athlete, TODAY)
    assert who_from(header, coach)["growing_fast"] == header.growing_fast
    assert header.growing_fast.cm_year == pytest.approx(9.006, abs=0.001)


@pytest.mark.parametrize(("system", "words"), [("metric", "9.0 cm a year ± 1.4"), ("us", "3.5 inches a year ± 0.5")])
def test_the_header_writes_it_in_the_reader_s_units(system, words, coach):
    from django.template import engines

    athlete = measured("2012-06-01", YEAR, ("2026-04-14", 159.0))
    who = who_from(header_of(athlete, TODAY), coach)
    text = engines["django"].get_template("_who.html").render({"who": who, "unit_system": system})
    said = " ".join(text.split())
    assert f"<dt>Growing fast</dt><dd>{words} <small>14 Apr 2025 to 14 Apr 2026</small>" in said


def test_growth_costs_the_roster_no_query_more(django_assert_num_queries):
    from athletes.facts import headers_of
    from athletes.models import Athlete

    for _ in range(3):
        measured("2012-06-01", YEAR, ("2026-04-14", 159.0))
    with django_assert_num_queries(6):
        assert len(headers_of(Athlete.objects.all(), TODAY)) == 3
