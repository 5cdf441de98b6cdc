"""What is thrown on a day comes from three places, and stays apart."""

from __future__ import annotations

import datetime as dt
from uuid import uuid4

import pytest
from django.utils import timezone

from athletes.models import Athlete
from athletes.services.consent import withdraw_consent
from plans.models import ThrowCount, WorkTick
from plans.selectors.throwing import throwing_line, throwing_page, throwing_table, told_of
from plans.selectors.throws import may_change, thrown_days
from plans.services.ticks import correct_throws, tick_work
from sessions.models import CaptureSession, Throw
from tests.conftest import athlete  # noqa: F401 - tied to the whole cast, unlike that of the room
from tests.factories import (
    DAY,
    AthleteFactory,
    AvailabilityFactory,
    CaptureSessionFactory,
    PainReportFactory,
    ThrowFactory,
)
from tests.factories.plans import PrescriptionFactory, ThrowCountFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

ONE_DAY = dt.timedelta(days=1)
TUESDAY = DAY
"""14 April 2026."""


@pytest.fixture
def person(cast):
    """Of 12 years, as in the examples of docs/throwing-load.md."""
    cast.athlete.birth_date = dt.date(2013, 9, 1)
    cast.athlete.save()
    return cast.athlete


@pytest.fixture
def day_of(person, cast):
    def look(on=DAY, reader="coach"):
        (found,) = thrown_days(person, cast[reader], on, on)
        return found

    return look


@pytest.fixture
def line(person, cast, facility):
    return lambda on=DAY, reader="guardian": throwing_line(person, cast[reader], facility, on).main


def enter_all_none(person, *, but=(), until=DAY):
    for back in range(15):
        date = until - back * ONE_DAY
        if date not in but:
            ThrowCountFactory(athlete=person, date=date, pitches=0)


def test_entered_counted_and_drilled_throws_stay_apart_and_are_added(person, day_of, cast):
    ThrowCountFactory(athlete=person, pitches=30, is_game=True)
    session = CaptureSessionFactory(athlete=person, date=DAY)
    for number in range(1, 6):
        ThrowFactory(session=session, number=number)
    drill = PrescriptionFactory(athlete=person, version__intervention__key="pause_at_landing_throws")
    tick_work(prescription=drill, on=DAY, uuid=uuid4(), by=cast["coach"])
    correct_throws(prescription=drill, on=DAY, throws=7, by=cast["coach"])
    day = day_of()
    assert (day.entered, day.session, day.drill, day.total, day.games) == (30, 5, 7, 42, 1)


def test_throws_of_every_method_count_and_excluded_ones_too_but_no_screen_and_nothing_withdrawn(person, day_of, cast):
    for method in ("motion_capture", "video", "hands_on"):
        ThrowFactory(session=CaptureSessionFactory(athlete=person, date=DAY, method=method))
    session = CaptureSession.objects.get(method="video")
    ThrowFactory(session=session, number=2, excluded_at=timezone.now(), excluded_reason="slipped")
    gone = ThrowFactory(session=session, number=3)
    gone.mark_withdrawn(cast["coach"], "")
    gone.save()
    withdrawn = CaptureSessionFactory(athlete=person, date=DAY, method="video", ordinal=2)
    ThrowFactory(session=withdrawn)
    withdrawn.mark_withdrawn(cast["coach"], "")
    withdrawn.save()
    assert Throw.everything.count() == 6
    assert day_of().session == 3


def test_a_session_of_more_throws_than_one_count_takes_is_whole(person, day_of):
    session = CaptureSessionFactory(athlete=person, date=DAY)
    Throw.objects.bulk_create(Throw(session=session, number=number) for number in range(1, 351))
    assert day_of().session == 350


def test_ticks_that_were_taken_back_and_work_without_throws_do_not_count(person, day_of, cast):
    gentle = PrescriptionFactory(athlete=person)
    drill = PrescriptionFactory(athlete=person, version__intervention__key="pause_at_landing_throws")
    for work in (gentle, drill):
        tick_work(prescription=work, on=DAY, uuid=uuid4(), by=cast["coach"])
    WorkTick.objects.filter(prescription=drill).update(taken_back_at=timezone.now())
    assert day_of().drill == 0
    assert day_of().is_unknown


