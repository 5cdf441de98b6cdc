"""Age, level, body size, availability, pain and consent on a date."""

from __future__ import annotations

import datetime as dt

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from athletes.facts import (
    age_on,
    availability_on,
    body_size_on,
    has_consent,
    header_of,
    headers_of,
    level_on,
    open_pain_reports,
    stopped_on,
)
from athletes.facts.sizes import How, size_on
from athletes.models import Athlete
from tests import factories

DAY = factories.DAY


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@pytest.mark.parametrize(
    ("born", "on", "words"),
    [
        ("2010-02-10", "2026-04-14", "16 y 2 m"),
        ("2010-04-14", "2026-04-14", "16 y 0 m"),
        ("2010-04-15", "2026-04-14", "15 y 11 m"),
        ("2012-02-29", "2026-02-28", "13 y 11 m"),
        ("2012-02-29", "2026-03-01", "14 y 0 m"),
        ("2012-02-29", "2028-02-29", "16 y 0 m"),
        ("2010-01-31", "2010-02-28", "0 y 0 m"),
        ("2010-01-31", "2010-03-01", "0 y 1 m"),
    ],
)
def test_age_counts_completed_years_and_months(born, on, words):
    assert age_on(day(born), day(on)).words == words


@given(st.dates(dt.date(1950, 1, 1), dt.date(2020, 12, 31)), st.integers(0, 25_000))
def test_age_agrees_with_dateutil_except_where_a_month_is_too_short(born, days):
    # python-dateutil clips 31 January + 1 month to 28 February; ours completes that month on 1 March.
    on = born + dt.timedelta(days=days)
    theirs = relativedelta(on, born)
    ours = age_on(born, on)
    if born.day <= 28:
        assert (ours.years, ours.months) == (theirs.years, theirs.months)
    else:
        assert abs((ours.years * 12 + ours.months) - (theirs.years * 12 + theirs.months)) <= 1


def test_age_before_birth_is_an_error():
    with pytest.raises(ValueError, match="before the birth date"):
        age_on(day("2010-02-10"), day("2010-02-09"))


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("on", "level"),
    [
        ("2023-08-31", None),
        ("2023-09-01", "youth"),
        ("2025-08-31", "youth"),
        ("2025-09-01", "high_school"),
        ("2030-01-01", "high_school"),
    ],
)
def test_level_is_the_latest_at_or_before_the_date(on, level):
    athlete = factories.AthleteFactory(level="")
    factories.LevelPeriodFactory(athlete=athlete, valid_from=day("2025-09-01"), level="high_school")
    factories.LevelPeriodFactory(athlete=athlete, valid_from=day("2023-09-01"), level="youth")
    assert level_on(athlete, day(on)) == level


GROWING = [(day("2026-01-01"), 170.0), (day("2026-04-11"), 172.0)]  # 100 days apart


@pytest.mark.parametrize(
    ("on", "grows", "value", "how", "is_old"),
    [
        ("2026-01-01", True, 170.0, How.MEASURED, False),
        ("2026-02-20", True, 171.0, How.INTERPOLATED, False),  # 50 of 100 days: half of 2 cm
        ("2026-02-20", False, 170.0, How.MEASURED, False),
        ("2026-04-11", True, 172.0, How.MEASURED, False),
        ("2026-10-08", True, 172.0, How.MEASURED, False),  # 180 days after the last
        ("2026-10-09", True, 172.0, How.MEASURED, True),
        ("2025-10-03", True, 170.0, How.MEASURED_LATER, False),  # 90 days before the first
    ],
)
def test_size_on_a_date(on, grows, value, how, is_old):
    size = size_on(GROWING, day(on), grows=grows)
    assert (size.value, size.how, size.is_old) == (pytest.approx(value), how, is_old)


def test_size_more_than_90_days_before_the_first_measurement_is_not_known():
    assert size_on(GROWING, day("2025-10-02"), grows=True) is None


@pytest.mark.parametrize(
    ("on", "words"),
    [
        ("2026-04-11", "today"),
        ("2026-04-23", "12 days old"),
        ("2025-12-23", "measured 9 days later"),
        ("2026-02-20", "between two measurements"),
    ],
)
def test_size_says_how_old_it_is(on, words):
    assert size_on(GROWING, day(on), grows=True).age_words == words


@pytest.mark.django_db
def test_height_is_interpolated_until_the_eighteenth_birthday_and_mass_never():
    athlete = factories.AthleteFactory(birth_date=day("2008-03-01"), body_size={})
    for date, height, mass in (("2026-01-01", 180.0, 70.0), ("2026-12-27", 183.6, 80.0)):  # 360 days: 1 cm in 100
        factories.BodySizeFactory(athlete=athlete, date=day(date), height_cm=height, mass_kg=mass, arm_span_cm=None)
    before, after = body_size_on(athlete, day("2026-02-20")), body_size_on(athlete, day("2026-03-01"))
    assert before.height.value == pytest.approx(180.5)
    assert after.height.value == 180.0
    assert before.mass.value == 70.0
    assert before.arm_span is None


