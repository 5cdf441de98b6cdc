"""Invitations and letters, to read. A letter's body is never shown: a link in it is a key."""

from __future__ import annotations

from django.contrib import admin

from athletes.admin.logs import ReadOnlyAdmin
from athletes.models import Invitation, OutgoingMail


@admin.register(Invitation)
class InvitationAdmin(ReadOnlyAdmin):
    list_display = ["invited_at", "email", "role", "athlete", "group", "expires_at", "accepted_at", "revoked_at"]
    list_filter = ["role"]
    list_select_related = ["athlete", "group"]
    search_fields = ["email"]
    exclude = ["secret_digest"]


@admin.register(OutgoingMail)
class OutgoingMailAdmin(ReadOnlyAdmin):
    list_display = ["written_at", "to", "subject", "state", "attempts", "sent_at", "error_sentence"]
    list_filter = ["state"]
    search_fields = ["to"]
    exclude = ["body"]
