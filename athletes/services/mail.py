"""Letters: written in the transaction of what they tell, sent by the worker.

**At most once.** A letter is claimed before it leaves. When the process ends between the mail server's yes and our note
of it, nobody can know whether it left; it is then given up, in words, and not sent again: two letters with two
keys to one account confuse a parent more than a coach who is told to invite again. A server that is down or says no
gave a clear answer, and is asked again, at most three times in all.
"""

from __future__ import annotations

import datetime as dt
import logging

from celery import current_app
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import F
from django.utils import timezone
from kombu.exceptions import OperationalError

from athletes.broker import broker_answers
from athletes.models import OutgoingMail
from athletes.services.validation import save_valid

log = logging.getLogger(__name__)

State = OutgoingMail.State
MAX_ATTEMPTS = 3
# Before the second and the third try: a restart of a mail server takes minutes, an outage an hour. House opinion.
WAITS = (dt.timedelta(minutes=2), dt.timedelta(minutes=30))
# Far longer than EMAIL_TIMEOUT: whoever holds a claim for so long is dead.
CLAIM_HOLDS = dt.timedelta(minutes=15)
AT_ONCE = 20
SEND_TASK = "athletes.send_mail_row"  # by name: the task module imports this one
NOT_SENT = "The mail server could not be reached or refused the letter, three times."
NOT_KNOWN = "The worker stopped while the letter was leaving: it may have arrived or not, and is not sent twice."


def public_link(path: str) -> str:
    """A full address under PUBLIC_ADDRESS; never under the Host that a request names."""
    return f"{settings.PUBLIC_ADDRESS.rstrip('/') or f'http://localhost:{settings.PORT}'}{path}"


@transaction.atomic
def write_mail(to: str, subject: str, body: str, *, at: dt.datetime | None = None) -> OutgoingMail:
    """A letter that leaves once the caller's transaction stands. Raises ValidationError.

    `at` is the time of what it tells (now): with the address it names the letter again.
    """
    if "\n" in subject or "\r" in subject:
        raise ValidationError({"subject": "A subject has one line."})
    now = at or timezone.now()
    letter = OutgoingMail(to=to, subject=subject[:200], body=body, written_at=now, next_try_at=now)
    save_valid(letter)
    transaction.on_commit(lambda: _hand_over(letter.pk))
    return letter


def send_letter(pk: int) -> bool:
    """Claims and sends; True when it left. Safe twice and from two workers at once."""
    now = timezone.now()
    waiting = OutgoingMail.objects.filter(pk=pk, state=State.WAITING, claimed_at=None, next_try_at__lte=now)
    if not waiting.update(claimed_at=now, attempts=F("attempts") + 1):
        return False
    letter = OutgoingMail.objects.get(pk=pk)
    try:
        _message(letter).send()
    except OSError as error:  # every error of smtplib is one
        log.warning("Letter %s did not leave (try %s): %s", letter.uuid, letter.attempts, type(error).__name__)
        _try_later_or_give_up(letter, now)
        return False
    OutgoingMail.objects.filter(pk=pk).update(state=State.SENT, sent_at=timezone.now(), claimed_at=None, body="")
    return True


def send_what_waits() -> int:
    """Every letter whose time has come; gives up what a dead worker held. Returns how many left."""
    now = timezone.now()
    held = OutgoingMail.objects.filter(state=State.WAITING, claimed_at__lt=now - CLAIM_HOLDS)
    for pk in held.values_list("pk", flat=True):
        _give_up(pk, NOT_KNOWN)
    waiting = OutgoingMail.objects.filter(state=State.WAITING, claimed_at=None, next_try_at__lte=now)
    due = list(waiting.order_by("next_try_at").values_list("pk", flat=True)[:AT_ONCE])
    return sum(send_letter(pk) for pk in due)


def _message(letter: OutgoingMail) -> EmailMessage:
    host = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].rstrip(">") or "localhost"
    return EmailMessage(
        letter.subject, letter.body, None, [letter.to], headers={"Message-ID": f"<{letter.uuid}@{host}>"}
    )


def _try_later_or_give_up(letter: OutgoingMail, now: dt.datetime) -> None:
    if letter.attempts >= MAX_ATTEMPTS:
        _give_up(letter.pk, NOT_SENT)
        return
    later = now + WAITS[letter.attempts - 1]
    OutgoingMail.objects.filter(pk=letter.pk).update(claimed_at=None, next_try_at=later)


def _give_up(pk: int, sentence: str) -> None:
    """Staff read the sentence beside the invitation, admins in the list of letters."""
    found = OutgoingMail.objects.filter(pk=pk, state=State.WAITING)
    if found.update(state=State.GIVEN_UP, claimed_at=None, body="", error_sentence=sentence):
        log.error("Letter %s is given up. %s", pk, sentence)


def _hand_over(pk: int) -> None:
    """To the worker; a broker that is away loses nothing, since the sweeper finds the row."""
    try:
        if broker_answers():
            current_app.send_task(SEND_TASK, args=[pk])
            return
    except (OperationalError, OSError):
        pass  # it went away between the two lines
    log.warning("The broker does not answer; letter %s waits for the sweeper.", pk)
