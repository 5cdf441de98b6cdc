"""Consent: who agreed to which text, and who took it back."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import Athlete, Consent, ConsentText, User
from athletes.services.change_log import record_change
from athletes.services.validation import logged, require_not_future, require_text, save_valid
from athletes.today import facility_today
from athletes.words import date_words


@transaction.atomic
def record_consent(
    *,
    athlete: Athlete,
    given_by_name: str,
    relation: str,
    given_on: dt.date,
    by: User | None,
    text: ConsentText | None = None,
    given_by: User | None = None,
) -> Consent:
    """A consent to `text`, or to the text in force on that date. Raises ValidationError when there is none.

    `given_by` is the account that agreed by itself; without it a coach recorded what was signed on paper.
    """
    require_not_future(given_on, facility_today(), "given_on", "A consent")
    agreed = text or ConsentText.objects.filter(valid_from__lte=given_on).order_by("-valid_from", "-id").first()
    if agreed is None:
        raise ValidationError("No consent text was in force on that date. An admin enters it first.")
    consent = Consent(
        athlete=athlete,
        text=agreed,
        given_by_name=require_text(given_by_name, "given_by_name", "The name of who agreed"),
        relation=require_text(relation, "relation", "The relation to the athlete"),
        given_on=given_on,
        given_by=given_by,
        recorded_by=by,
    )
    save_valid(consent)
    note_standing(athlete)
    # The name stays in the consent: the log outlives an erasure.
    record_change(
        by=by,
        action="consent.recorded",
        row=athlete,
        athlete_uuid=athlete.uuid,
        after={**logged(consent, ("relation", "given_on")), "text": agreed.version},
    )
    return consent


@transaction.atomic
def withdraw_consent(*, consent: Consent, on: dt.date, by: User, reason: str = "") -> Consent:
    """From that date on nothing of the athlete is processed until a consent is given again."""
    row = Consent.objects.select_for_update().get(pk=consent.pk)
    if row.withdrawn_on is not None:
        return row
    require_not_future(on, facility_today(), "withdrawn_on", "A withdrawal")
    if on < row.given_on:
        raise ValidationError({"withdrawn_on": f"The consent was given on {date_words(row.given_on)}, after that."})
    row.withdrawn_on, row.withdrawn_by = on, by
    save_valid(row, fields=["withdrawn_on", "withdrawn_by"])
    note_standing(row.athlete)
    record_change(
        by=by,
        action="consent.withdrawn",
        row=row.athlete,
        athlete_uuid=row.athlete.uuid,
        after=logged(row, ("given_on", "withdrawn_on")),
        reason=reason,
    )
    return row


def note_standing(athlete: Athlete) -> None:
    """`consent_withdrawn_on` of the athlete: set while every consent that was ever given is taken back.

    Readers of sessions ask this column: they cannot afford to ask for every consent.
    """
    rows = Consent.objects.filter(athlete=athlete)
    standing = rows.filter(withdrawn_on=None).exists()
    last = None if standing else rows.order_by("-withdrawn_on").values_list("withdrawn_on", flat=True).first()
    Athlete.everything.filter(pk=athlete.pk).update(consent_withdrawn_on=last)
    athlete.consent_withdrawn_on = last
