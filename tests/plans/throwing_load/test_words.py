"""The sentences, as coach and family read them."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.throwing_load import (
    Chart,
    Count,
    Source,
    day_name,
    days_between,
    load_guideline,
    load_words,
    rolling,
    span_sentence,
    time_off,
    year_reminders,
    year_sentences,
)
from tests.plans.throwing_load.logs import TWELVE, november, opening, quiet, rest_is_full, threw
from tests.reading import reading_grade

FIFTEEN_ON_WEDNESDAY = datetime.date(2011, 11, 25)
SIX, TWENTY = datetime.date(2020, 1, 1), datetime.date(2006, 3, 1)


def words(*counts, on, born=TWELVE, chart=Chart.CURRENT, **options):
    return load_words(opening(*counts, on=on, born=born, chart=chart), load_guideline(chart), **options)


def main(*counts, on, born=TWELVE) -> str:
    return words(*rest_is_full(*counts, on=on), on=on, born=born).main


@pytest.mark.parametrize(
    ("counts", "on", "sentence"),
    [
        ([threw(24, 45)], 24, "45 pitches today: two days of rest, open again on Friday."),
        ([threw(24, 45)], 25, "45 pitches on Tuesday: two days of rest, open again on Friday."),
        ([threw(24, 45)], 27, "45 pitches on Tuesday: two days of rest, open today."),
        ([threw(24, 25)], 25, "25 pitches on Tuesday: one day of rest, open again on Thursday."),
        ([threw(24, 1)], 24, "1 pitch today: no day of rest asked for, open again on Wednesday."),
        ([threw(13, 45)], 24, "45 pitches on Friday 13 November: two days of rest, open today."),
        ([threw(24, 95)], 24, "95 pitches today: at least four days of rest, open again not before Sunday."),
        (
            [threw(24, None)],
            24,
            "Pitches that nobody counted today: the rest is not known, open again not before Wednesday.",
        ),
        (
            [threw(24, None)],
            25,
            "Pitches that nobody counted on Tuesday: the rest is not known, open today at the earliest.",
        ),
        (
            [threw(24, None), threw(24, 40)],
            24,
            "At least 40 pitches today: at least two days of rest, open again not before Friday.",
        ),
        (
            [threw(21, 85), threw(24, 10)],
            24,
            "10 pitches today, inside the rest that 85 pitches on Saturday ask for. "
            "Two full days of it are left: open again on Friday.",
        ),
        (
            [threw(20, 85), threw(24, 10)],
            25,
            "10 pitches on Tuesday, inside the rest that 85 pitches on Friday ask for. "
            "One full day of it is left: open again on Thursday.",
        ),
        (
            [threw(19, 85), threw(24, 10)],
            25,
            "10 pitches on Tuesday: no day of rest asked for, open today.",
        ),
        ([], 24, "No pitches are entered in these days: open today."),
    ],
)
def test_the_sentence_of_the_day(counts, on, sentence):
    assert main(*counts, on=on) == sentence


@pytest.mark.parametrize(
    ("born", "sentence"),
    [
        (SIX, "45 pitches on Tuesday. The published guideline holds ages 7 to 22 and says nothing for age 6."),
        (
            datetime.date(2003, 1, 1),
            "45 pitches on Tuesday. The published guideline holds ages 7 to 22 and says nothing for age 23.",
        ),
        (
            None,
            "45 pitches on Tuesday. There is no birth date, and the guideline goes by age: it says nothing here.",
        ),
    ],
)
def test_without_a_row_nothing_is_invented(born, sentence):
    assert main(threw(24, 45), on=25, born=born) == sentence


def test_a_seventh_birthday_after_the_pitches():
    assert main(threw(24, 45), on=25, born=datetime.date(2019, 11, 25)) == (
        "45 pitches on Tuesday. The published guideline holds ages 7 to 22 and says nothing for age 6. Open today."
    )


def test_a_twenty_third_birthday_after_the_rest():
    assert main(threw(24, 35), on=26, born=datetime.date(2003, 11, 26)) == (
        "35 pitches on Tuesday: one day of rest. "
        "The published guideline holds ages 7 to 22 and says nothing for age 23."
    )


@pytest.mark.parametrize(
    ("entered", "note"),
    [
        (range(1, 24), "Nobody entered Tuesday: with pitches then, it may open later."),
        (range(1, 23), "Nobody entered Monday and Tuesday: with pitches then, it may open later."),
        (range(1, 21), "Nobody entered the last four days: with pitches then, it may open later."),
        ((*range(1, 20), 22), "Nobody entered Saturday, Monday and Tuesday: with pitches then, it may open later."),
    ],
)
def test_days_that_nobody_entered_are_said_and_never_taken_as_none(entered, note):
    said = words(*quiet(*entered), on=25)

    assert said.notes[0] == note
    assert said.main == "No pitches are entered in these days: open today as far as is entered."


def test_many_silent_days_among_entered_ones_are_counted():
    said = words(threw(24, 10), on=25)

    assert said.notes[0] == "Nobody entered four of the last five days: with pitches then, it may open later."


def notes(*counts, on, **options) -> tuple[str, ...]:
    return words(*rest_is_full(*counts, on=on), on=on, **options).notes


@pytest.mark.parametrize(
    ("counts", "on", "born", "note"),
    [
        ([threw(24, 95)], 24, TWELVE, "10 more than the 85 a day at age 12; the guideline names no rest for so many."),
        (
            [threw(24, 110)],
            24,
            TWENTY,
            "That 110 pitches ask for five days at age 20 is from memory: check it in the chart.",
        ),
        ([threw(24, 40)], 25, FIFTEEN_ON_WEDNESDAY, "The rest goes by age 14, the age on the day of the pitches."),
        ([threw(23, 5), threw(24, 5)], 24, TWELVE, "That makes two days in a row; the guideline asks for no third."),
        (
            [threw(22, 5), threw(23, 5), threw(24, 5)],
            24,
            TWELVE,
            "Today is a third day in a row with pitches; the guideline asks for no third.",
        ),
        (
            [threw(21, 85), threw(23, 5), threw(24, 60)],
            24,
            TWELVE,
            "Pitches on Monday and today fell inside a rest; only full days count, so what was left began after them.",
        ),
        (
            [threw(22, None), threw(24, 5)],
            24,
            TWELVE,
            "Of the pitches on Sunday the guideline only tells the least rest: it may open later.",
        ),
        (
            [threw(24, 5, is_game=True), threw(24, 6, is_game=True)],
            24,
            TWELVE,
            "Two games today; the guideline says one game a day.",
        ),
        (
            [threw(24, 5, ended_on=november(25))],
            24,
            TWELVE,
            "It ran past midnight: all its pitches count for the day it began, and the next day is "
            "no full day of rest.",
        ),
        (
            [threw(24, 20), threw(24, 5, source=Source.DRILL)],
            24,
            TWELVE,
            "20 entered and 5 counted in drills are added together; take one away where they are the same throws.",
        ),
        ([threw(24, 20), threw(24, 5)], 24, TWELVE, "Two outings today are judged as one day."),
        (
            [threw(24, 0), threw(24, 5)],
            24,
            TWELVE,
            "Today “no throwing” was entered, and pitches too: change one of them.",
        ),
        (
            [threw(24, 25, source=Source.SESSION)],
            24,
            TWELVE,
            "Only what was counted here: nobody entered other throwing today.",
        ),
    ],
)
def test_a_note_and_no_other(counts, on, born, note):
    found = notes(*counts, on=on, born=born)

    assert note in found
    assert len(found) <= 2  # two games are also two outings; nothing else comes in pairs


def test_a_usual_day_has_no_note():
    assert notes(threw(24, 45), on=25) == ()


def test_a_rest_from_memory_is_said_as_long_as_it_runs():
    assert "That 110 pitches ask for five days at age 20 is from memory: check it in the chart." in notes(
        threw(20, 110), threw(24, 5), on=25, born=TWENTY
    )


def test_a_broken_rest_that_the_sentence_tells_is_not_told_again():
    assert notes(threw(21, 85), threw(24, 10), on=24) == ()


def test_a_family_is_spared_how_counts_were_put_together_and_nothing_that_moves_the_date():
    counts = [threw(24, 90), threw(24, 25, source=Source.SESSION)]

    assert len(notes(*counts, on=24)) == 3
    assert notes(*counts, on=24, for_family=True) == (
        "30 more than the 85 a day at age 12; the guideline names no rest for so many.",
    )


@pytest.mark.parametrize(
    ("chart", "basis"),
    [
        (Chart.CURRENT, "Published youth guideline, current chart: at age 12 at most 85 pitches a day."),
        (Chart.ABOUT_2015, "Published youth guideline, chart of about 2015, since replaced: ages 17 to 22."),
        (
            Chart.CANADIAN,
            "Published Canadian youth rule, as a local association posts it: at age 12 at most 85 pitches a day.",
        ),
    ],
)
def test_the_basis_names_chart_age_and_daily_maximum(chart, basis):
    assert words(on=24, chart=chart).basis == basis


def test_local_rules_and_clinicians_always_come_before():
    own = words(on=24, local_rules="  At most 40 pitches a day,\n no curveballs. ")

    assert words(on=24).precedence == (
        "Rules of the league or team win over this guideline.",
        "Pain, or limits set by a clinician, come before every number here.",
    )
    assert own.precedence[0] == ("Rules here: “At most 40 pitches a day, no curveballs”. They win over this guideline.")


def test_who_is_stopped_is_never_told_that_a_day_is_open():
    """Whatever the chart says, silent days included: a stop by pain or a clinician is not the chart's to end."""
    for on in (25, 27):
        said = words(threw(22, None), threw(24, 45), on=on, is_stopped=True)

        assert said.main == "45 pitches on Tuesday: two days of rest, closed until throwing is cleared."
        assert "open" not in " ".join([*said.notes, *said.precedence])


