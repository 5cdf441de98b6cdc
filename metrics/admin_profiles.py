"""Admin pages of range profiles and their versions. Published versions are only shown.

Every change goes through a service, which writes the change log; the database refuses the rest.
"""

from __future__ import annotations

from typing import Any

from django.contrib import admin, messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Count, QuerySet
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import path, reverse
from django.utils.html import format_html

from athletes.requests import account_of
from athletes.today import facility_today
from metrics.forms_profiles import THRESHOLD_FORM_FIELDS, ProfileForm, PublishForm, VersionSettingsForm
from metrics.models import RangeProfile, RangeProfileVersion
from metrics.services.profile_drafts import change_settings, discard_draft
from metrics.services.profiles import (
    copy_to_draft,
    describe_profile,
    publish_version,
    start_profile,
    use_profile,
    what_is_wrong,
)


def _say(request: HttpRequest, error: ValidationError) -> None:
    for sentence in error.messages:
        messages.error(request, sentence)


class VersionsOfProfile(admin.TabularInline):
    model = RangeProfileVersion
    fields = ("number", "status", "valid_from", "published_at", "published_by", "reason")
    readonly_fields = fields
    show_change_link = True
    extra = 0
    can_delete = False
    verbose_name_plural = "versions"

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(RangeProfile)
class RangeProfileAdmin(admin.ModelAdmin):
    form = ProfileForm
    list_display = ("name", "in_use", "description")
    fields = ("name", "description", "in_use")
    readonly_fields = ("in_use",)
    inlines = (VersionsOfProfile,)
    actions = ("use_for_new_scorings",)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Sessions keep the version that they were scored by."""
        return False

    @admin.action(description="Use for new scorings", permissions=["change"])
    def use_for_new_scorings(self, request: HttpRequest, queryset: QuerySet[RangeProfile]) -> None:
        if queryset.count() != 1:
            messages.error(request, "Choose one profile: exactly one is in use.")
            return
        try:
            profile = use_profile(profile=queryset.get(), by=account_of(request))
        except ValidationError as error:
            _say(request, error)
        else:
            messages.success(request, f"“{profile.name}” is in use for new scorings.")

    def save_model(self, request: HttpRequest, obj: RangeProfile, form: Any, change: bool) -> None:
        words = {"name": form.cleaned_data["name"], "description": form.cleaned_data["description"]}
        if change:
            describe_profile(profile=obj, **words, by=account_of(request))
        else:
            obj.pk = start_profile(**words, by=account_of(request)).pk


@admin.register(RangeProfileVersion)
class RangeProfileVersionAdmin(admin.ModelAdmin):
    form = VersionSettingsForm
    list_display = ("__str__", "status", "valid_from", "published_at", "published_by", "rule_count", "reason")
    list_filter = ("profile", "status")
    list_select_related = ("profile", "published_by")
    actions = ("copy_chosen_to_draft",)
    change_form_template = "admin/metrics/rangeprofileversion/change_form.html"
    about = ("profile", "number", "status", "valid_from", "published_at", "published_by", "reason", "rule_list")
    readonly_fields = (*about, "scored_throws", "own_weights", "thresholds_used")
    fieldsets = (
        (None, {"fields": about}),
        (
            "Scored throws",
            {"fields": ("condition_surface", "condition_intent", "condition_pitch_type", "condition_ball")},
        ),
        ("Weights", {"fields": ("weights",)}),
        ("Thresholds", {"fields": tuple(THRESHOLD_FORM_FIELDS)}),
    )
    published_fieldsets = (
        (None, {"fields": about}),
        ("Settings", {"fields": ("scored_throws", "own_weights", "thresholds_used")}),
    )

    def get_queryset(self, request: HttpRequest) -> QuerySet[RangeProfileVersion]:
        return super().get_queryset(request).annotate(rules_in_it=Count("rules"))

    @admin.display(description="rules")
    def rule_count(self, version: Any) -> int:
        return version.rules_in_it

    @admin.display(description="rules")
    def rule_list(self, version: RangeProfileVersion) -> str:
        url = reverse("admin:metrics_rangerule_changelist")
        return format_html('<a href="{}?version__id__exact={}">{} rules</a>', url, version.pk, version.rules.count())

    @admin.display(description="scored throws")
    def scored_throws(self, version: RangeProfileVersion) -> str:
        return _lines(version.conditions) or "any"

    @admin.display(description="weights")
    def own_weights(self, version: RangeProfileVersion) -> str:
        return _lines(version.weights) or "as the catalogue has them"

    @admin.display(description="thresholds")
    def thresholds_used(self, version: RangeProfileVersion) -> str:
        return _lines(version.thresholds) or "the starting ones"

    def get_fieldsets(self, request: HttpRequest, obj: RangeProfileVersion | None = None) -> Any:
        return self.published_fieldsets if obj and obj.is_published else self.fieldsets

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        """Only `weights` is a field of the row; the rest are the form's own."""
        return super().get_form(request, obj, change, **{**kwargs, "fields": ("weights",)})

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """A version begins as the copy of another, or with its profile."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_change_permission(request, obj) and not (obj and obj.is_published)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_delete_permission(request, obj) and not (obj and obj.is_published)

    def save_model(self, request: HttpRequest, obj: RangeProfileVersion, form: Any, change: bool) -> None:
        try:
            change_settings(
                version=obj,
                thresholds=form.thresholds,
                weights=form.cleaned_data["weights"],
                conditions=form.conditions,
                by=account_of(request),
            )
        except ValidationError:
            raise PermissionDenied from None  # it was published after the form was checked

    def get_deleted_objects(self, objs: Any, request: HttpRequest) -> tuple[list, dict, set, list]:
        """A draft goes with its rules; nothing else can hang on it."""
        versions = list(objs)
        words = [f"{version} with its {version.rules.count()} rules" for version in versions]
        protected = [str(version) for version in versions if version.is_published]
        return words, {"drafts": len(versions)}, set(), protected

    def delete_model(self, request: HttpRequest, obj: RangeProfileVersion) -> None:
        discard_draft(version=obj, by=account_of(request))

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[RangeProfileVersion]) -> None:
        for version in queryset:
            discard_draft(version=version, by=account_of(request))

    @admin.action(description="Copy to draft", permissions=["view"])
    def copy_chosen_to_draft(self, request: HttpRequest, queryset: QuerySet[RangeProfileVersion]) -> None:
        for version in queryset:
            draft = copy_to_draft(version=version, by=account_of(request))
            messages.success(request, f"{version} was copied to the draft {draft}.")

    def get_urls(self) -> list[Any]:
        view = self.admin_site.admin_view
        return [
            path("<int:pk>/copy/", view(self.copy_page), name="metrics_rangeprofileversion_copy"),
            path("<int:pk>/publish/", view(self.publish_page), name="metrics_rangeprofileversion_publish"),
            *super().get_urls(),
        ]

    def _step(self, request: HttpRequest, version: RangeProfileVersion, title: str, **more: Any) -> HttpResponse:
        context = {**self.admin_site.each_context(request), "title": title, "version": version, "opts": self.opts}
        return render(request, "admin/metrics/rangeprofileversion/step.html", {**context, **more})

    def _load(self, request: HttpRequest, pk: int) -> RangeProfileVersion:
        version = self.get_object(request, str(pk))
        if version is None:
            raise Http404
        return version

    def copy_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        version = self._load(request, pk)
        if request.method != "POST":
            return self._step(request, version, f"Copy {version} to a draft", button="Copy to draft", form=Form())
        draft = copy_to_draft(version=version, by=account_of(request))
        messages.success(request, f"{draft} is a draft: change it, then publish it.")
        return HttpResponseRedirect(reverse("admin:metrics_rangeprofileversion_change", args=[draft.pk]))

    def publish_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        version = self._load(request, pk)
        form = PublishForm(request.POST or None, initial={"valid_from": facility_today()})
        if request.method == "POST" and form.is_valid():
            try:
                publish_version(version=version, by=account_of(request), **form.cleaned_data)
            except ValidationError as error:
                form.add_error(None, error)
            else:
                messages.success(request, f"{version} is published, valid from {version.valid_from}.")
                return HttpResponseRedirect(reverse("admin:metrics_rangeprofileversion_change", args=[pk]))
        wrong = [] if version.is_published or form.is_bound else what_is_wrong(version)
        return self._step(request, version, f"Publish {version}", button="Publish", form=form, wrong=wrong)


def _lines(settings: dict[str, Any]) -> str:
    return "\n".join(f"{name} = {value}" for name, value in settings.items())
