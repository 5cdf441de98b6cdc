"""Who may use Django's admin pages: accounts of role admin, whatever permission rows say; and pages that only show."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from athletes.models import Role, User


def is_admin(request: HttpRequest) -> bool:
    user = request.user
    return user.is_authenticated and user.is_active and user.role == Role.ADMIN


def acting_admin(request: HttpRequest) -> User:
    """Whose act a service is to log. Raises PermissionDenied for everybody but admins."""
    user = request.user
    if not isinstance(user, User) or not is_admin(request):
        raise PermissionDenied
    return user


class ForAdmins:
    """Mixed into a ModelAdmin (or inline): admins may do everything that the page offers."""

    def has_module_permission(self, request: HttpRequest) -> bool:
        return is_admin(request)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_admin(request)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_admin(request)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_admin(request)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_admin(request)


class ReadOnly(ForAdmins):
    """Rows that other parts write: shown, never edited here."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
