"""Throws of a day: entered, changed, withdrawn and brought back."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.services.change_log import record_change
from athletes.services.validation import logged, save_valid
from athletes.services.withdrawal import restore, withdraw
from athletes.today import facility_today
from athletes.words import date_words
from plans.models import ThrowCount
from plans.throwing_load import MOST_PITCHES

ONE_DAY = dt.timedelta(days=1)
OLDEST = dt.timedelta(days=366)
"""Nothing here looks further back; a year typed wrongly is caught. House opinion."""
TWICE_WITHIN = dt.timedelta(minutes=1)
GAME, PRACTICE, NONE = "game", "practice", "none"
WHAT = {GAME: "game", PRACTICE: "practice", NONE: "no throwing"}
FIELDS = ("date", "ended_on", "pitches", "is_game")
MOST_CHARACTERS = 120


@transaction.atomic
def enter_throws(
    *,
    athlete: Athlete,
    date: dt.date,
    what: str,
    by: User,
    pitches: int | None = None,
    nobody_counted: bool = False,
    past_midnight: bool = False,
    words: str = "",
    again: bool = False,
) -> ThrowCount:
    """One outing, or a day without throws. `again`: it is another one, although the same was entered a minute ago.

    Raises ValidationError with what is wrong at each field, and stores nothing. While consent is withdrawn nothing is
    entered.
    """
    kept = Athlete.everything.select_for_update().get(pk=athlete.pk)  # two taps at once
    _require_processing(kept)
    told = _values(kept, date, what, pitches, nobody_counted, past_midnight, words)
    if not again:
        _ask_about_the_same(kept, told)
    row = ThrowCount(athlete=kept, entered_at=timezone.now(), entered_by=by, **told)
    save_valid(row)
    _log(by, "throws.entered", row)
    return row


@transaction.atomic
def change_throws(
    *,
    count: ThrowCount,
    date: dt.date,
    what: str,
    by: User,
    pitches: int | None = None,
    nobody_counted: bool = False,
    past_midnight: bool = False,
    words: str = "",
) -> ThrowCount:
    """Another number, day or kind for an entry; what stood before is in the change log. Raises ValidationError."""
    row = ThrowCount.everything.select_for_update().select_related("athlete").get(pk=count.pk)
    if row.withdrawn_at is not None:
        raise ValidationError("Somebody took this entry away meanwhile. Enter it again if it is right.")
    _require_processing(row.athlete)
    before = logged(row, FIELDS)
    for name, value in _values(row.athlete, date, what, pitches, nobody_counted, past_midnight, words).items():
        setattr(row, name, value)
    save_valid(row)
    _log(by, "throws.changed", row, before)
    return row


def withdraw_throws(*, count: ThrowCount, by: User) -> ThrowCount:
    return withdraw(row=count, athlete=count.athlete, by=by, reason="taken back")


def restore_throws(*, count: ThrowCount, by: User) -> ThrowCount:
    return restore(row=count, athlete=count.athlete, by=by)


def _values(
    athlete: Athlete,
    date: dt.date,
    what: str,
    pitches: int | None,
    nobody_counted: bool,
    past_midnight: bool,
    words: str,
) -> dict[str, Any]:
    """The fields of a row. Raises ValidationError with every sentence at once."""
    wrong = {"date": _wrong_day(athlete, date, past_midnight), "what": "", "pitches": "", "words": ""}
    told = " ".join(words.split())
    if what not in WHAT:
        wrong["what"] = f"“{what[:40]}” is none of these. Choose game, practice or no throwing."
    else:
        wrong["pitches"] = _wrong_number(what, pitches, nobody_counted)
    if what == NONE and past_midnight:
        wrong["what"] = "A day without throws cannot run past midnight. Change one of the two."
    if len(told) > MOST_CHARACTERS:
        wrong["words"] = f"At most {MOST_CHARACTERS} characters fit; these are {len(told):,}."
    if found := {name: sentence for name, sentence in wrong.items() if sentence}:
        raise ValidationError(found)
    return {
        "date": date,
        "ended_on": date + ONE_DAY if past_midnight else None,
        "pitches": 0 if what == NONE else None if nobody_counted else pitches,
        "is_game": what == GAME,
        "words": told,
    }


def _wrong_day(athlete: Athlete, date: dt.date, past_midnight: bool) -> str:
    today = facility_today()
    if date > today:
        return f"{date_words(date)} lies ahead (today is {date_words(today)}). Enter throws after they are thrown."
    if date < athlete.birth_date:
        return f"{date_words(date)} is before the birth. Check the year."
    if date < today - OLDEST:
        return f"{date_words(date)} is more than a year ago. Check the year."
    if date == today and past_midnight:
        return "What began today has not run past midnight yet. Give the day on which it began."
    return ""


def _wrong_number(what: str, pitches: int | None, nobody_counted: bool) -> str:
    if what == NONE:
        return "" if not pitches and not nobody_counted else "No throwing, and pitches too: change one of the two."
    if nobody_counted:
        return "" if pitches is None else "A number, and that nobody counted: keep one of the two."
    if pitches is None:
        return "Write the number of pitches, or tick that nobody counted."
    if pitches == 0:
        return "For a day without pitches choose “no throwing”."
    if not 0 < pitches <= MOST_PITCHES:
        return f"{pitches} pitches in one outing cannot be. Write a number from 1 to {MOST_PITCHES}."
    return ""


def _ask_about_the_same(athlete: Athlete, told: dict[str, Any]) -> None:
    same = {name: told[name] for name in FIELDS}
    if ThrowCount.objects.filter(athlete=athlete, entered_at__gt=timezone.now() - TWICE_WITHIN, **same).exists():
        raise ValidationError(
            {"again": "The same was entered less than a minute ago. If it is another outing, tick this and send again."}
        )


def _require_processing(athlete: Athlete) -> None:
    if athlete.consent_withdrawn_on is not None:
        on = date_words(athlete.consent_withdrawn_on)
        raise ValidationError(f"Consent was withdrawn on {on}: no throws are entered until it is given again.")


def _log(by: User, action: str, row: ThrowCount, before: dict[str, Any] | None = None) -> None:
    """The words are somebody’s own: the log outlives an erasure."""
    record_change(
        by=by,
        action=action,
        row=row,
        athlete_uuid=row.athlete.uuid,
        before=before or {},
        after=logged(row, FIELDS),
    )
