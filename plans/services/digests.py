"""The daily letter: what is late and due today, once a day, in the morning of the facility."""

from __future__ import annotations

import datetime as dt
import logging
import zoneinfo

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from athletes.models import Facility, User
from athletes.policy import RIGHTS, Action
from athletes.services.change_log import record_change
from athletes.services.mail import write_mail
from athletes.services.validation import save_valid
from plans.models import Digest, DigestChoice
from plans.selectors.digest_letter import letter_for
from plans.selectors.reminded import may_be_reminded

log = logging.getLogger(__name__)

FROM, UNTIL = dt.time(6, 30), dt.time(12, 0)
"""On the facility's wall clock. What a worker that was down all morning did not write, the next day's letter tells:
nobody wants it at night. House opinion."""


def write_digests() -> int:
    """Letters of this morning that are not written yet; returns how many were. Safe twice, at once and after a kill."""
    local = timezone.now().astimezone(zoneinfo.ZoneInfo(Facility.current().time_zone))
    if not FROM <= local.time() < UNTIL:
        return 0
    today = local.date()
    staff = User.objects.filter(role__in=RIGHTS[Action.WRITE_PLAN], is_active=True).exclude(email="")
    waiting = staff.exclude(digest_choice__wanted=False).exclude(digests__date=today)
    return sum(write_digest(owner_id=pk, today=today) for pk in waiting.order_by("pk").values_list("pk", flat=True))


def write_digest(*, owner_id: int, today: dt.date) -> bool:
    """Whether a letter was written. The day is noted with it, or alone where there was nothing to tell."""
    try:
        with transaction.atomic():
            return _write(User.objects.select_for_update().get(pk=owner_id), today)
    except IntegrityError:
        return False  # another worker was first
    except ValidationError as error:
        log.warning("No daily letter for account %s: %s", owner_id, "; ".join(error.messages))
        return False


def _write(owner: User, today: dt.date) -> bool:
    wanted = not DigestChoice.objects.filter(owner=owner, wanted=False).exists()
    if not (wanted and owner.email and may_be_reminded(owner)):
        return False
    if Digest.objects.filter(owner=owner, date=today).exists():
        return False
    told = letter_for(owner, today)
    letter = write_mail(owner.email, told.subject, told.body) if told else None
    Digest.objects.create(owner=owner, date=today, letter=letter)
    return letter is not None


@transaction.atomic
def choose_digest(*, owner: User, wanted: bool) -> DigestChoice:
    """Whether the letter comes; from the next morning on."""
    User.objects.select_for_update().get(pk=owner.pk)
    row = DigestChoice.objects.filter(owner=owner).first() or DigestChoice(owner=owner)
    before = {"wanted": row.wanted}
    row.wanted, row.changed_at = wanted, timezone.now()
    save_valid(row)
    record_change(by=owner, action="digest.chosen", row=owner, before=before, after={"wanted": wanted})
    return row
