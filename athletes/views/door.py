"""The door: in, out, and what is answered when it rests."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView, PasswordResetConfirmView, redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from athletes.account_forms import ForgottenForm, ResetPasswordForm, SignInForm
from athletes.door import let_in
from athletes.models import User
from athletes.services.reset_mail import send_reset_letters
from athletes.services.sign_ins import close_sign_in
from athletes.views.answers import UNPROCESSABLE

TOO_MANY = 429


class SignInView(LoginView):
    """Name and password; then in, or on to the code. A fresh session key comes with either."""

    redirect_authenticated_user = True
    authentication_form = SignInForm

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        account = form.get_user()
        if not isinstance(account, User):
            raise PermissionDenied
        return let_in(self.request, account, self.get_success_url())


class SignOutView(LogoutView):
    """Ends the session on the server, and asks the browser to drop what it kept of the pages."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if isinstance(request.user, User):
            close_sign_in(account=request.user, key=request.session.session_key)
        answer = super().post(request, *args, **kwargs)
        answer.headers["Clear-Site-Data"] = '"cache"'
        answer.headers["Cache-Control"] = "no-store"
        return answer


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def forgotten(request: HttpRequest) -> HttpResponse:
    """The same answer for every address, whether anybody has it or not."""
    form = ForgottenForm(request.POST or None)
    if form.is_valid():
        send_reset_letters(email=form.cleaned_data["email"], request=request)
        return render(request, "registration/forgotten_sent.html")
    return render(request, "registration/forgotten.html", {"form": form}, status=UNPROCESSABLE if form.errors else 200)


class NewPasswordView(PasswordResetConfirmView):
    """A letter's link, whose token Django takes out of the address before the form is shown. It signs nobody in."""

    form_class = ResetPasswordForm  # type: ignore[assignment]
    template_name = "registration/new_password.html"
    success_url = reverse_lazy("new-password-done")

    def get_user(self, uidb64: str) -> User | None:
        account = super().get_user(uidb64)
        return account if isinstance(account, User) and account.is_active else None


@login_not_required
def new_password_done(request: HttpRequest) -> HttpResponse:
    return render(request, "registration/new_password_done.html")


@login_not_required
def admin_door(request: HttpRequest) -> HttpResponse:
    """To sign in. Whoever is in and no admin is told so: the sign-in page would send them back here without end."""
    if request.user.is_authenticated and not admin.site.has_permission(request):
        raise PermissionDenied
    return redirect_to_login(request.GET.get("next") or "/admin/")


def too_many(request: HttpRequest, response: HttpResponse | None = None, credentials: Any = None) -> HttpResponse:
    """What the throttle answers: the same words for every name, whether it exists or not."""
    return render(request, "registration/locked.html", status=TOO_MANY)