@pytest.mark.parametrize("born", [TWELVE, SIX, datetime.date(2019, 11, 25), None])
def test_who_is_stopped_reads_so_at_every_age(born):
    said = words(threw(24, 45), on=25, born=born, is_stopped=True)

    assert "open" not in " ".join([said.main, *said.notes]).lower()
    assert (
        said.precedence[1] == "Throwing is stopped: it stays closed until it is cleared, whatever the guideline says."
    )


def test_sums_say_what_they_lack():
    days = days_between([*quiet(20, 21), threw(22, 30), threw(24, None)], november(1), november(24))
    whole = days_between([*quiet(*range(18, 24)), threw(24, 30)], november(18), november(24))

    assert span_sentence(rolling(days)[-1].short) == (
        "At least 30 pitches in 7 days; nobody entered three of them; one count has no number."
    )
    assert span_sentence(rolling(whole)[-1].short) == "30 pitches in 7 days."


def year(throwing=(), off=()):
    last = november(24)
    counts = [Count(last - datetime.timedelta(days=one), 20) for one in throwing]
    counts += [Count(last - datetime.timedelta(days=one), 0) for one in off]
    return year_sentences(time_off(days_between(counts, last - datetime.timedelta(days=364), last)))


WEEKLY = range(0, 365, 7)
BETWEEN = sorted(set(range(365)) - set(WEEKLY))


