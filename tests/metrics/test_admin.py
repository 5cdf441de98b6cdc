"""Range profiles in Django's admin: drafts are worked on and published, published versions are only shown."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.contrib import admin as django_admin
from django.urls import reverse

from athletes.models import ChangeLog, ViewLog
from metrics.admin_rules import RangeRuleAdmin
from metrics.judging.values import STARTING_THRESHOLDS
from metrics.models import RangeProfile, RangeProfileVersion, RangeRule
from metrics.services.profiles import install_starting_profiles
from sessions.models import SessionExtract
from tests.conftest import CAST
from tests.factories import (
    CaptureSessionFactory,
    FindingFactory,
    ImportRecipeFactory,
    RangeRuleFactory,
    ScoringFactory,
    StandingFactory,
    ThrowFactory,
    UploadFactory,
    publish,
)

pytestmark = pytest.mark.django_db
SHOWN_ONLY = ("importrecipe", "scoring", "finding", "standing")


@pytest.fixture
def office(client_of, admin, facility):
    """The admin's browser."""
    return client_of(admin)


@pytest.fixture
def draft():
    return RangeRuleFactory(metric="stride_length", target_low=76, target_high=94, flag_low=67, flag_high=103).version


@pytest.fixture
def published():
    return publish(RangeRuleFactory().version)


def version_url(version: RangeProfileVersion, page: str = "change") -> str:
    return reverse(f"admin:metrics_rangeprofileversion_{page}", args=[version.pk])


def rule_url(rule: RangeRule, page: str = "change") -> str:
    return reverse(f"admin:metrics_rangerule_{page}", args=[rule.pk])


def typed(form: object, **changes: object) -> dict[str, object]:
    """What a browser would send of a form as it stands, with these fields typed over."""
    values = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    shown = {name: form.fields[name].prepare_value(value) for name, value in values.items()}
    return {name: "" if value is None else value for name, value in {**shown, **changes}.items()}


def form_of(page: object) -> object:
    return page.context["adminform"].form


# ---- who ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in CAST if name != "admin"])
def test_only_admins_reach_the_pages(name, cast, client_of, published):
    addresses = [
        reverse("admin:metrics_rangeprofile_changelist"),
        version_url(published),
        version_url(published, "copy"),
        version_url(published, "publish"),
        reverse("admin:metrics_rangerule_changelist"),
    ]
    client = client_of(cast[name])
    assert {client.get(address).status_code for address in addresses} == {302}
    assert client.post(version_url(published, "copy")).status_code == 302
    assert RangeProfileVersion.objects.count() == 1


# ---- every page under the content policy ----------------------------------------------------------------

INLINE = re.compile(r"<style\b|\sstyle\s*=|<script\b(?![^>]*\bsrc=)|\son[a-z]+\s*=\s*[\"']|javascript:", re.IGNORECASE)


def every_page() -> list[str]:
    """List, adding and changing page of each model of these rooms, and the two steps of a version."""
    pages = []
    for model in django_admin.site._registry:
        if model._meta.app_label not in ("metrics", "capture_sessions"):
            continue
        base = f"admin:{model._meta.app_label}_{model._meta.model_name}"
        pages.append(reverse(f"{base}_changelist"))
        pages += [reverse(f"{base}_change", args=[row.pk]) for row in model._default_manager.all()]
        if model in (RangeProfile, RangeRule):
            pages.append(reverse(f"{base}_add"))
    for version in RangeProfileVersion.objects.all():
        pages += [version_url(version, name) for name in ("copy", "publish", "delete", "history")]
    return pages


def test_every_page_opens_and_has_nothing_that_the_content_policy_refuses(office, draft, published):
    session = CaptureSessionFactory()
    SessionExtract.objects.create(session=session)
    FindingFactory(session=session)
    ScoringFactory(session=session, profile_version=published)
    StandingFactory(athlete=session.athlete)
    ThrowFactory(session=session)
    UploadFactory()
    ImportRecipeFactory()
    found = {}
    for address in every_page():
        page = office.get(address)
        policy = page.headers["Content-Security-Policy"]
        assert "unsafe" not in policy
        allowed_refusal = address == version_url(published, "delete")
        found[address] = (page.status_code == (403 if allowed_refusal else 200), INLINE.findall(page.content.decode()))
    assert {address: what for address, what in found.items() if what != (True, [])} == {}
    assert len(found) > 25


# ---- published ------------------------------------------------------------------------------------------


