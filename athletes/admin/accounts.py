"""The facility and the accounts."""

from __future__ import annotations

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import AdminUserCreationForm, UserChangeForm
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from athletes.models import Facility, Guardianship, Referral, Role, User
from athletes.requests import account_of
from athletes.services.accounts import disable_account
from athletes.services.change_log import record_change
from athletes.services.codes import turn_off_codes
from athletes.services.sign_ins import end_sign_ins
from athletes.services.validation import logged

FOUND = 302
LOGGED = ("username", "role", "units", "is_active", "first_name", "last_name", "email")


@admin.register(Facility)
class FacilityAdmin(admin.ModelAdmin):
    fields = ["name", "time_zone", "units", "age_of_consent", "retention_years", "local_pitch_rules"]

    def save_model(self, request: HttpRequest, obj: Facility, form: object, change: bool) -> None:
        obj.id = 1
        super().save_model(request, obj, form, change)

    def has_add_permission(self, request: HttpRequest) -> bool:
        return super().has_add_permission(request) and not Facility.objects.exists()

    def has_delete_permission(self, request: HttpRequest, obj: Facility | None = None) -> bool:
        return False


def _role_decides(account: User, role: str) -> None:
    """Only admins reach these pages, and every admin does: the role is the one switch."""
    account.is_staff = account.is_superuser = role == Role.ADMIN


class NewAccountForm(AdminUserCreationForm):
    class Meta(AdminUserCreationForm.Meta):
        model = User
        fields = ("username", "role")

    def _post_clean(self) -> None:
        _role_decides(self.instance, self.cleaned_data.get("role", ""))
        super()._post_clean()  # type: ignore[misc]


class AccountForm(UserChangeForm):
    class Meta(UserChangeForm.Meta):
        model = User

    def _post_clean(self) -> None:
        _role_decides(self.instance, self.cleaned_data.get("role", ""))
        super()._post_clean()  # type: ignore[misc]


class GuardianshipInline(admin.TabularInline):
    model = Guardianship
    autocomplete_fields = ["athlete"]
    extra = 0


class ReferralInline(admin.TabularInline):
    model = Referral
    autocomplete_fields = ["athlete"]
    extra = 0


@admin.register(User)
class AccountAdmin(UserAdmin):
    form = AccountForm
    add_form = NewAccountForm
    list_display = ["username", "first_name", "last_name", "role", "is_active", "last_login"]
    list_filter = ["role", "is_active"]
    fieldsets = [
        (None, {"fields": ["username", "password", "role", "units", "is_active"]}),
        ("Person", {"fields": ["first_name", "last_name", "email"]}),
        ("Dates", {"fields": ["last_login", "date_joined"]}),
    ]
    add_fieldsets = [(None, {"classes": ["wide"], "fields": ["username", "role", "password1", "password2"]})]
    readonly_fields = ["last_login", "date_joined"]
    filter_horizontal = []
    actions = ["take_codes_away"]
    inlines = [GuardianshipInline, ReferralInline]

    def get_inlines(self, request: HttpRequest, obj: User | None) -> list:
        wanted: dict[Role, list] = {Role.GUARDIAN: [GuardianshipInline], Role.CLINICIAN: [ReferralInline]}
        return wanted.get(Role(obj.role), []) if obj else []

    @admin.action(description="Take one-time codes away (a lost phone)")
    def take_codes_away(self, request: HttpRequest, accounts: QuerySet[User]) -> None:
        for account in accounts:
            turn_off_codes(account=account, by=account_of(request), reason="an admin took the codes away")
        self.message_user(request, "Signed out everywhere; the password alone opens the account until new codes stand.")

    def save_model(self, request: HttpRequest, obj: User, form: object, change: bool) -> None:
        before = logged(User.objects.filter(pk=obj.pk).first(), LOGGED) if change else {}
        super().save_model(request, obj, form, change)
        record_change(
            by=account_of(request),
            action="account.changed" if change else "account.created",
            row=obj,
            before=before,
            after=logged(obj, LOGGED),
        )
        if before.get("is_active") and not obj.is_active:
            disable_account(account=obj, by=account_of(request), reason="the tick at “active” was taken away")

    def user_change_password(self, request: HttpRequest, id: str, form_url: str = "") -> HttpResponse:
        """A password that an admin sets ends what was signed in with the old one."""
        answer = super().user_change_password(request, id, form_url)
        account = User.objects.filter(pk=id).first() if request.method == "POST" else None
        if account is not None and answer.status_code == FOUND:
            keep = request.session.session_key if account == request.user else None
            end_sign_ins(account=account, by=account_of(request), reason="an admin set a password", keep=keep)
        return answer

    def has_delete_permission(self, request: HttpRequest, obj: User | None = None) -> bool:
        return False  # an account is closed by taking its tick at “active” away
