"""Cause links in Django's admin: drafts are worked on and published, published versions are only shown."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from athletes.models import ChangeLog
from athletes.saving import as_csv
from metrics.catalogue.causes import load_links
from metrics.cause_files import links_table
from metrics.causes import LINK_FIELDS, links_of
from metrics.models import CauseGraphVersion, CauseLink
from metrics.services.causes import copy_to_draft, install_starting_cause_links
from tests.conftest import CAST
from tests.factories import CauseLinkFactory, publish

pytestmark = pytest.mark.django_db
INLINE = re.compile(r"<style\b|\sstyle\s*=|<script\b(?![^>]*\bsrc=)|\son[a-z]+\s*=\s*[\"']|javascript:", re.IGNORECASE)
LIST, ADD = "admin:metrics_causelink_changelist", "admin:metrics_causelink_add"
STEPS = ("copy", "publish", "picture", "table", "upload")


@pytest.fixture
def office(client_of, admin, facility):
    """The admin's browser."""
    return client_of(admin)


@pytest.fixture
def draft():
    version = CauseLinkFactory(version__number=2).version
    CauseLinkFactory(version=version, effect="stride_length", cause="drive_force_forward_max", reason="A weak push.")
    return version


@pytest.fixture
def published():
    return publish(CauseLinkFactory(version__number=1).version)


def version_url(version: CauseGraphVersion, page: str = "change") -> str:
    return reverse(f"admin:metrics_causegraphversion_{page}", args=[version.pk])


def link_url(link: CauseLink, page: str = "change") -> str:
    return reverse(f"admin:metrics_causelink_{page}", args=[link.pk])


def form_of(page):
    return page.context["adminform"].form


def typed(form, **changes: object) -> dict[str, object]:
    """What a browser would send of a form as it stands, with these fields typed over."""
    values = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    return {name: "" if value is None else value for name, value in {**values, **changes}.items()}


NEW = {
    "effect": "stride_length",
    "effect_direction": "low",
    "cause": "stride_time",
    "cause_direction": "low",
    "kind": "timing",
    "strength": "weak",
    "reason": "A rushed stride is short.",
    "source": "house",
    "status": "house_opinion",
}


def add(office, draft, **changes: object):
    page = office.get(reverse(ADD), {"version": draft.pk})
    return office.post(reverse(ADD), typed(form_of(page), version=draft.pk, **NEW | changes))


# ---- who ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in CAST if name != "admin"])
def test_only_admins_reach_the_pages(name, cast, client_of, published, draft):
    pages = [
        reverse("admin:metrics_causegraphversion_changelist"),
        *(version_url(version, page) for version in (published, draft) for page in ("change", *STEPS)),
        *(reverse(LIST), reverse(ADD), link_url(draft.links.first())),
    ]
    client = client_of(cast[name])
    assert {client.get(address).status_code for address in pages} == {302}
    for page in ("copy", "publish", "upload"):
        assert client.post(version_url(draft, page), {"valid_from": "2026-05-01", "reason": "x"}).status_code == 302
    assert list(CauseGraphVersion.objects.values_list("number", "status")) == [(2, "draft"), (1, "published")]


def test_admins_find_cause_links_in_the_navigation(office, admin):
    assert reverse("admin:metrics_causegraphversion_changelist") in office.get("/").content.decode()


def test_missing_version_is_not_found(office, draft):
    for page in STEPS:
        assert office.get(version_url(draft, page).replace(str(draft.pk), "999999")).status_code == 404


# ---- every page under the content policy ----------------------------------------------------------------


def test_every_page_opens_and_has_nothing_that_the_content_policy_refuses(office, published, draft):
    pages = [reverse("admin:metrics_causegraphversion_changelist"), reverse(LIST), reverse(ADD)]
    for version in (published, draft):
        pages += [version_url(version, page) for page in ("change", "history", *STEPS)]
        pages += [link_url(link) for link in version.links.all()]
        pages.append(version_url(version, "picture") + "?node=all")
    found = {}
    for address in pages:
        page = office.get(address)
        assert "unsafe" not in page.headers["Content-Security-Policy"]
        found[address] = (page.status_code, INLINE.findall(page.content.decode()))
    assert {address: what for address, what in found.items() if what != (200, [])} == {}