def test_published_version_shows_no_field_to_type_in(office, published):
    for address in (version_url(published), rule_url(published.rules.get())):
        page = office.get(address)
        assert page.context["has_change_permission"] is False
        assert page.context["has_delete_permission"] is False
        names = set(re.findall(r'<(?:input|select|textarea)[^>]* name="(\w+)"', page.content.decode()))
        assert names <= {"csrfmiddlewaretoken"}


@pytest.mark.parametrize("page", ["change", "delete"])
def test_published_version_and_rule_refuse_a_post(office, published, page):
    rule = published.rules.get()
    for address in (version_url(published, page), rule_url(rule, page)):
        assert office.post(address, {"weights": "stride_length = 9", "target_low": 1, "post": "yes"}).status_code == 403
    assert RangeRule.objects.get().target_low == rule.target_low


def test_published_rows_cannot_be_deleted_from_the_lists(office, published):
    for model, row in (("rangerule", published.rules.get()), ("rangeprofileversion", published)):
        sent = {"action": "delete_selected", "_selected_action": [row.pk], "post": "yes"}
        office.post(reverse(f"admin:metrics_{model}_changelist"), sent)
    assert RangeRule.objects.exists()
    assert RangeProfileVersion.objects.exists()


def test_rule_cannot_be_added_to_a_published_version(office, published, draft):
    page = office.get(reverse("admin:metrics_rangerule_add"), {"version": published.pk})
    assert list(form_of(page).fields["version"].queryset) == [draft]
    sent = typed(form_of(page), metric="stride_length", target_low=1, target_high=2, source="x", status="house_opinion")
    answer = office.post(reverse("admin:metrics_rangerule_add"), {**sent, "version": published.pk})
    assert "version" in form_of(answer).errors


# ---- copy and publish -----------------------------------------------------------------------------------


def test_copy_makes_a_draft_and_opens_it(office, published):
    assert b"Copy to draft" in office.get(version_url(published, "copy")).content
    answer = office.post(version_url(published, "copy"))
    draft = RangeProfileVersion.objects.get(status="draft")
    assert answer.url == version_url(draft)
    assert draft.rules.count() == 1


def test_opening_the_copy_page_copies_nothing(office, published):
    office.get(version_url(published, "copy"))
    assert RangeProfileVersion.objects.count() == 1


def test_chosen_versions_are_copied_from_the_list(office, published):
    sent = {"action": "copy_chosen_to_draft", "_selected_action": [published.pk]}
    office.post(reverse("admin:metrics_rangeprofileversion_changelist"), sent)
    assert list(RangeProfileVersion.objects.filter(status="draft").values_list("number", flat=True)) == [2]


def test_publish_page_asks_for_date_and_reason_and_publishes(office, draft, admin, clock):
    page = office.get(version_url(draft, "publish"))
    assert page.context["form"].initial["valid_from"] == dt.date(2026, 4, 14)
    answer = office.post(version_url(draft, "publish"), {"valid_from": "2026-05-01", "reason": "Longer strides."})
    assert answer.url == version_url(draft)
    row = RangeProfileVersion.objects.get(pk=draft.pk)
    assert (row.status, row.valid_from, row.reason) == ("published", dt.date(2026, 5, 1), "Longer strides.")
    assert row.published_by == admin


@pytest.mark.parametrize("missing", ["valid_from", "reason"])
def test_publishing_without_date_or_reason_says_so_at_the_field(office, draft, missing):
    sent = {"valid_from": "2026-05-01", "reason": "Longer strides.", missing: ""}
    answer = office.post(version_url(draft, "publish"), sent)
    assert list(answer.context["form"].errors) == [missing]
    assert not RangeProfileVersion.objects.get(pk=draft.pk).is_published


def test_publish_page_shows_what_is_wrong_before_and_after_trying(office, draft):
    RangeRuleFactory(version=draft, metric="stride_length")
    sent = {"valid_from": "2026-05-01", "reason": "Try."}
    for answer in (office.get(version_url(draft, "publish")), office.post(version_url(draft, "publish"), sent)):
        assert "can both win for one athlete" in answer.content.decode()
    assert not RangeProfileVersion.objects.get(pk=draft.pk).is_published


# ---- rules of a draft -----------------------------------------------------------------------------------


def change_rule(office, rule: RangeRule, **changes: object):
    form = form_of(office.get(rule_url(rule)))
    return office.post(rule_url(rule), typed(form, **changes))


