"""Athletes with what is known of them, training groups, consent texts."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest

from athletes.models import (
    Athlete,
    BodySize,
    Consent,
    ConsentText,
    Contact,
    ExternalId,
    Guardianship,
    LevelPeriod,
    Referral,
    TrainingGroup,
)
from athletes.requests import account_of
from athletes.services.change_log import record_change
from athletes.services.facts_revision import raise_facts_revision
from athletes.services.people import DETAILS
from athletes.services.validation import logged, plain_value

# Rows on which ranges, and so findings, depend.
FACTS = (LevelPeriod, BodySize)


def _facts_before_and_after(formset: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """What each changed row was and is, by its key. Only for facts: names and addresses stay out of the log."""
    before: dict[str, Any] = {}
    after: dict[str, Any] = {}
    for form in formset.forms:
        if form.has_changed():
            key = str(form.instance.pk)
            before[key] = {name: plain_value(form.initial.get(name)) for name in form.changed_data}
            after[key] = {name: plain_value(form.cleaned_data.get(name)) for name in form.changed_data}
    return before, after


class Inline(admin.TabularInline):
    extra = 0


class LevelInline(Inline):
    model = LevelPeriod


class BodySizeInline(Inline):
    model = BodySize


class ExternalIdInline(Inline):
    model = ExternalId


class GuardianshipInline(Inline):
    model = Guardianship
    autocomplete_fields = ["guardian"]


class ReferralInline(Inline):
    model = Referral
    autocomplete_fields = ["clinician"]


class ConsentInline(Inline):
    model = Consent
    fields = ["text", "given_by_name", "relation", "given_on", "withdrawn_on"]
    can_delete = False


class ContactInline(Inline):
    model = Contact


@admin.register(Athlete)
class AthleteAdmin(admin.ModelAdmin):
    """Withdrawn athletes show here too. Every save stands in the change log."""

    list_display = ["name", "birth_date", "throws", "responsible_coach", "withdrawn_at"]
    list_filter = ["throws", "groups", ("withdrawn_at", admin.EmptyFieldListFilter)]
    list_select_related = ["responsible_coach"]
    search_fields = ["given_name", "family_name", "external_ids__value"]
    autocomplete_fields = ["responsible_coach", "account"]
    fields = [*DETAILS, "account"]
    inlines = [
        LevelInline,
        BodySizeInline,
        ExternalIdInline,
        GuardianshipInline,
        ReferralInline,
        ConsentInline,
        ContactInline,
    ]

    def get_queryset(self, request: HttpRequest) -> QuerySet[Athlete]:
        return Athlete.everything.all()

    def save_model(self, request: HttpRequest, obj: Athlete, form: Any, change: bool) -> None:
        fields = (*DETAILS, "account")
        before = logged(Athlete.everything.filter(pk=obj.pk).first(), fields) if change else {}
        super().save_model(request, obj, form, change)
        after = logged(obj, fields)
        if before != after:
            action = "athlete.changed" if change else "athlete.created"
            record_change(
                by=account_of(request), action=action, row=obj, athlete_uuid=obj.uuid, before=before, after=after
            )
        if change and "birth_date" in form.changed_data:
            raise_facts_revision(obj)

    def save_formset(self, request: HttpRequest, form: Any, formset: Any, change: bool) -> None:
        super().save_formset(request, form, formset, change)
        athlete, model = form.instance, formset.model
        if not (formset.new_objects or formset.changed_objects or formset.deleted_objects):
            return
        before, after = _facts_before_and_after(formset) if model in FACTS else ({}, {})
        record_change(
            by=account_of(request),
            action=f"{model._meta.model_name}.changed_by_admin",
            row=athlete,
            athlete_uuid=athlete.uuid,
            before=before,
            after=after,
        )
        if model in FACTS:
            raise_facts_revision(athlete)

    def has_delete_permission(self, request: HttpRequest, obj: Athlete | None = None) -> bool:
        return False  # athletes are withdrawn; erasure is an act of its own


@admin.register(TrainingGroup)
class TrainingGroupAdmin(admin.ModelAdmin):
    list_display = ["name"]
    search_fields = ["name"]
    autocomplete_fields = ["athletes", "visiting_coaches"]


@admin.register(ConsentText)
class ConsentTextAdmin(admin.ModelAdmin):
    """A text that somebody agreed to stays as it was read."""

    list_display = ["version", "valid_from"]

    def has_change_permission(self, request: HttpRequest, obj: ConsentText | None = None) -> bool:
        agreed = obj is not None and Consent.objects.filter(text=obj).exists()
        return super().has_change_permission(request, obj) and not agreed

    def has_delete_permission(self, request: HttpRequest, obj: ConsentText | None = None) -> bool:
        agreed = obj is not None and Consent.objects.filter(text=obj).exists()
        return super().has_delete_permission(request, obj) and not agreed
