"""One-time codes: their page on the account, and the second step at the door."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from athletes.account_forms import CodeForm, ProvenForm
from athletes.codes import key_in_groups, key_picture, new_key
from athletes.door import half_in, let_in_with_code, must_set_up_codes
from athletes.models import User
from athletes.requests import account_of, address_of
from athletes.services.accounts import require_password
from athletes.services.codes import (
    accept_code,
    device_for,
    has_codes,
    recovery_codes_left,
    renew_recovery_codes,
    set_up_codes,
    turn_off_codes,
)
from athletes.services.sign_ins import mark_code_given
from athletes.views.answers import UNPROCESSABLE

NEW_KEY = "codes_new_key"


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def at_the_door(request: HttpRequest) -> HttpResponse:
    account = half_in(request)
    if account is None:
        return redirect("login")
    form = CodeForm(request.POST or None)
    if form.is_valid() and form.hand_to(accept_code, account=account, address=address_of(request)):
        return let_in_with_code(request, account)
    return render(request, "registration/code.html", {"form": form}, status=UNPROCESSABLE if form.errors else 200)


@require_http_methods(["GET", "POST"])
def codes(request: HttpRequest) -> HttpResponse:
    """What there is, and what can be done with it; without codes, the way to set them up."""
    account = account_of(request)
    if not has_codes(account):
        return _set_up(request, account)
    return render(request, "athletes/codes.html", {"left": recovery_codes_left(account)})


def _set_up(request: HttpRequest, account: User) -> HttpResponse:
    """The key lives in this browser's session until a code made with it has come back."""
    key = request.session.setdefault(NEW_KEY, new_key())
    form = ProvenForm(request.POST or None)
    if form.is_valid() and _proven(request, form, with_code=False):
        try:
            shown = set_up_codes(
                account=account,
                key=key,
                code=form.cleaned_data["code"],
                address=address_of(request),
                keep=request.session.session_key,
            )
        except ValidationError as error:
            form.refuse(error)
        else:
            request.session.pop(NEW_KEY)
            mark_code_given(request=request, account=account, given=True)
            return render(request, "athletes/codes_shown.html", {"codes": shown, "begun": True})
    context = {
        "form": form,
        "key": key_in_groups(key),
        "picture": key_picture(device_for(account, key)),
        "must": must_set_up_codes(request, account),
    }
    return render(request, "athletes/codes_set_up.html", context, status=UNPROCESSABLE if form.errors else 200)


@require_http_methods(["GET", "POST"])
def renew(request: HttpRequest) -> HttpResponse:
    form = ProvenForm(request.POST or None)
    if form.is_valid() and _proven(request, form):
        return render(
            request, "athletes/codes_shown.html", {"codes": renew_recovery_codes(account=account_of(request))}
        )
    context = {
        "form": form,
        "heading": "New recovery codes",
        "button": "Make ten new ones",
        "lede": "The old ones are worth nothing from then on.",
    }
    return render(request, "athletes/account_form.html", context, status=UNPROCESSABLE if form.errors else 200)


@require_http_methods(["GET", "POST"])
def turn_off(request: HttpRequest) -> HttpResponse:
    form, account = ProvenForm(request.POST or None), account_of(request)
    if form.is_valid() and _proven(request, form):
        turn_off_codes(account=account, by=account, reason="by the owner", keep=request.session.session_key)
        mark_code_given(request=request, account=account, given=False)
        messages.success(request, "One-time codes are off. Every other browser is signed out.")
        return redirect("account:home")
    context = {
        "form": form,
        "heading": "Turn one-time codes off",
        "button": "Turn them off",
        "lede": "Do this to move to another phone, too, and set them up again there.",
    }
    return render(request, "athletes/account_form.html", context, status=UNPROCESSABLE if form.errors else 200)


def _proven(request: HttpRequest, form: ProvenForm, *, with_code: bool = True) -> bool:
    """Whether the present password, and a code, fit. A code that was given is used up."""
    account, address = account_of(request), address_of(request)
    try:
        require_password(account=account, password=form.cleaned_data["password"], address=address)
        if with_code:
            accept_code(account=account, code=form.cleaned_data["code"], address=address)
    except ValidationError as error:
        form.refuse(error)
        return False
    return True
