"""Where an account is signed in: noted at the door, kept up to date, ended at once.

The session holds when it began, when it was last seen and whether a code was given; the row is the list that the
owner reads. Ending a sign-in deletes Django's session row, so that its cookie opens nothing from then on.
"""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from athletes.browsers import browser_in_words
from athletes.models import SignIn, User
from athletes.requests import address_of
from athletes.services.change_log import record_change

BEGAN, SEEN, WITH_CODE = "sign_in_began", "sign_in_seen", "sign_in_with_code"


@transaction.atomic
def note_sign_in(*, request: HttpRequest, account: User, with_code: bool) -> SignIn:
    """Called once a browser is signed in, after its session has got its new key."""
    now, session = timezone.now(), request.session
    session[BEGAN] = session[SEEN] = now.timestamp()
    session[WITH_CODE] = with_code
    if not session.session_key:
        session.create()
    return SignIn.objects.create(
        account=account,
        session_key=session.session_key or "",
        at=now,
        last_seen_at=now,
        address=address_of(request),
        browser=browser_in_words(request.META.get("HTTP_USER_AGENT", "")),
        with_code=with_code,
    )


def mark_code_given(*, request: HttpRequest, account: User, given: bool) -> None:
    """This browser has (or no longer has) proven a code, as when codes are set up or turned off in it."""
    request.session[WITH_CODE] = given
    SignIn.objects.filter(account=account, session_key=request.session.session_key, ended_at=None).update(
        with_code=given
    )


def came_through_the_door(session: SessionBase) -> bool:
    return BEGAN in session


def is_over(session: SessionBase) -> bool:
    """Whether this sign-in is as old as it may become."""
    began = session.get(BEGAN)
    return began is not None and timezone.now().timestamp() - began > settings.SIGN_IN_DAYS_AT_MOST * 86400


def keep_seen(*, request: HttpRequest, account: User) -> None:
    """Notes at most every few minutes that the browser is in use, which also renews the 12 idle hours.

    A session that was opened without the door (by an invitation, or before there was a list) gets its row here.
    """
    session = request.session
    if not came_through_the_door(session):
        note_sign_in(request=request, account=account, with_code=False)
        return
    now = timezone.now()
    if now.timestamp() - session.get(SEEN, 0) < settings.SIGN_IN_SEEN_EVERY_MINUTES * 60:
        return
    session[SEEN] = now.timestamp()
    SignIn.objects.filter(account=account, session_key=session.session_key).update(
        last_seen_at=now, address=address_of(request)
    )


def sign_ins_of(account: User) -> list[SignIn]:
    """Those that are open, newest first: not ended, and their session still there."""
    open_rows = list(account.sign_ins.filter(ended_at=None).exclude(session_key=""))
    alive = set(
        Session.objects.filter(
            session_key__in=[row.session_key for row in open_rows], expire_date__gt=timezone.now()
        ).values_list("session_key", flat=True)
    )
    oldest = timezone.now() - dt.timedelta(days=settings.SIGN_IN_DAYS_AT_MOST)
    return [row for row in open_rows if row.session_key in alive and row.at > oldest]


@transaction.atomic
def end_sign_ins(*, account: User, by: User | None, reason: str, keep: str | None = None) -> int:
    """Ends all of them at once, but the session with the key `keep`. Returns how many there were."""
    rows = account.sign_ins.filter(ended_at=None).exclude(session_key=keep or "")
    return _end(rows, account=account, by=by, reason=reason)


@transaction.atomic
def end_sign_in(*, sign_in: SignIn, by: User | None, reason: str) -> None:
    _end(SignIn.objects.filter(pk=sign_in.pk, ended_at=None), account=sign_in.account, by=by, reason=reason)


def close_sign_in(*, account: User, key: str | None) -> None:
    """As the owner signs out: the row says so; Django's session is flushed by the caller."""
    SignIn.objects.filter(account=account, session_key=key or "-", ended_at=None).update(
        ended_at=timezone.now(), session_key=""
    )


def _end(rows: QuerySet[SignIn], *, account: User, by: User | None, reason: str) -> int:
    found = list(rows)
    keys = [row.session_key for row in found if row.session_key]
    Session.objects.filter(session_key__in=keys).delete()
    SignIn.objects.filter(pk__in=[row.pk for row in found]).update(ended_at=timezone.now(), session_key="")
    if found:
        record_change(by=by, action="account.signed_out", row=account, after={"sign_ins": len(found)}, reason=reason)
    return len(found)


def move_sign_in(*, account: User, old_key: str | None, new_key: str | None) -> None:
    """The same browser under a new session key, as after a change of password."""
    SignIn.objects.filter(account=account, session_key=old_key or "-", ended_at=None).update(session_key=new_key or "")


def forget_sign_ins_before(before: dt.datetime) -> int:
    """Rows that were last seen before: addresses of people are not kept for longer than they protect."""
    return SignIn.objects.filter(last_seen_at__lt=before).delete()[0]