def test_rule_of_a_draft_is_saved_and_logged(office, draft, admin):
    rule = draft.rules.get()
    assert change_rule(office, rule, target_low="77.5", note="Measured here.").status_code == 302
    rule.refresh_from_db()
    assert (rule.target_low, rule.note) == (77.5, "Measured here.")
    assert ChangeLog.objects.get(action="range rule changed").who == admin.uuid


WRONG = {
    "reversed target": ({"target_low": 94, "target_high": 76}, "target_low", "low end must lie below its high end"),
    "flag inside target": ({"flag_low": 80}, "flag_low", "lies inside the target"),
    "no target": ({"target_low": "", "target_high": "", "flag_low": "", "flag_high": ""}, "target_low", "open on both"),
    "flag without target": ({"target_low": ""}, "target_low", "there is a flag limit on the low side"),
    "missing unit": (
        {"target_high": "", "flag_high": "", "flag_low": 76},
        "unit_low",
        "say how far off counts as one unit of severity",
    ),
    "slope without size": ({"slope_target_low": 0.2}, "size_basis", "no body size is named"),
    "interval turned round": (
        {"size_basis": "height", "size_ref": 180, "size_low": 190, "size_high": 170},
        "size_low",
        "turn it round",
    ),
    "unknown definition": ({"definition": "by ear"}, "definition", "is no definition of stride_length"),
}


@pytest.mark.parametrize("name", WRONG)
def test_wrong_rule_is_refused_with_one_sentence_at_its_field(office, draft, name):
    changes, field, sentence = WRONG[name]
    before = RangeRule.objects.values().get()
    errors = form_of(change_rule(office, draft.rules.get(), **changes)).errors
    assert sentence.casefold() in " ".join(errors[field]).casefold()
    assert "__all__" not in errors
    assert RangeRule.objects.values().get() == before


def test_rule_that_overlaps_another_is_refused_and_names_it(office, draft):
    other = draft.rules.get()
    page = office.get(reverse("admin:metrics_rangerule_add"), {"version": draft.pk})
    sent = typed(
        form_of(page), metric="stride_length", target_low=70, target_high=90, source="x", status="house_opinion"
    )
    answer = office.post(reverse("admin:metrics_rangerule_add"), sent)
    assert f"({other.pk} and this rule) can both win" in " ".join(form_of(answer).errors["__all__"])
    for narrower in ({"level": "college"}, {"metric": "stride_time"}):
        assert office.post(reverse("admin:metrics_rangerule_add"), {**sent, **narrower}).status_code == 302
    assert draft.rules.count() == 3


def test_rule_of_a_draft_is_deleted_and_logged(office, draft):
    assert office.post(rule_url(draft.rules.get(), "delete"), {"post": "yes"}).status_code == 302
    assert not draft.rules.exists()
    assert ChangeLog.objects.get().action == "range rule removed"


def test_rules_are_found_by_the_name_of_their_metric(office, draft):
    RangeRuleFactory(version=draft)
    page = office.get(reverse("admin:metrics_rangerule_changelist"), {"q": "stride length"})
    assert [rule.metric for rule in page.context["cl"].result_list] == ["stride_length"]


def test_list_of_rules_costs_the_same_for_few_and_many(office, django_assert_max_num_queries):
    install_starting_profiles()
    assert RangeRule.objects.count() > 100
    with django_assert_max_num_queries(14):
        page = office.get(reverse("admin:metrics_rangerule_changelist"))
    assert len(page.context["cl"].result_list) == RangeRuleAdmin.list_per_page


# ---- settings of a draft --------------------------------------------------------------------------------


def change_version(office, version: RangeProfileVersion, **changes: object):
    form = form_of(office.get(version_url(version)))
    return office.post(version_url(version), typed(form, **changes))


def test_draft_without_settings_shows_the_starting_thresholds(office, draft):
    form = form_of(office.get(version_url(draft)))
    assert form.initial["threshold_flag"] == STARTING_THRESHOLDS.flag
    assert form.initial["threshold_recurring_n"] == STARTING_THRESHOLDS.recurring_n


