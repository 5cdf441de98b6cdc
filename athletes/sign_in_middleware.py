"""What holds for every page of a signed-in browser: its sign-in is kept and ends, and no copy of a page stays."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib.auth import logout
from django.contrib.auth.middleware import get_user
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse

from athletes.door import must_set_up_codes
from athletes.models import User
from athletes.services.codes import has_codes
from athletes.services.sign_ins import came_through_the_door, is_over, keep_seen

View = Callable[[HttpRequest], HttpResponse]

# What no page of ours uses, so that nothing that slips into one could use it either.
PERMISSIONS = ", ".join(
    f"{feature}=()"
    for feature in (
        "accelerometer",
        "camera",
        "display-capture",
        "geolocation",
        "gyroscope",
        "magnetometer",
        "microphone",
        "midi",
        "payment",
        "publickey-credentials-get",
        "serial",
        "usb",
        "xr-spatial-tracking",
    )
)


class BrowserPolicyMiddleware:
    """Device features are off on every answer; pages of a signed-in person are kept in no cache."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        user = getattr(request, "user", None)
        if user is not None and user.is_authenticated:
            response.headers.setdefault("Cache-Control", "no-store")
        return response


class SignInMiddleware:
    """Ends a sign-in that is too old or owes a code, leads staff to set codes up, and notes a living one."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # Itself, not the library's stand-in, through which each of the hundreds of looks at it goes a longer way.
        account = request.user = get_user(request)
        if not isinstance(account, User):
            return self.get_response(request)
        if is_over(request.session) or _owes_a_code(request, account):
            logout(request)
            return redirect_to_login(request.get_full_path())
        keep_seen(request=request, account=account)
        if must_set_up_codes(request, account) and request.path not in _open_until_then():
            return _lead_to_codes(request)
        return self.get_response(request)


def _owes_a_code(request: HttpRequest, account: User) -> bool:
    """A session that some other way in has opened, for an account that signs in with codes."""
    return not came_through_the_door(request.session) and has_codes(account)


def _open_until_then() -> tuple[str, str]:
    return reverse("account:codes"), reverse("logout")


def _lead_to_codes(request: HttpRequest) -> HttpResponse:
    if request.path.startswith("/api/"):
        return JsonResponse({"detail": "Set up one-time codes first."}, status=403)
    answer: HttpResponse = redirect("account:codes")
    if request.headers.get("HX-Request"):
        answer = HttpResponse(headers={"HX-Redirect": reverse("account:codes")})
    return answer
