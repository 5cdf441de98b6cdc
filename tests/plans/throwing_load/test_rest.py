"""Rest: the reference's worked example, birthdays, broken rests, midnight, what nobody entered, and a slow version."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.throwing_load import Chart, State, asked_by, days_between, load_guideline, opening_on
from tests.plans.throwing_load.logs import TWELVE, november, opening, quiet, rest_is_full, threw

ONE_DAY = datetime.timedelta(days=1)
FIFTEEN_ON_WEDNESDAY = datetime.date(2011, 11, 25)


def test_the_references_worked_example():
    """ "A rest day is a full calendar day: 60 pitches at age 12 on Monday (3 days) means Friday." """
    found = opening(threw(23, 60), on=23)

    assert (found.today.rest_days, found.open_on) == (3, november(27))
    assert found.open_on.strftime("%A") == "Friday"


@pytest.mark.parametrize(
    ("on", "state", "left"),
    [(24, State.RESTING, 3), (25, State.RESTING, 2), (26, State.RESTING, 1), (27, State.OPEN, 0)],
)
def test_the_rest_runs_off_day_by_day_and_opens_by_itself(on, state, left):
    found = opening(*rest_is_full(threw(23, 60), on=on), on=on)

    assert (found.state, found.rest_left, found.open_on) == (state, left, november(27))
    assert found.is_certain


def test_few_pitches_ask_for_no_day_of_rest():
    assert opening(*rest_is_full(threw(23, 20), on=23), on=23).open_on == november(24)


def test_two_outings_of_a_day_are_judged_together():
    """15 and 25 alone ask for none and one; 40 ask for two."""
    assert opening(threw(23, 15), threw(23, 25), on=23).open_on == november(26)


def test_more_than_the_daily_maximum_is_the_least_that_the_guideline_says():
    found = opening(*rest_is_full(threw(23, 100), on=24), on=24)

    assert (found.last.over, found.last.at_least, found.open_on) == (15, True, november(28))
    assert (found.vague, found.is_certain) == ((november(23),), False)


def test_an_older_day_with_a_longer_rest_counts():
    found = opening(*rest_is_full(threw(21, 85), threw(25, 10), on=25), on=25)

    assert (found.because.day.date, found.open_on) == (november(21), november(27))


def test_pitches_inside_a_rest_are_named_and_the_rest_is_owed_in_full_days():
    """Four days for Saturday's 85; Sunday rests, Monday throws: three are left, Tuesday to Thursday."""
    found = opening(*rest_is_full(threw(21, 85), threw(23, 10), on=24), on=24)

    assert (found.broken, found.rest_left, found.open_on) == ((november(23),), 3, november(27))


def test_pitches_today_inside_a_rest_are_named_too():
    assert opening(*rest_is_full(threw(22, 85), on=24), threw(24, 5), on=24).broken == (november(24),)


def test_a_birthday_inside_the_rest_does_not_shorten_it():
    """40 pitches ask for two days at 14 and for one at 15."""
    found = opening(*rest_is_full(threw(24, 40), on=26), on=26, born=FIFTEEN_ON_WEDNESDAY)

    assert (found.because.age, found.today.age, found.open_on) == (14, 15, november(27))


def test_pitches_on_the_birthday_go_by_the_new_age():
    found = opening(*rest_is_full(threw(25, 40), on=25), on=25, born=FIFTEEN_ON_WEDNESDAY)

    assert (found.today.age, found.open_on) == (15, november(27))


def test_too_young_has_no_guideline_until_the_seventh_birthday():
    seventh = datetime.date(2019, 11, 25)
    before = opening(*rest_is_full(threw(24, 45), on=24), on=24, born=seventh)
    after = opening(*rest_is_full(threw(24, 45), on=25), on=25, born=seventh)

    assert (before.state, before.open_on, before.today.rest_days) == (State.NO_GUIDELINE, None, None)
    assert (after.state, after.last.rest_days, after.open_on) == (State.OPEN, None, november(25))


def test_too_old_keeps_the_rest_of_the_day_before_the_birthday_and_then_has_no_guideline():
    turns_23 = datetime.date(2003, 11, 25)
    during = opening(*rest_is_full(threw(24, 50), on=25), on=25, born=turns_23)
    after = opening(*rest_is_full(threw(24, 50), on=27), on=27, born=turns_23)

    assert (during.state, during.open_on) == (State.RESTING, november(27))
    assert (after.state, after.open_on) == (State.NO_GUIDELINE, None)


def test_without_a_birth_date_nothing_is_said():
    found = opening(threw(24, 45), on=24, born=None)

    assert (found.state, found.open_on, found.today.age) == (State.NO_GUIDELINE, None, None)


def test_no_third_day_in_a_row():
    """Reference, year's rules: "no third consecutive day"."""
    twice = [threw(23, 10), threw(24, 10)]
    same_day = opening(*rest_is_full(*twice, on=24), on=24)
    next_day = opening(*rest_is_full(*twice, on=25), on=25)
    day_after = opening(*rest_is_full(*twice, on=26), on=26)

    assert (same_day.put_off, same_day.open_on) == (True, november(26))
    assert (next_day.state, next_day.put_off, next_day.open_on) == (State.THIRD_DAY, True, november(26))
    assert (day_after.state, day_after.put_off, day_after.open_on) == (State.OPEN, False, november(26))


def test_a_rest_that_is_longer_anyway_is_not_put_off():
    assert not opening(*rest_is_full(threw(23, 10), threw(24, 30), on=24), on=24).put_off