def test_throws_of_others_do_not_count(person, day_of, cast):
    ThrowCountFactory(athlete=cast.other_athlete)
    ThrowFactory(session=CaptureSessionFactory(athlete=cast.other_athlete, date=DAY))
    assert day_of().is_unknown


def test_without_consent_only_admins_read_what_sessions_hold(person, day_of, cast):
    ThrowCountFactory(athlete=person, pitches=30)
    ThrowFactory(session=CaptureSessionFactory(athlete=person, date=DAY))
    for consent in person.consents.all():
        withdraw_consent(consent=consent, on=DAY, by=cast["coach"])
    person.refresh_from_db()
    told = {reader: (day_of(reader=reader).entered, day_of(reader=reader).session) for reader in ("admin", "guardian")}
    assert told == {"admin": (30, 1), "guardian": (30, 0)}


# ---- the one sentence, as docs/throwing-load.md gives it ---------------------------------------------------


def test_the_example_of_the_documents(person, line):
    """12 years, 45 pitches on Tuesday, every other day entered as no throwing."""
    enter_all_none(person, but=[TUESDAY])
    ThrowCountFactory(athlete=person, date=TUESDAY, pitches=45)
    assert line() == "45 pitches today: two days of rest, open again on Friday."
    assert line(on=TUESDAY + ONE_DAY) == "45 pitches on Tuesday: two days of rest, open again on Friday."


def test_while_stopped_no_sentence_calls_a_day_open(person, line, cast):
    ThrowCountFactory(athlete=person, pitches=5)
    AvailabilityFactory(athlete=person, valid_from=DAY, state="stopped")
    assert "closed until throwing is cleared" in line()


def test_pain_closes_it_too(person, line):
    ThrowCountFactory(athlete=person, pitches=5)
    assert "no day of rest asked for" in line()
    PainReportFactory(athlete=person)
    assert "closed until throwing is cleared" in line()
    assert "open" not in line()


@pytest.mark.parametrize(("on", "rest"), [(dt.date(2027, 2, 28), "two days"), (dt.date(2027, 3, 1), "one day")])
def test_somebody_born_on_29_february_is_a_year_older_on_1_march(cast, facility, on, rest):
    """45 pitches ask for two days of rest at age 14, for one at 15 (the current chart)."""
    leap = AthleteFactory(birth_date=dt.date(2012, 2, 29))
    ThrowCountFactory(athlete=leap, date=on, pitches=45)
    assert f"45 pitches today: {rest} of rest" in throwing_line(leap, cast["coach"], facility, on).main


def test_a_day_before_the_birth_is_not_looked_at(cast, facility):
    child = AthleteFactory(birth_date=DAY - 5 * ONE_DAY)
    page = throwing_page(child, cast["coach"], facility, DAY)
    assert len(page.rows) == 6


def test_a_birthday_does_not_shorten_a_rest(cast, facility):
    """The chart changes at 17 and 19; the day of the pitches decides, not today’s birthday."""
    grown = AthleteFactory(birth_date=dt.date(2007, 4, 14))
    ThrowCountFactory(athlete=grown, date=DAY - ONE_DAY, pitches=45)
    page = throwing_page(grown, cast["coach"], facility, DAY)
    assert "age 19" in page.words.basis
    assert "age 18" in " ".join(page.words.notes)


# ---- the page --------------------------------------------------------------------------------------------


def test_local_rules_stand_above_and_win(person, cast, facility):
    facility.local_pitch_rules = "At most 60 pitches a day."
    page = throwing_page(person, cast["guardian"], facility, DAY)
    assert page.local_rules == "At most 60 pitches a day."
    assert "They win over this guideline" in page.words.precedence[0]


