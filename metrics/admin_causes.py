"""Admin pages of the versions of the cause links: what changed, publishing, the picture, and the table as a file.

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
from athletes.saving import save_answer
from athletes.today import facility_today
from metrics.cause_files import MOST_BYTES, UnreadableLinks, links_table, read_links
from metrics.cause_problems import worth_knowing
from metrics.causes import digest_of, links_of
from metrics.forms_causes import LinksFileForm, PublishLinksForm
from metrics.models import CauseGraphVersion
from metrics.selectors.cause_links import cause_picture_page, changes_since_published
from metrics.services.cause_drafts import discard_draft, replace_links
from metrics.services.causes import copy_to_draft, install_starting_cause_links, publish_version, what_is_wrong

CHANGE = "admin:metrics_causegraphversion_change"
LIST = "admin:metrics_causegraphversion_changelist"


@admin.register(CauseGraphVersion)
class CauseGraphVersionAdmin(admin.ModelAdmin):
    list_display = ("__str__", "status", "valid_from", "published_at", "published_by", "link_count", "reason")
    list_filter = ("status",)
    list_select_related = ("published_by",)
    actions = ("copy_chosen_to_draft",)
    change_form_template = "admin/metrics/causegraphversion/change_form.html"
    fields = ("number", "status", "valid_from", "published_at", "published_by", "reason", "link_list")
    readonly_fields = fields

    def get_queryset(self, request: HttpRequest) -> QuerySet[CauseGraphVersion]:
        return super().get_queryset(request).annotate(links_in_it=Count("links"))

    @admin.display(description="links")
    def link_count(self, version: Any) -> int:
        return version.links_in_it

    @admin.display(description="links")
    def link_list(self, version: Any) -> str:
        url = reverse("admin:metrics_causelink_changelist")
        return format_html('<a href="{}?of={}">{} links</a>', url, version.pk, version.links_in_it)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """A version begins as the copy of another; the first one with the links that Moundbook brings."""
        return super().has_add_permission(request) and not CauseGraphVersion.objects.exists()

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """What can change in a draft are its links; they have pages of their own."""
        return super().has_change_permission(request, obj) and obj is None

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_delete_permission(request, obj) and not (obj and obj.is_published)

    def get_deleted_objects(self, objs: Any, request: HttpRequest) -> tuple[list, dict, set, list]:
        """A draft goes with its links; nothing else can hang on it."""
        versions = list(objs)
        words = [f"{version} with its {version.links.count()} links" for version in versions]
        protected = [str(version) for version in versions if version.is_published]
        return words, {"drafts": len(versions)}, set(), protected

    def delete_model(self, request: HttpRequest, obj: CauseGraphVersion) -> None:
        discard_draft(version=obj, by=account_of(request))

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[CauseGraphVersion]) -> None:
        for version in queryset:
            discard_draft(version=version, by=account_of(request))

    @admin.action(description="Copy to draft", permissions=["view"])
    def copy_chosen_to_draft(self, request: HttpRequest, queryset: QuerySet[CauseGraphVersion]) -> None:
        for version in queryset:
            draft = copy_to_draft(version=version, by=account_of(request))
            messages.success(request, f"{version} was copied to the draft {draft}.")

    def add_view(
        self, request: HttpRequest, form_url: str = "", extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """There is nothing to type in: one button stores and publishes the starting links."""
        if not self.has_add_permission(request):
            raise PermissionDenied
        if request.method != "POST":
            return self._page(request, None, "step", title="Begin with cause links", button="Begin", form=Form())
        version = install_starting_cause_links(by=account_of(request))
        messages.success(request, "The starting links are published. Copy them to a draft to change them.")
        return HttpResponseRedirect(reverse(CHANGE, args=[version.pk]) if version else reverse(LIST))

    def get_urls(self) -> list[Any]:
        view = self.admin_site.admin_view
        pages = ("copy", "publish", "picture", "table", "upload")
        return [
            *(
                path(f"<int:pk>/{page}/", view(getattr(self, f"{page}_page")), name=f"metrics_causegraphversion_{page}")
                for page in pages
            ),
            *super().get_urls(),
        ]

    def change_view(
        self, request: HttpRequest, object_id: str, form_url: str = "", extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        version = self.get_object(request, object_id)
        more: dict[str, Any] = {}
        if version:
            told = {"wrong": _wrong_draft(version), "known": worth_knowing(links_of(version))}
            more = {"changes": changes_since_published(version), **told}
        return super().change_view(request, object_id, form_url, {**(extra_context or {}), **more})

    def _page(
        self, request: HttpRequest, version: CauseGraphVersion | None, template: str, **more: Any
    ) -> HttpResponse:
        context = {**self.admin_site.each_context(request), "version": version, "opts": self.opts, **more}
        return render(request, f"admin/metrics/causegraphversion/{template}.html", context)

    def _load(self, request: HttpRequest, pk: int) -> CauseGraphVersion:
        version = self.get_object(request, str(pk))
        if version is None:
            raise Http404
        return version

    def copy_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        version = self._load(request, pk)
        if request.method != "POST":
            title = f"Copy {version} to a draft"
            return self._page(request, version, "step", title=title, button="Copy to draft", form=Form())
        draft = copy_to_draft(version=version, by=account_of(request))
        messages.success(request, f"{draft} is a draft: change its links, then publish it.")
        return HttpResponseRedirect(reverse(CHANGE, args=[draft.pk]))

    def publish_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        version = self._load(request, pk)
        as_read = digest_of(links_of(version))
        form = PublishLinksForm(request.POST or None, initial={"valid_from": facility_today(), "as_read": as_read})
        if request.method == "POST" and form.is_valid():
            try:
                publish_version(version=version, by=account_of(request), **form.cleaned_data)
            except ValidationError as error:
                form.add_error(None, error)
                form.show_anew(as_read)
            else:
                messages.success(request, f"{version} is published, valid from {version.valid_from}.")
                return HttpResponseRedirect(reverse(CHANGE, args=[pk]))
        told = {"wrong": [] if form.is_bound else _wrong_draft(version), "known": worth_knowing(links_of(version))}
        more = {"changes": changes_since_published(version), **told}
        return self._page(request, version, "step", title=f"Publish {version}", button="Publish", form=form, **more)

    def picture_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        version = self._load(request, pk)
        page = cause_picture_page(version, request.GET.get("node", ""))
        return self._page(request, version, "picture", title=f"{version}: picture", page=page)

    def table_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        version = self._load(request, pk)
        return save_answer(request, f"cause-links-{version.number}", links_table(links_of(version)))

    def upload_page(self, request: HttpRequest, pk: int) -> HttpResponse:
        version = self._load(request, pk)
        form = LinksFileForm(request.POST, request.FILES) if request.method == "POST" else LinksFileForm()
        wrong: list[str] = []
        if request.method == "POST" and form.is_valid():
            try:
                links = read_links(form.cleaned_data["file"].read(MOST_BYTES + 1))
                replace_links(version=version, links=links, by=account_of(request))
            except UnreadableLinks as error:
                wrong = list(error.sentences)
            except ValidationError as error:
                wrong = error.messages
            else:
                messages.success(request, f"{version} has the {len(links)} links of the file now.")
                return HttpResponseRedirect(reverse(CHANGE, args=[pk]))
        more = {"form": form, "wrong": wrong, "multipart": True, "refused": bool(wrong)}
        return self._page(request, version, "step", title=f"Links of {version} from a file", button="Upload", **more)


def _wrong_draft(version: CauseGraphVersion) -> list[str]:
    return [] if version.is_published else what_is_wrong(version)