def test_the_day_that_a_game_ran_into_is_no_full_day_of_rest():
    usual = opening(threw(23, 40), on=23)
    late = opening(threw(23, 40, ended_on=november(24)), on=23)
    later = opening(*rest_is_full(threw(23, 40, ended_on=november(24)), on=25), on=25)

    assert (usual.open_on, late.open_on, later.open_on) == (november(26), november(27), november(27))
    assert late.today.open_on == november(27)


def test_a_late_game_with_few_pitches_asks_for_nothing_more():
    assert opening(threw(23, 15, ended_on=november(24)), on=23).open_on == november(24)


def test_days_that_nobody_entered_are_named_only_where_they_could_move_the_answer():
    """Before Monday's two days, only Saturday and Sunday could ask for more than Thursday (four days at most)."""
    found = opening(threw(23, 45), on=24)

    assert (found.open_on, found.unknown) == (november(26), (november(21), november(22)))
    assert not found.is_certain


def test_a_silent_day_inside_the_rest_could_move_it():
    assert november(24) in opening(*rest_is_full(threw(23, 45), on=23), on=25).unknown


def test_days_before_the_first_that_was_given_are_unknown():
    found = opening_on(days_between(quiet(23), november(23), november(24)), TWELVE, load_guideline())

    assert found.unknown == tuple(map(november, (20, 21, 22)))


def test_an_outing_without_a_number_leaves_the_answer_vague():
    found = opening(*rest_is_full(threw(23, None), on=24), on=24)

    assert (found.state, found.open_on, found.vague) == (State.OPEN, november(24), (november(23),))


def test_an_outing_without_a_number_is_one_pitch_at_least():
    """20 ask for no day at 12, 21 for one."""
    assert opening(threw(24, 20), threw(24, None), on=24).open_on == november(26)


def test_too_many_pitches_long_ago_leave_nothing_vague():
    """The longest rest at 12 is four days: Thursday the 19th could speak until Monday, not on Tuesday."""
    before = opening(*rest_is_full(threw(19, 100), on=23), on=23)
    after = opening(*rest_is_full(threw(19, 100), on=24), on=24)

    assert (before.vague, after.vague) == ((november(19),), ())


def test_a_silent_day_further_back_matters_where_a_rest_was_broken_again_and_again():
    """Four days from the 1st, with pitches on the 4th and the 6th: the fourth full day is the 7th."""
    assert november(1) in opening(*rest_is_full(threw(4, 1), threw(6, 1), on=7)[:2], *quiet(2, 3, 5), on=7).unknown


def test_an_old_outing_without_a_number_is_over():
    assert opening(*rest_is_full(threw(18, None), on=24), on=24).is_certain


def test_the_canadian_chart_is_another_answer():
    """25 pitches at 12: none to 30 there, one day from 21 here."""
    assert opening(threw(24, 25), on=24, chart=Chart.CANADIAN).today.rest_days == 0
    assert opening(threw(24, 25), on=24).today.rest_days == 1


def test_a_gap_in_the_days_and_no_days_are_refused():
    days = days_between([], november(20), november(24))

    with pytest.raises(ValueError, match="without a gap"):
        opening_on([days[0], days[2]], TWELVE, load_guideline())
    with pytest.raises(ValueError, match="No days"):
        opening_on([], TWELVE, load_guideline())


def test_a_day_before_the_birth_is_refused():
    with pytest.raises(ValueError, match="before the birth"):
        opening(on=24, born=november(10))


DAYS = st.lists(st.tuples(st.integers(0, 110), st.booleans()), min_size=1, max_size=12)


@settings(max_examples=300, deadline=None)
@given(DAYS, st.dates(datetime.date(2003, 11, 1), datetime.date(2019, 11, 20)))
def test_opening_agrees_with_a_slow_version(log, born):
    """The first day on which every earlier day with pitches has its full calendar days without any, and no third.

    Written over all pairs of days instead of day by day; a day that a game ran into is no full day.
    """
    last = len(log)
    counts = [threw(n, p, ended_on=november(n + 1) if late and p else None) for n, (p, late) in enumerate(log, 1)]
    days = {day.date: day for day in days_between(counts, november(1), november(last))}
    found = opening_on(list(days.values()), born, load_guideline())

    thrown = {date for date, day in days.items() if day.threw}
    hurt = thrown | {date + ONE_DAY for date in thrown if days[date].ran_past_midnight}
    rests = {date: asked_by(days[date], born, load_guideline()).rest_days or 0 for date in thrown}

    def is_open(date):
        full = all(
            sum(day + (back + 1) * ONE_DAY not in hurt for back in range((date - day).days - 1)) >= rest
            for day, rest in rests.items()
        )
        return full and not {date - ONE_DAY, date - 2 * ONE_DAY} <= thrown

    day = november(last) + (ONE_DAY if november(last) in thrown else 0 * ONE_DAY)
    while not is_open(day):
        day += ONE_DAY
    if found.open_on is None:
        assert load_guideline().band_for(load_guideline().age_on(born, november(last))) is None
        assert not found.rest_left
    else:
        assert found.open_on == day


@settings(deadline=None)
@given(DAYS, st.integers(0, 11), st.integers(0, 85))
def test_what_is_certain_does_not_change_when_a_silent_day_turns_out_to_be_a_pitching_day(log, silent, pitches):
    """Take one day's entry away: either the answer names it as unknown, or any entry up to the maximum agrees."""
    last = len(log) + 1
    silent = 1 + silent % len(log)
    counts = [threw(number, min(one, 85)) for number, (one, _) in enumerate(log, 1) if number != silent]
    without = opening(*counts, on=last)
    with_it = opening(*counts, threw(silent, pitches), on=last)

    if november(silent) not in without.unknown:
        assert with_it.open_on <= without.open_on