def test_the_last_fourteen_days_today_first_with_their_entries(person, cast, facility):
    ThrowCountFactory(athlete=person, pitches=30, is_game=True, entered_by=cast["guardian"])
    ThrowCountFactory(athlete=person, pitches=None, entered_by=cast["coach"])
    old = ThrowCountFactory(athlete=person, date=DAY - 20 * ONE_DAY, pitches=50)
    page = throwing_page(person, cast["guardian"], facility, DAY)
    assert [row.day.date for row in page.rows] == [DAY - back * ONE_DAY for back in range(14)]
    assert [row.told for row in page.rows[:2]] == ["30 or more", "not entered"]
    assert [(one.told, one.may_change) for one in page.rows[0].entries] == [
        ("Game, 30 pitches", True),
        ("Practice, not counted", False),
    ]
    assert [one.uuid for one in page.earlier] == [old.uuid]


def test_sums_of_7_and_28_days_are_the_least_where_days_are_unknown(person, cast, facility):
    enter_all_none(person, but=[TUESDAY])
    ThrowCountFactory(athlete=person, pitches=45)
    ThrowCountFactory(athlete=person, date=DAY - 20 * ONE_DAY, pitches=50)
    page = throwing_page(person, cast["guardian"], facility, DAY)
    assert page.sums[0] == "45 pitches in 7 days."
    assert page.sums[1].startswith("At least 95 pitches in 28 days; nobody entered twelve of them")


def test_the_bars_show_what_the_days_hold(person, cast, facility):
    ThrowCountFactory(athlete=person, pitches=45)
    page = throwing_page(person, cast["guardian"], facility, DAY)
    assert page.day_bars.count('class="entered"') == 1
    assert page.day_bars.count(">?</text>") == 13
    assert ">45</text>" in page.day_bars
    assert page.week_bars.count('class="entered"') == 1


def test_the_file_holds_a_row_for_each_day_of_which_something_is_known(person, cast):
    ThrowCountFactory(athlete=person, pitches=45, is_game=True)
    ThrowCountFactory(athlete=person, date=DAY - 9 * ONE_DAY, pitches=0)
    head, *rows = throwing_table(person, cast["coach"], DAY)
    assert len(head) == 9
    assert [tuple(row) for row in rows] == [
        (DAY - 9 * ONE_DAY, 0, 0, 0, 0, 0, 0, "yes", ""),
        (DAY, 45, 0, 0, 45, 1, 0, "", ""),
    ]


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"pitches": 1}, "Practice, 1 pitch"),
        ({"pitches": 0}, "No throwing"),
        ({"pitches": None, "is_game": True}, "Game, not counted"),
        ({"pitches": 60, "is_game": True, "ended_on": DAY + ONE_DAY}, "Game, 60 pitches, past midnight"),
    ],
)
def test_an_entry_in_words(told, words):
    assert told_of(ThrowCount(date=DAY, **told)) == words


@pytest.mark.parametrize(
    ("reader", "by", "may"),
    [
        ("coach", "guardian", True),
        ("clinician", "visiting_coach", True),
        ("guardian", "athlete_user", True),
        ("athlete_user", "guardian", True),
        ("guardian", "coach", False),
        ("visiting_coach", "guardian", False),
        ("visiting_coach", "visiting_coach", True),
        ("guardian", None, False),
    ],
)
def test_who_may_change_an_entry(cast, reader, by, may):
    count = ThrowCount(athlete=cast.athlete, date=DAY, pitches=4, entered_by=cast[by] if by else None)
    assert may_change(count, cast[reader]) is may


def test_it_asks_as_often_for_a_season_as_for_a_day(person, cast, facility, django_assert_num_queries):
    asked = []
    for days in (range(1), range(1, 60)):
        for back in days:
            ThrowCountFactory(athlete=person, date=DAY - back * ONE_DAY, entered_by=cast["guardian"])
            ThrowFactory(session=CaptureSessionFactory(athlete=person, date=DAY - back * ONE_DAY))
        loaded = Athlete.objects.with_facts().get(pk=person.pk)
        with django_assert_num_queries(4):
            asked.append(len(throwing_page(loaded, cast["guardian"], facility, DAY).rows))
    assert asked == [14, 14]
