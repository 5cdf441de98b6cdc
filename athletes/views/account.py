"""An account's own page: who I am, my password, where I am signed in."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from athletes.account_forms import OwnDetailsForm, OwnPasswordForm
from athletes.models import User
from athletes.requests import account_of, address_of
from athletes.services.accounts import change_own_details, require_password, set_password
from athletes.services.codes import has_codes
from athletes.services.sign_ins import end_sign_in, end_sign_ins, move_sign_in, sign_ins_of
from athletes.views.answers import UNPROCESSABLE

OWN_ACT = "ended by the owner"


def account_page(request: HttpRequest, details: OwnDetailsForm, status: int = 200) -> HttpResponse:
    account = account_of(request)
    context = {
        "account": account,
        "details": details,
        "sign_ins": sign_ins_of(account),
        "has_codes": has_codes(account),
        "this_key": request.session.session_key,
    }
    return render(request, "athletes/account.html", context, status=status)


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    account = account_of(request)
    details = OwnDetailsForm(initial={name: getattr(account, name) for name in OwnDetailsForm.base_fields})
    return account_page(request, details)


@require_POST
def details(request: HttpRequest) -> HttpResponse:
    form = OwnDetailsForm(request.POST)
    if form.is_valid() and form.hand_to(change_own_details, account=account_of(request)):
        messages.success(request, "Saved.")
        return redirect("account:home")
    return account_page(request, form, status=UNPROCESSABLE)


@require_http_methods(["GET", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    form = OwnPasswordForm(request.POST or None)
    if form.is_valid() and _changed_password(request, form):
        messages.success(request, "The password is changed. Every other browser is signed out.")
        return redirect("account:home")
    context = {
        "form": form,
        "heading": "Change your password",
        "button": "Change it",
        "lede": "Every other browser that is signed in as you will be signed out.",
    }
    return render(request, "athletes/account_form.html", context, status=UNPROCESSABLE if form.errors else 200)


def _changed_password(request: HttpRequest, form: OwnPasswordForm) -> bool:
    """Asks for the present one first; this browser stays signed in under a new key."""
    account, old_key = account_of(request), request.session.session_key
    try:
        require_password(account=account, password=form.cleaned_data.pop("password"), address=address_of(request))
        set_password(
            account=account,
            password=form.cleaned_data["new_password"],
            by=account,
            reason="changed by the owner",
            keep=old_key,
        )
    except ValidationError as error:
        form.refuse(error)
        return False
    update_session_auth_hash(request, account)
    move_sign_in(account=account, old_key=old_key, new_key=request.session.session_key)
    return True


@require_POST
def end_one(request: HttpRequest, uuid: UUID) -> HttpResponse:
    account: User = account_of(request)
    sign_in = get_object_or_404(account.sign_ins.all(), uuid=uuid)
    end_sign_in(sign_in=sign_in, by=account, reason=OWN_ACT)
    messages.success(request, f"Signed out there: {sign_in.browser}.")
    return redirect("account:home")


@require_POST
def end_others(request: HttpRequest) -> HttpResponse:
    account = account_of(request)
    ended = end_sign_ins(account=account, by=account, reason=OWN_ACT, keep=request.session.session_key)
    messages.success(request, f"Signed out everywhere else ({ended}).")
    return redirect("account:home")