# ---- published ------------------------------------------------------------------------------------------


def test_published_version_and_link_show_no_field_to_type_in(office, published):
    for address in (version_url(published), link_url(published.links.get())):
        page = office.get(address)
        assert page.context["has_change_permission"] is False
        assert page.context["has_delete_permission"] is False
        names = set(re.findall(r'<(?:input|select|textarea)[^>]* name="(\w+)"', page.content.decode()))
        assert names <= {"csrfmiddlewaretoken"}


def test_published_rows_cannot_be_deleted(office, published):
    link = published.links.get()
    for address in (version_url(published, "delete"), link_url(link, "delete")):
        assert office.post(address, {"post": "yes"}).status_code == 403
    for model, row in (("causelink", link), ("causegraphversion", published)):
        sent = {"action": "delete_selected", "_selected_action": [row.pk], "post": "yes"}
        office.post(reverse(f"admin:metrics_{model}_changelist"), sent)
    assert CauseLink.objects.filter(pk=link.pk).exists()
    assert CauseGraphVersion.objects.filter(pk=published.pk).exists()


def test_link_cannot_be_added_to_a_published_version_and_what_was_typed_stays(office, published, draft):
    answer = add(office, published)
    assert "it was published or discarded. Choose another one" in " ".join(form_of(answer).errors["version"])
    assert "A rushed stride is short." in answer.content.decode()
    assert published.links.count() == 1


# ---- the first version ----------------------------------------------------------------------------------


def test_installation_without_links_begins_with_the_starting_ones(office, admin):
    address = reverse("admin:metrics_causegraphversion_add")
    assert address in office.get(reverse("admin:metrics_causegraphversion_changelist")).content.decode()
    assert "There are no cause links yet" in office.get(address).content.decode()
    assert not CauseGraphVersion.objects.exists()
    answer = office.post(address)
    version = CauseGraphVersion.objects.get()
    assert answer.url == version_url(version)
    assert (version.links.count(), version.published_by) == (len(load_links()), admin)


def test_there_is_only_one_beginning(office, published):
    for answer in (
        office.get(reverse("admin:metrics_causegraphversion_add")),
        office.post("/admin/metrics/causegraphversion/add/"),
    ):
        assert answer.status_code == 403
    assert CauseGraphVersion.objects.count() == 1


# ---- copy, publish, discard -----------------------------------------------------------------------------


def test_copy_makes_a_draft_and_opens_it(office, published):
    office.get(version_url(published, "copy"))
    assert CauseGraphVersion.objects.count() == 1
    answer = office.post(version_url(published, "copy"))
    draft = CauseGraphVersion.objects.get(status="draft")
    assert answer.url == version_url(draft)
    assert links_of(draft) == links_of(published)


def test_chosen_versions_are_copied_from_the_list(office, published):
    sent = {"action": "copy_chosen_to_draft", "_selected_action": [published.pk]}
    office.post(reverse("admin:metrics_causegraphversion_changelist"), sent)
    assert list(CauseGraphVersion.objects.filter(status="draft").values_list("number", flat=True)) == [2]


def publish_by_form(office, draft, page=None, **changes: object):
    form = (page or office.get(version_url(draft, "publish"))).context["form"]
    sent = {"valid_from": "2026-05-01", "reason": "Plates.", "as_read": form.initial["as_read"], **changes}
    return office.post(version_url(draft, "publish"), sent)


def test_publish_page_asks_for_date_and_reason_and_publishes(office, draft, admin, clock):
    page = office.get(version_url(draft, "publish"))
    assert page.context["form"].initial["valid_from"] == dt.date(2026, 4, 14)
    assert publish_by_form(office, draft, page).url == version_url(draft)
    row = CauseGraphVersion.objects.get(pk=draft.pk)
    assert (row.status, row.valid_from, row.reason) == ("published", dt.date(2026, 5, 1), "Plates.")
    assert row.published_by == admin


