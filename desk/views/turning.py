"""Turning the screen to the person beside the coach, and back with a PIN."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth import logout
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from athletes.models import Role
from athletes.requests import account_of
from athletes.services.turning import choose_pin, forget_pin, try_pin
from athletes.turning import keep_turned, turned_of
from desk.turning import turned_page
from desk.views.access import for_roles

STAFF = (Role.ADMIN, Role.COACH)
UNPROCESSABLE = 422


@require_POST
@for_roles(STAFF)
def turn(request: HttpRequest) -> HttpResponse:
    """Turns the page at the address that was posted; before the first time a PIN is chosen."""
    turned = turned_page(request, request.POST.get("path", ""))
    if not account_of(request).turn_pin:
        return redirect(f"{reverse('desk:turn-pin')}?{urlencode({'path': turned.path})}")
    return _turned(request, turned.path)


@sensitive_post_parameters("pin", "again")
@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(STAFF)
def pin(request: HttpRequest) -> HttpResponse:
    """The PIN of the first time; posted, the screen is turned."""
    if request.method != "POST":
        return render(request, "desk/turn_pin.html", {"turning": turned_page(request, request.GET.get("path", ""))})
    turned = turned_page(request, request.POST.get("path", ""))
    chosen = {name: request.POST.get(name, "") for name in ("pin", "again")}
    try:
        choose_pin(account=account_of(request), **chosen)
    except ValidationError as error:
        context = {"turning": turned, "wrong": " ".join(error.messages)}
        return render(request, "desk/turn_pin.html", context, status=UNPROCESSABLE)
    return _turned(request, turned.path)


@sensitive_post_parameters("pin")
@require_http_methods(["GET", "HEAD", "POST"])
def back(request: HttpRequest) -> HttpResponse:
    turned = turned_of(request)
    if turned is None:
        return redirect("desk:today")
    if request.method != "POST":
        return render(request, "desk/turn_back.html", {"turned": turned})
    key = request.session.session_key or ""
    left = try_pin(account=account_of(request), session_key=key, pin=request.POST.get("pin", ""))
    if left < 0:
        keep_turned(request.session, None)
        return redirect(turned.path)
    if left == 0:
        return forgotten(request)
    return render(request, "desk/turn_back.html", {"turned": turned, "left": left}, status=UNPROCESSABLE)


@require_POST
def forgotten(request: HttpRequest) -> HttpResponse:
    """Signs out: whoever knows the password chooses another PIN."""
    if turned_of(request) is None:
        return redirect("desk:today")
    forget_pin(account=account_of(request))
    logout(request)
    messages.info(request, "Signed out. Sign in again, and choose a new PIN when you next turn the screen.")
    return redirect("login")


def _turned(request: HttpRequest, path: str) -> HttpResponse:
    keep_turned(request.session, turned_page(request, path))
    answer = redirect(path)
    # Pages that were open before may still lie in the browser: the button back must not find them.
    answer["Clear-Site-Data"] = '"cache"'
    return answer