def test_settings_of_a_draft_are_saved_and_logged(office, draft):
    changes = {
        "threshold_flag": "0.85",
        "threshold_confirm_n": "6",
        "weights": "stride_length = 7\n\nstride_time=2.5",
        "condition_surface": "mound",
    }
    assert change_version(office, draft, **changes).status_code == 302
    draft.refresh_from_db()
    assert (draft.thresholds["flag"], draft.thresholds["confirm_n"]) == (0.85, 6)
    assert draft.thresholds["sure"] == STARTING_THRESHOLDS.sure
    assert draft.weights == {"stride_length": 7.0, "stride_time": 2.5}
    assert draft.conditions == {"surface": "mound"}
    assert ChangeLog.objects.get().action == "range profile settings changed"


WRONG_SETTINGS = {
    "chance above one": ({"threshold_flag": "80"}, "__all__", "flag is a chance: expected 0.5 to 1"),
    "more than all": ({"threshold_recurring_k": "4"}, "__all__", "recurring_k must lie between 1 and recurring_n"),
    "no number": ({"threshold_flag": "much"}, "threshold_flag", "Enter a number"),
    "unknown metric": ({"weights": "elbow_wobble = 3"}, "weights", "which the catalogue does not have"),
    "too heavy": ({"weights": "stride_length = 12"}, "weights", "Give a number from 0 to 10"),
    "not a number": ({"weights": "stride_length = nan"}, "weights", "Give a number from 0 to 10"),
    "twice": ({"weights": "stride_length = 1\nstride_length = 2"}, "weights", "Line 2: stride_length has a weight"),
    "no weight": ({"weights": "stride_time = 1\nstride_length"}, "weights", "Line 2: write metric = weight"),
}


@pytest.mark.parametrize("name", WRONG_SETTINGS)
def test_wrong_settings_are_refused_with_a_sentence(office, draft, name):
    changes, field, sentence = WRONG_SETTINGS[name]
    errors = form_of(change_version(office, draft, **changes)).errors
    assert sentence in " ".join(errors[field])
    draft.refresh_from_db()
    assert (draft.thresholds, draft.weights) == ({}, {})


def test_draft_is_discarded_with_its_rules(office, draft):
    assert b"with its 1 rules" in office.get(version_url(draft, "delete")).content
    assert office.post(version_url(draft, "delete"), {"post": "yes"}).status_code == 302
    assert not RangeProfileVersion.objects.exists()
    assert ChangeLog.objects.get().action == "range profile draft discarded"


# ---- profiles -------------------------------------------------------------------------------------------


def test_new_profile_begins_with_a_draft(office):
    none = {"versions-TOTAL_FORMS": 0, "versions-INITIAL_FORMS": 0}
    sent = {"name": "Left-handers", "description": "", **none}
    assert office.post(reverse("admin:metrics_rangeprofile_add"), sent).status_code == 302
    assert RangeProfileVersion.objects.get().profile.name == "Left-handers"


def use(office, *profiles: RangeProfile):
    sent = {"action": "use_for_new_scorings", "_selected_action": [profile.pk for profile in profiles]}
    return office.post(reverse("admin:metrics_rangeprofile_changelist"), sent, follow=True)


def test_profile_is_put_in_use_from_the_list(office, published):
    assert f"“{published.profile.name}” is in use" in use(office, published.profile).content.decode()
    assert RangeProfile.objects.get(in_use=True) == published.profile


def test_profile_that_cannot_be_used_says_why(office, draft, published):
    assert "has no published version yet" in use(office, draft.profile).content.decode()
    assert "exactly one is in use" in use(office, draft.profile, published.profile).content.decode()
    assert not RangeProfile.objects.filter(in_use=True).exists()


def test_profiles_cannot_be_deleted(office, draft):
    address = reverse("admin:metrics_rangeprofile_delete", args=[draft.profile.pk])
    assert office.post(address, {"post": "yes"}).status_code == 403


# ---- what is only shown ---------------------------------------------------------------------------------


@pytest.mark.parametrize("model", SHOWN_ONLY)
def test_computed_rows_cannot_be_added_changed_or_deleted(office, model):
    assert office.get(reverse(f"admin:metrics_{model}_add")).status_code == 403


def test_finding_is_shown_without_a_field_and_the_look_is_logged(office, admin):
    finding = FindingFactory()
    address = reverse("admin:metrics_finding_change", args=[finding.pk])
    assert list(form_of(office.get(address)).fields) == []
    look = ViewLog.objects.get()
    assert (look.who, look.athlete_uuid, look.what) == (admin.uuid, finding.session.athlete.uuid, "admin: finding")
    assert office.post(address, {"zone": "in_range"}).status_code == 403