@pytest.mark.parametrize("missing", ["valid_from", "reason"])
def test_publishing_without_date_or_reason_says_so_at_the_field(office, draft, missing):
    answer = publish_by_form(office, draft, **{missing: ""})
    assert list(answer.context["form"].errors) == [missing]
    assert not CauseGraphVersion.objects.get(pk=draft.pk).is_published


def test_publish_page_shows_what_is_wrong_before_and_after_trying(office, draft):
    CauseLinkFactory(version=draft, cause="elbow_wobble")
    for answer in (office.get(version_url(draft, "publish")), publish_by_form(office, draft)):
        assert "elbow_wobble" in answer.content.decode()
        assert "errorlist" in answer.content.decode()
    assert not CauseGraphVersion.objects.get(pk=draft.pk).is_published


def test_what_differs_from_the_published_version_is_shown_before_publishing(office, published, admin):
    draft = copy_to_draft(version=published, by=admin)
    draft.links.update(strength="strong")
    CauseLinkFactory(version=draft, cause="stride_time", reason="Newly seen.")
    for page in ("publish", "change"):
        text = office.get(version_url(draft, page)).content.decode()
        assert "What differs from Cause links 1" in text
        assert "Added: 1" in text
        assert "Newly seen." in text
        assert "Changed: 1" in text
        assert "strength: moderate → strong" in text
    CauseLink.objects.filter(version=draft, cause="stride_length").delete()
    assert "Removed: 1" in office.get(version_url(draft, "publish")).content.decode()


def test_copy_without_a_change_says_that_nothing_differs(office, published, admin):
    draft = copy_to_draft(version=published, by=admin)
    assert "Nothing: the links are the same." in office.get(version_url(draft, "publish")).content.decode()


def test_draft_that_changed_while_the_publish_page_was_open_is_shown_again(office, draft):
    page = office.get(version_url(draft, "publish"))
    CauseLinkFactory(version=draft, cause="stride_time", reason="Added by somebody else.")
    answer = publish_by_form(office, draft, page)
    text = answer.content.decode()
    assert "The draft changed while this page was open" in text
    assert 'value="Plates."' in text
    assert not CauseGraphVersion.objects.get(pk=draft.pk).is_published
    as_read = re.search(r'name="as_read" value="(\w+)"', text)[1]
    assert publish_by_form(office, draft, as_read=as_read).status_code == 302
    assert CauseGraphVersion.objects.get(pk=draft.pk).is_published


def test_draft_is_discarded_with_its_links(office, draft):
    assert b"with its 2 links" in office.get(version_url(draft, "delete")).content
    assert office.post(version_url(draft, "delete"), {"post": "yes"}).status_code == 302
    assert not CauseLink.objects.exists()
    assert ChangeLog.objects.get().action == "cause links draft discarded"


# ---- the table ------------------------------------------------------------------------------------------


def listed(office, **query: object) -> list[tuple[str, str]]:
    page = office.get(reverse(LIST), query)
    return [(link.effect, link.cause) for link in page.context["cl"].result_list]


ARM_BY_STRIDE = ("shoulder_external_rotation_fp", "stride_length")
STRIDE_BY_PUSH = ("stride_length", "drive_force_forward_max")


def test_list_shows_the_newest_version_and_another_when_asked(office, published, draft):
    assert listed(office) == [ARM_BY_STRIDE, STRIDE_BY_PUSH]
    assert listed(office, of=published.pk) == [ARM_BY_STRIDE]
    assert listed(office, of="nonsense") == [ARM_BY_STRIDE, STRIDE_BY_PUSH]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"lane": "arm"}, [ARM_BY_STRIDE]),
        ({"lane": "lower_half"}, [STRIDE_BY_PUSH]),
        ({"effect": "stride_length"}, [STRIDE_BY_PUSH]),
        ({"cause": "stride_length"}, [ARM_BY_STRIDE]),
        ({"q": "forward force"}, [STRIDE_BY_PUSH]),  # the name, which the rows do not hold
        ({"q": "weak push"}, [STRIDE_BY_PUSH]),
    ],
)
def test_table_is_filtered_and_searched(office, draft, query, found):
    assert listed(office, **query) == found


