"""Inviting, taking back, and the page that the link in the letter opens."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from athletes.access import athlete_or_404
from athletes.door import let_in
from athletes.forms_family import InviteFamilyForm, InvitePersonForm, JoinForm
from athletes.invited import picture_of, with_letters
from athletes.models import Facility, Invitation, Role, User
from athletes.models.invitations import NEEDS_ATHLETE
from athletes.pages import back_url, who_of
from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.services.family import may_agree, text_in_force
from athletes.services.invitations import (
    Invited,
    digest_of,
    invite,
    open_invitations,
    revoke,
    roles_to_invite,
    why_closed,
)
from athletes.services.joining import Closed, Unfit, accept_as_new, accept_with, why_unfit
from athletes.views.answers import UNPROCESSABLE, today_of

GONE, CONFLICT = 410, 409
# Never with the address, which is a key. Not `no-referrer` where a form stands: under it browsers send the form with
# `Origin: null` (Fetch standard, "append a request Origin header"), which the protection against forgery refuses.
NO_REFERRER, ORIGIN_ONLY = "no-referrer", "strict-origin"


@require_http_methods(["GET", "POST"])
def invite_family(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="invitations", action=Action.INVITE).athlete
    reader = account_of(request)
    form = InviteFamilyForm(request.POST or None)
    context = {"athlete": athlete, "who": who_of(athlete, today_of(request), reader), "back": back_url(athlete, reader)}
    if form.is_valid() and form.hand_to(invite, athlete=athlete, by=reader):
        return _invited(request, form.result, context)
    listed = with_letters(open_invitations().filter(athlete=athlete))
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "athletes/invite.html", {**context, "form": form, "listed": listed}, status=status)


@require_http_methods(["GET", "POST"])
def invite_person(request: HttpRequest) -> HttpResponse:
    reader = account_of(request)
    require(reader, Action.INVITE)
    form = InvitePersonForm(request.POST or None, by=reader)
    if form.is_valid() and form.hand_to(invite, by=reader):
        return _invited(request, form.result, {"back": "/"})
    context = {"form": form, "listed": with_letters(_without_athlete(reader)), "back": "/"}
    return render(request, "athletes/invite.html", context, status=UNPROCESSABLE if form.errors else 200)


@require_POST
def take_back(request: HttpRequest, uuid: UUID, invitation_uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="invitations", action=Action.INVITE).athlete
    _take_back(request, get_object_or_404(Invitation, athlete=athlete, uuid=invitation_uuid))
    return redirect("athletes:invite", athlete.uuid)


@require_POST
def take_back_person(request: HttpRequest, uuid: UUID) -> HttpResponse:
    reader = account_of(request)
    require(reader, Action.INVITE)
    roles = roles_to_invite(reader) - set(NEEDS_ATHLETE)
    _take_back(request, get_object_or_404(Invitation, uuid=uuid, role__in=roles))
    return redirect("athletes:invite-person")


@login_not_required
@sensitive_post_parameters("password", "password_again")
@require_http_methods(["GET", "POST"])
def open_link(request: HttpRequest, secret: str) -> HttpResponse:
    """Signed out: a new account. Signed in with the invited role: one more tie of that account."""
    invitation = (
        Invitation.objects.select_related("athlete", "group", "invited_by")
        .filter(secret_digest=digest_of(secret))
        .first()
    )
    if invitation is None:
        raise Http404
    try:
        answer = _join(request, invitation, secret)
    except Closed as error:
        answer = _closed(request, error)
    add_never_cache_headers(answer)
    answer["Cache-Control"] = "no-store"
    return answer


def _join(request: HttpRequest, invitation: Invitation, secret: str) -> HttpResponse:
    if sentence := why_closed(invitation):
        raise Closed(sentence)
    account = request.user if isinstance(request.user, User) else None
    if account is not None and (sentence := why_unfit(invitation, account)):
        raise Unfit(sentence)
    form = None if account is not None else JoinForm(request.POST or None)
    if account is not None and request.method == "POST":
        return _without_referrer(redirect(_first_page(invitation, accept_with(secret=secret, account=account))))
    if form is not None and form.is_valid() and form.hand_to(accept_as_new, secret=secret):
        return _without_referrer(let_in(request, form.result, _first_page(invitation, form.result)))
    context = {"form": form, "invitation": invitation, "account": account, "facility": Facility.current()}
    answer = render(request, "athletes/join.html", context, status=UNPROCESSABLE if form and form.errors else 200)
    answer["Referrer-Policy"] = ORIGIN_ONLY
    return answer


def _first_page(invitation: Invitation, account: User) -> str:
    """A guardian who has to agree first is led to the text."""
    athlete = invitation.athlete
    asked = athlete is not None and account.role == Role.GUARDIAN and may_agree(account, athlete)
    return reverse("athletes:agree", args=[athlete.uuid]) if asked and athlete and text_in_force() else "/"


def _without_referrer(answer: HttpResponse) -> HttpResponse:
    answer["Referrer-Policy"] = NO_REFERRER
    return answer


def _closed(request: HttpRequest, error: Closed) -> HttpResponse:
    status = CONFLICT if isinstance(error, Unfit) else GONE
    answer = render(request, "athletes/invitation_closed.html", {"sentence": error.sentence}, status=status)
    return _without_referrer(answer)


def _invited(request: HttpRequest, made: Invited, context: dict) -> HttpResponse:
    """The answer to the form itself: the link is shown this once."""
    shown = {**context, "invitation": made.invitation, "link": made.link, "picture": picture_of(made.link)}
    answer = render(request, "athletes/invited.html", shown)
    answer["Cache-Control"] = "no-store"
    return answer


def _take_back(request: HttpRequest, invitation: Invitation) -> None:
    try:
        revoke(invitation=invitation, by=account_of(request))
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return
    messages.success(request, "The invitation is taken back: its link opens nothing any more.")


def _without_athlete(reader: User):
    roles = roles_to_invite(reader) - set(NEEDS_ATHLETE)
    if not roles:
        raise PermissionDenied
    return open_invitations().filter(role__in=roles)