@pytest.mark.parametrize(
    ("throwing", "off", "sentence"),
    [
        (range(120, 365), range(120), "Four months were off, two of them in a row."),
        (WEEKLY, BETWEEN, "Four months were off, but no two of them in a row, which the guideline asks for."),
        ((), [one for one in range(365) if one % 3], "Four months were off; whether two were in a row can’t be told."),
        (range(365), (), "Fewer than four months were off; the guideline asks for four, two of them in a row."),
        (range(0, 365, 59), (), "No two months in a row were off, which the guideline asks for."),
        ((), range(60), "Whether four months were off can’t be told from days that nobody entered."),
    ],
)
def test_the_year_is_told_only_as_far_as_the_days_tell_it(throwing, off, sentence):
    assert year(throwing, off)[1] == sentence


def test_the_year_counts_its_days():
    assert year([0, 2], range(10, 20))[0] == (
        "In the last 12 months: pitches on 2 days, 10 days entered as no throwing, 353 that nobody entered."
    )


def test_reminders_carry_innings_only_where_the_guideline_does():
    assert year_reminders(12)[-1] == "At age 12 at most 80 innings in 12 months."
    assert [*year_reminders(12)[:-1]] == [*year_reminders(16)] == [*year_reminders(None)]


@pytest.mark.parametrize(
    ("date", "name"),
    [
        ("2026-11-24", "today"),
        ("2026-11-18", "Wednesday"),
        ("2026-11-30", "Monday"),
        ("2026-11-17", "Tuesday 17 November"),
        ("2026-12-01", "Tuesday 1 December"),
        ("2027-01-05", "Tuesday 5 January 2027"),
    ],
)
def test_a_weekday_stands_alone_only_where_it_is_one_day(date, name):
    assert day_name(datetime.date.fromisoformat(date), november(24)) == name


LOGS = st.lists(st.one_of(st.none(), st.integers(0, 130)), min_size=1, max_size=14)


@settings(deadline=None)
@given(LOGS, st.dates(datetime.date(2003, 1, 1), datetime.date(2021, 1, 1)), st.booleans(), st.booleans())
def test_any_log_makes_whole_sentences(log, born, for_family, is_stopped):
    counts = [threw(number, pitches) for number, pitches in enumerate(log, 1)]
    said = words(*counts, on=len(log) + 1, born=born, for_family=for_family, is_stopped=is_stopped)

    for sentence in (said.main, *said.notes, said.basis, *said.precedence):
        assert sentence == " ".join(sentence.split())
        assert sentence.endswith(".")
        assert sentence[0].isupper() or sentence[0].isdigit()
        assert not any(wrong in sentence for wrong in ("None", "..", " ,", " .", "{"))
        assert not (is_stopped and "open" in sentence.lower())


FAMILY_DAYS = [
    [threw(24, 45)],
    [threw(21, 85), threw(24, 10)],
    [threw(23, 5), threw(24, 5)],
    [threw(23, None)],
    [threw(24, 95)],
    [threw(21, 85), threw(23, 5), threw(24, 60)],
    [threw(23, 40, ended_on=november(24))],
]


def test_a_family_reads_at_the_grade_of_a_twelve_year_old():
    """Kincaid 1975: grade 7 over all days, 8 on the hardest, as the family's other pages."""
    grades = []
    for counts in FAMILY_DAYS:
        said = words(*rest_is_full(*counts, on=24), on=24, for_family=True)
        grades.append(reading_grade([said.main, *said.notes, *said.precedence]))

    assert max(grades) <= 8.0
    assert sum(grades) / len(grades) <= 7.0