def test_choosing_an_effect_keeps_the_other_filters(office, draft):
    text = office.get(reverse(LIST), {"of": draft.pk, "effect": "stride_length"}).content.decode()
    assert f'<input type="hidden" name="of" value="{draft.pk}">' in text
    assert '<option value="stride_length" selected>' in text


def test_table_of_the_shipped_links_costs_the_same_for_few_and_many(office, draft, django_assert_max_num_queries):
    draft.links.all().delete()
    draft.delete()
    install_starting_cause_links()
    with django_assert_max_num_queries(16):
        page = office.get(reverse(LIST))
    assert len(page.context["cl"].result_list) == len(load_links())


# ---- one link -------------------------------------------------------------------------------------------


def test_link_is_added_changed_and_removed(office, draft, admin):
    assert add(office, draft).status_code == 302
    link = draft.links.get(cause="stride_time")
    answer = office.post(link_url(link), typed(form_of(office.get(link_url(link))), strength="strong"))
    assert answer.status_code == 302
    assert draft.links.get(pk=link.pk).strength == "strong"
    assert office.post(link_url(link, "delete"), {"post": "yes"}).status_code == 302
    actions = ["cause link removed", "cause link changed", "cause link added"]
    assert list(ChangeLog.objects.values_list("action", flat=True)) == actions
    assert set(ChangeLog.objects.values_list("who", flat=True)) == {admin.uuid}


def test_chosen_links_are_removed_from_the_list_and_logged(office, draft):
    chosen = list(draft.links.values_list("pk", flat=True))
    sent = {"action": "delete_selected", "_selected_action": chosen, "post": "yes"}
    office.post(reverse(LIST), sent)
    assert not draft.links.exists()
    assert ChangeLog.objects.filter(action="cause link removed").count() == 2


def test_circle_is_refused_at_once_with_its_path(office, draft):
    answer = add(office, draft, effect="drive_force_forward_max", cause="shoulder_external_rotation_fp")
    said = " ".join(form_of(answer).errors["__all__"])
    assert "These causes lead back to themselves" in said
    assert "Stride length at foot plant" in said
    assert draft.links.count() == 2


def test_cause_later_than_its_effect_is_refused(office, draft):
    answer = add(office, draft, cause="elbow_varus_torque_max", cause_direction="high")
    assert form_of(answer).errors["__all__"]
    assert draft.links.count() == 2


def test_link_that_somebody_else_changed_is_shown_and_saved_only_when_asked_again(office, draft):
    link = draft.links.get(effect="stride_length")
    sent = typed(form_of(office.get(link_url(link))), reason="What I typed.")
    CauseLink.objects.filter(pk=link.pk).update(strength="strong")
    answer = office.post(link_url(link), sent)
    text = answer.content.decode()
    assert "Somebody changed this link while this page was open. It now says:" in text
    assert "What I typed." in text
    assert draft.links.get(pk=link.pk).reason == "A weak push."
    as_read = re.search(r'name="as_read" value="(\w+)"', text)[1]
    assert office.post(link_url(link), {**sent, "as_read": as_read}).status_code == 302
    assert draft.links.get(pk=link.pk).reason == "What I typed."


def test_link_that_somebody_else_removed_opens_as_a_new_one_with_what_was_typed(office, draft):
    link = draft.links.get(effect="stride_length")
    sent = typed(form_of(office.get(link_url(link))), reason="What I typed.")
    CauseLink.objects.filter(pk=link.pk).delete()
    answer = office.post(link_url(link), sent, follow=True)
    text = answer.content.decode()
    assert "Somebody took this link away" in text
    form = form_of(answer)
    assert (form.initial["reason"], form.initial["cause"]) == ("What I typed.", "drive_force_forward_max")
    assert form.initial["version"] == str(draft.pk)
    assert draft.links.count() == 1


