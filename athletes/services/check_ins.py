"""How do you feel today? The answer, and taking it back."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, CheckIn, Feeling, PainReport, User
from athletes.services.care import lock_athletes, report_pain
from athletes.services.change_log import record_change
from athletes.services.validation import logged, save_valid
from athletes.services.withdrawal import withdraw
from athletes.today import facility_today
from athletes.words import date_words

MOST_CHARACTERS = 120
FIELDS = ("date", "feeling", "words", "is_here")


@transaction.atomic
def check_in(
    *,
    athlete: Athlete,
    feeling: str,
    by: User,
    words: str = "",
    is_here: bool = False,
    how_much: int | None = None,
    since: dt.date | None = None,
) -> CheckIn:
    """One answer, of the facility's date; the last of a day counts, and the same answer twice is one row.

    `words`: the place, for example forearm; *pain* needs it and always makes a pain report, which only a clearance
    ends. `is_here` counts from staff alone: the others answer from home. `how_much` 0 to 10 and `since` belong to
    pain. Raises ValidationError and stores nothing. While consent is withdrawn only pain is taken.
    """
    told = _words(feeling, words)
    if feeling != Feeling.PAIN:
        _require_processing(athlete)
    lock_athletes([athlete.pk])  # two taps at once
    today, here = facility_today(), is_here and by.is_coaching_staff
    last = CheckIn.objects.filter(athlete=athlete, date=today).first()
    if last is not None and _says_the_same(last, feeling, told, here):
        return last
    row = CheckIn(athlete=athlete, date=today, at=timezone.now(), feeling=feeling, words=told, is_here=here, by=by)
    if feeling == Feeling.PAIN:
        row.pain_report = _report(athlete, told, by, how_much, since)
    save_valid(row)
    # The word is the athlete's: the log outlives an erasure.
    record_change(
        by=by, action="checkin.given", row=row, athlete_uuid=athlete.uuid, after=logged(row, ("date", "is_here"))
    )
    return row


def take_back_check_in(*, check_in: CheckIn, by: User) -> CheckIn:
    """Hides the answer; the one before it counts again. A pain report stays: only a clearance ends pain."""
    return withdraw(row=check_in, athlete=check_in.athlete, by=by, reason="taken back")


def _words(feeling: str, words: str) -> str:
    if feeling not in Feeling.values:
        raise ValidationError({"feeling": f"“{feeling[:40]}” is no answer. Say fine, sore muscles or pain."})
    told = " ".join(words.split())
    if len(told) > MOST_CHARACTERS:
        raise ValidationError({"words": f"At most {MOST_CHARACTERS} characters fit; these are {len(told):,}."})
    return told


def _require_processing(athlete: Athlete) -> None:
    withdrawn_on = Athlete.everything.values_list("consent_withdrawn_on", flat=True).get(pk=athlete.pk)
    if withdrawn_on is not None:
        raise ValidationError(
            f"Consent was withdrawn on {date_words(withdrawn_on)}: only pain is taken down until it is given again."
        )


def _says_the_same(last: CheckIn, feeling: str, words: str, is_here: bool) -> bool:
    """A pain that was cleared since is said anew; an arrival after an answer from home is news."""
    if (last.feeling, last.words.casefold()) != (feeling, words.casefold()) or (is_here and not last.is_here):
        return False
    return feeling != Feeling.PAIN or PainReport.objects.open().filter(check_ins=last).exists()


def _report(athlete: Athlete, where: str, by: User, how_much: int | None, since: dt.date | None) -> PainReport:
    """The report of this pain: the one that is open for the same place, where nothing new was said."""
    known = PainReport.objects.open().filter(athlete=athlete, where__iexact=where, how_much=how_much, since=since)
    return known.first() or report_pain(athlete=athlete, where=where, by=by, how_much=how_much, since=since)