@pytest.mark.django_db
def test_each_size_rests_on_its_own_measurements():
    athlete = factories.AthleteFactory(birth_date=day("2000-01-01"), body_size={})
    factories.BodySizeFactory(athlete=athlete, date=day("2026-01-01"), height_cm=185, mass_kg=None, arm_span_cm=None)
    factories.BodySizeFactory(athlete=athlete, date=day("2026-03-01"), height_cm=None, mass_kg=82, arm_span_cm=None)
    sizes = body_size_on(athlete, DAY)
    assert (sizes.height.measured_on, sizes.mass.measured_on) == (day("2026-01-01"), day("2026-03-01"))
    assert sizes.of_basis("mass") == sizes.mass


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("on", "words"),
    [
        ("2026-02-01", "not recorded"),
        ("2026-02-02", "full"),
        ("2026-04-01", "limited: 60 throws"),
        ("2026-04-30", "limited: 60 throws"),
        ("2026-05-01", "full"),
    ],
)
def test_availability_that_has_ended_gives_way_to_the_one_before(on, words):
    athlete = factories.AthleteFactory()
    factories.AvailabilityFactory(athlete=athlete, valid_from=day("2026-02-02"), state="full")
    factories.AvailabilityFactory(
        athlete=athlete, valid_from=day("2026-04-01"), until=day("2026-04-30"), state="limited", limits="60 throws"
    )
    assert availability_on(athlete, day(on)).words == words


@pytest.mark.django_db
def test_pain_stops_until_its_clearance_whatever_the_availability_says():
    athlete = factories.AthleteFactory()
    factories.AvailabilityFactory(athlete=athlete, state="full")
    report = factories.PainReportFactory(athlete=athlete, where="elbow")
    stopped = stopped_on(athlete, DAY)
    assert (stopped.is_pain, stopped.reason, stopped.since) == (True, "pain: elbow", DAY)
    factories.ClearanceFactory(report=report)
    assert open_pain_reports(athlete) == []
    assert stopped_on(athlete, DAY) is None


@pytest.mark.django_db
def test_clearing_one_of_two_pains_leaves_the_stop():
    athlete = factories.AthleteFactory()
    factories.ClearanceFactory(report=factories.PainReportFactory(athlete=athlete, where="elbow"))
    factories.PainReportFactory(athlete=athlete, where="shoulder")
    assert stopped_on(athlete, DAY).reason == "pain: shoulder"


@pytest.mark.django_db
def test_availability_of_stopped_stops():
    athlete = factories.AthleteFactory()
    factories.AvailabilityFactory(athlete=athlete, state="stopped", limits="Season’s end.")
    assert stopped_on(athlete, DAY).is_pain is False


@pytest.mark.parametrize(
    ("born", "consents", "allowed"),
    [
        ("2010-02-10", [], False),
        ("2010-02-10", [("2026-04-14", None)], True),
        ("2010-02-10", [("2026-04-15", None)], False),
        ("2010-02-10", [("2026-01-01", "2026-04-14")], False),
        ("2010-02-10", [("2026-01-01", "2026-04-15")], True),
        ("2010-02-10", [("2026-01-01", "2026-03-01"), ("2026-04-01", None)], True),
        ("2008-04-14", [], True),
        ("2008-04-15", [], False),
        ("2000-01-01", [("2025-01-01", "2026-01-01")], False),
    ],
)
def test_consent_is_needed_under_age_and_a_withdrawn_one_stops_at_any_age(facility, born, consents, allowed):
    athlete = factories.AthleteFactory(birth_date=day(born), consent=False)
    for given_on, withdrawn_on in consents:
        factories.ConsentFactory(
            athlete=athlete, given_on=day(given_on), withdrawn_on=withdrawn_on and day(withdrawn_on)
        )
    assert has_consent(athlete, DAY, facility=facility) is allowed


@pytest.mark.django_db
def test_header_says_who_this_is_today(coach):
    athlete = factories.AthleteFactory(playing_role="starter", responsible_coach=coach)
    factories.AvailabilityFactory(athlete=athlete)
    header = header_of(athlete, DAY)
    assert (header.age.words, header.level_word, header.throws) == ("16 y 2 m", "high school", "right")
    assert (header.height.value, header.height.age_words, header.mass.value) == (185.0, "12 days old", 80.0)
    assert (header.availability.words, header.coach_name, header.stopped) == ("full", "Ngaire Abaza", None)


@pytest.mark.django_db
def test_header_of_somebody_of_whom_nothing_is_known():
    header = header_of(factories.AthleteFactory(level="", body_size={}), DAY)
    assert (header.level, header.level_word, header.height, header.mass) == (None, "not recorded", None, None)
    assert (header.availability.words, header.coach_name) == ("not recorded", "")


def full_athlete():
    athlete = factories.AthleteFactory(responsible_coach=factories.UserFactory())
    factories.AvailabilityFactory(athlete=athlete)
    factories.ClearanceFactory(report=factories.PainReportFactory(athlete=athlete))
    factories.PainReportFactory(athlete=athlete)


@pytest.mark.django_db
def test_headers_take_as_many_queries_for_twelve_as_for_one(django_assert_num_queries):
    full_athlete()
    with django_assert_num_queries(6):  # athletes with coach, levels, sizes, availabilities, consents, pain
        assert len(headers_of(Athlete.objects.all(), DAY)) == 1
    for _ in range(11):
        full_athlete()
    with django_assert_num_queries(6):
        headers = headers_of(Athlete.objects.all(), DAY)
    assert len(headers) == 12
    assert all(header.stopped for header in headers)


@pytest.mark.django_db
def test_bulk_header_equals_the_header_of_one():
    full_athlete()
    assert headers_of(Athlete.objects.all(), DAY) == [header_of(Athlete.objects.get(), DAY)]