def test_link_whose_draft_was_published_meanwhile_says_so_with_what_was_typed(office, draft):
    link = draft.links.get(effect="stride_length")
    sent = typed(form_of(office.get(link_url(link))), reason="What I typed.")
    publish(draft)
    text = office.post(link_url(link), sent, follow=True).content.decode()
    assert "This version is published: nothing in it can change." in text
    assert "What I typed." in text
    assert CauseLink.objects.get(pk=link.pk).reason == "A weak push."


# ---- the table as a file --------------------------------------------------------------------------------


def upload(office, version, data: bytes):
    return office.post(version_url(version, "upload"), {"file": SimpleUploadedFile("links.csv", data, "text/csv")})


def test_table_is_saved_and_uploaded_into_a_draft(office, published, admin):
    saved = office.get(version_url(published, "table"))
    assert saved.headers["Content-Disposition"] == 'attachment; filename="cause-links-1.csv"'
    draft = copy_to_draft(version=published, by=admin)
    draft.links.all().delete()
    assert upload(office, draft, saved.content).url == version_url(draft)
    assert links_of(draft) == links_of(published)
    assert ChangeLog.objects.filter(action="cause links replaced by a file").count() == 1


def test_file_with_problems_lists_them_by_row_and_changes_nothing(office, draft):
    before = links_of(draft)
    rows = [*links_table(before), ("stride_time", "early", *tuple(NEW.values())[2:], "")]
    text = upload(office, draft, as_csv(rows)).content.decode()
    assert "Nothing was changed." in text
    assert "Row 4: effect_direction is “early”." in text
    assert links_of(draft) == before


def test_file_with_a_circle_is_refused_with_its_path(office, draft):
    back = ("drive_force_forward_max", "low", "shoulder_external_rotation_fp", "low", *tuple(NEW.values())[4:], "")
    before = links_of(draft)
    assert len(back) == len(LINK_FIELDS)
    text = upload(office, draft, as_csv([*links_table(before), back])).content.decode()
    assert "These causes lead back to themselves" in text
    assert links_of(draft) == before


def test_file_for_a_published_version_is_refused(office, published):
    text = upload(office, published, as_csv(links_table(load_links()))).content.decode()
    assert "nothing in it can change" in text
    assert published.links.count() == 1


def test_no_file_says_so(office, draft):
    assert "This field is required" in office.post(version_url(draft, "upload"), {}).content.decode()


# ---- the picture ----------------------------------------------------------------------------------------


def test_picture_shows_what_leads_to_the_finding_that_is_most_explained(office, draft):
    page = office.get(version_url(draft, "picture")).context["page"]
    assert page.node in ("stride_length:low", "shoulder_external_rotation_fp:low")
    assert not page.is_whole


def test_picture_and_table_say_the_same(office, published, draft):
    for query, count in (({"node": "all"}, 2), ({"node": "stride_length:low"}, 2), ({"node": "stride_length"}, 2)):
        answer = office.get(version_url(draft, "picture"), query)
        page, text = answer.context["page"], answer.content.decode()
        assert (len(page.rows), text.count('class="cp-link'), len(page.picture.links)) == (count,) * 3
        assert 'role="img"' in text


def test_picture_of_a_choice_that_the_links_do_not_know_is_the_ordinary_one(office, draft):
    ordinary = office.get(version_url(draft, "picture")).context["page"]
    assert office.get(version_url(draft, "picture"), {"node": "elbow_wobble"}).context["page"] == ordinary


def test_draft_without_links_says_what_would_stand_there(office, draft):
    draft.links.all().delete()
    assert "there is nothing to draw" in office.get(version_url(draft, "picture")).content.decode()
