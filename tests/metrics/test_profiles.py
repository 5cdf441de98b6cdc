"""Range profiles: installing, resolving by date, publishing, using; and what the database keeps from being changed."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from athletes.models import ChangeLog
from metrics.models import RangeProfile, RangeProfileVersion, RangeRule
from metrics.profiles import rules_of, to_rule, version_for
from metrics.services.profile_drafts import change_settings, discard_draft, remove_rule, save_rule
from metrics.services.profiles import (
    STARTING_DATE,
    copy_to_draft,
    install_starting_profiles,
    publish_version,
    start_profile,
    use_profile,
    what_is_wrong,
)
from tests.factories import (
    RangeProfileFactory,
    RangeProfileVersionFactory,
    RangeRuleFactory,
    ScoringFactory,
    publish,
    starting_profiles,
)

pytestmark = pytest.mark.django_db
SPRING, SUMMER = dt.date(2026, 3, 1), dt.date(2026, 7, 1)
DAY = dt.timedelta(days=1)


@pytest.fixture
def draft():
    """A draft with one sound rule."""
    return RangeRuleFactory().version


@pytest.fixture
def published():
    return publish(RangeRuleFactory().version)


def published_on(profile: RangeProfile, day: dt.date, number: int) -> RangeProfileVersion:
    version = RangeProfileVersionFactory(profile=profile, number=number)
    RangeRuleFactory(version=version)
    return publish(version, valid_from=day)


# ---- the starting profiles ------------------------------------------------------------------------------


def test_installing_makes_two_published_profiles_with_the_house_one_in_use():
    made = install_starting_profiles()
    assert [profile.name for profile in made] == ["Published", "House starting"]
    assert [profile.name for profile in RangeProfile.objects.filter(in_use=True)] == ["House starting"]
    assert all(version.is_published for version in RangeProfileVersion.objects.all())
    assert version_for(STARTING_DATE).profile.name == "House starting"


def test_installing_twice_is_installing_once():
    install_starting_profiles()
    before = set(RangeRule.objects.values_list("pk", flat=True))
    assert install_starting_profiles() == []
    assert set(RangeRule.objects.values_list("pk", flat=True)) == before


def everything_stored() -> list[list[dict[str, object]]]:
    """Profiles, versions, rules and log, but for keys and times."""
    mortal = ("id", "uuid", "profile_id", "version_id", "published_at", "when", "object_uuid")
    models = (RangeProfile, RangeProfileVersion, RangeRule, ChangeLog)
    return [
        [
            {name: value for name, value in row.items() if name not in mortal}
            for row in model.objects.order_by("pk").values()
        ]
        for model in models
    ]


def test_the_profiles_that_other_tests_are_given_are_those_of_the_service():
    """tests/factories/starting.py stores them from memory."""
    taken = {}
    for name, make in (
        ("service", install_starting_profiles),
        ("first", starting_profiles),
        ("again", starting_profiles),
    ):
        with transaction.atomic():
            made = make()
            assert made == list(RangeProfile.objects.order_by("pk"))
            taken[name] = everything_stored()
            transaction.set_rollback(True)
    assert len(taken["service"][2]) > 400
    assert taken["first"] == taken["service"]
    assert taken["again"] == taken["service"]


def test_installing_leaves_the_profile_in_use_alone():
    mine = RangeProfileFactory(in_use=True)
    install_starting_profiles()
    assert RangeProfile.objects.get(in_use=True) == mine


def test_starting_profiles_have_nothing_wrong_with_them():
    install_starting_profiles()
    assert {version.profile.name: what_is_wrong(version) for version in RangeProfileVersion.objects.all()} == {
        "Published": [],
        "House starting": [],
    }


# ---- which version applies ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "number"),
    [
        (SPRING - 400 * DAY, 1),  # before the first: its first one
        (SPRING, 1),
        (SUMMER - DAY, 1),
        (SUMMER, 2),
        (SUMMER + 400 * DAY, 2),
    ],
)
def test_newest_version_valid_on_the_date_applies(day, number):
    profile = RangeProfileFactory(in_use=True)
    published_on(profile, SPRING, 1)
    published_on(profile, SUMMER, 2)
    assert version_for(day).number == number


def test_of_two_versions_from_one_date_the_later_one_applies():
    profile = RangeProfileFactory(in_use=True)
    for number in (1, 2):
        published_on(profile, SPRING, number)
    assert version_for(SPRING).number == 2


def test_drafts_and_profiles_not_in_use_never_apply():
    RangeProfileVersionFactory(profile__in_use=True)
    published_on(RangeProfileFactory(), SPRING, 1)
    assert version_for(SUMMER) is None


def test_draft_is_read_anew_and_a_published_version_once(draft, django_assert_num_queries):
    assert [len(rules) for rules in rules_of(draft).rules.values()] == [1]
    RangeRuleFactory(version=draft, level="college")
    assert [len(rules) for rules in rules_of(draft).rules.values()] == [2]
    rules_of(publish(draft))
    with django_assert_num_queries(0):
        rules_of(draft)


def test_empty_text_means_any_when_judging():
    rule = to_rule(RangeRuleFactory(method="video", level=""))
    assert (rule.method, rule.level, rule.landing, rule.definition) == ("video", None, None, None)


# ---- publishing -----------------------------------------------------------------------------------------


def test_publishing_keeps_date_reason_and_who(draft, admin, clock):
    publish_version(version=draft, by=admin, valid_from=SUMMER, reason=" Wider elbow. ")
    row = RangeProfileVersion.objects.get(pk=draft.pk)
    assert (row.status, row.valid_from, row.reason) == ("published", SUMMER, "Wider elbow.")
    assert (row.published_by, row.published_at) == (admin, clock.now)
    log = ChangeLog.objects.get(action="range profile published")
    assert (log.object_uuid, log.who, log.after) == (draft.uuid, admin.uuid, {"valid_from": "2026-07-01"})


def test_publishing_needs_a_reason(draft, admin):
    with pytest.raises(ValidationError, match="Say in a sentence why"):
        publish_version(version=draft, by=admin, valid_from=SUMMER, reason="  ")


def test_publishing_twice_is_refused_even_from_an_older_copy_of_the_row(draft, admin):
    older = RangeProfileVersion.objects.get(pk=draft.pk)
    publish_version(version=draft, by=admin, valid_from=SUMMER, reason="First.")
    with pytest.raises(ValidationError, match="published already"):
        publish_version(version=older, by=admin, valid_from=SPRING, reason="Second.")


CONFLICTS = {
    "overlap": ({"level": "college"}, {"level": "college"}, "can both win for one athlete"),
    "unknown metric": ({}, {"metric": "elbow_wobble"}, "The catalogue has no metric “elbow_wobble”."),
    "unknown definition": ({}, {"level": "youth", "definition": "by ear"}, "“by ear” is no definition of"),
    "slope without size": ({}, {"level": "youth", "slope_flag_low": 0.1}, "no body size is named"),
    "missing unit": (
        {},
        {"level": "youth", "target_low": None, "flag_low": None, "target_high": 90, "flag_high": 90},
        "say how far off counts as one unit of severity",
    ),
}


@pytest.mark.parametrize("name", CONFLICTS)
def test_publishing_refuses_conflicting_rules_with_a_sentence(name, admin):
    first, second, sentence = CONFLICTS[name]
    version = RangeProfileVersionFactory()
    RangeRuleFactory(version=version, **first)
    RangeRuleFactory(version=version, **second)
    with pytest.raises(ValidationError) as refused:
        publish_version(version=version, by=admin, valid_from=SUMMER, reason="Try.")
    assert any(sentence in said for said in refused.value.messages)
    assert not RangeProfileVersion.objects.get(pk=version.pk).is_published


SETTINGS = {
    "unknown threshold": ({"thresholds": {"flagg": 0.8}}, "There is no threshold “flagg”."),
    "threshold no chance": ({"thresholds": {"flag": 8}}, "flag is a chance: expected 0.5 to 1"),
    "threshold of text": ({"thresholds": {"flag": "high"}}, "Thresholds:"),
    "weight too great": ({"weights": {"stride_length": 11}}, "Give a number from 0 to 10."),
    "weight of nothing": ({"weights": {"elbow_wobble": 5}}, "which the catalogue does not have"),
    "weight of text": ({"weights": {"stride_length": "much"}}, "Give a number from 0 to 10."),
    "unknown condition": ({"conditions": {"weather": "dry"}}, "There is no condition “weather”"),
    "unknown surface": ({"conditions": {"surface": "ice"}}, "surface cannot be “ice”"),
}


@pytest.mark.parametrize("name", SETTINGS)
def test_publishing_refuses_settings_that_cannot_be_used(name, admin):
    settings, sentence = SETTINGS[name]
    version = RangeRuleFactory(**{f"version__{key}": value for key, value in settings.items()}).version
    with pytest.raises(ValidationError) as refused:
        publish_version(version=version, by=admin, valid_from=SUMMER, reason="Try.")
    assert any(sentence in said for said in refused.value.messages)


def test_version_without_rules_cannot_be_published(admin):
    with pytest.raises(ValidationError, match="There is no rule yet"):
        publish_version(version=RangeProfileVersionFactory(), by=admin, valid_from=SUMMER, reason="Try.")


def test_sessions_keep_the_version_that_they_were_scored_by(published, admin):
    scoring = ScoringFactory(profile_version=published)
    draft = copy_to_draft(version=published, by=admin)
    publish_version(version=draft, by=admin, valid_from=SPRING, reason="Newer.")
    scoring.refresh_from_db()
    assert scoring.profile_version == published


# ---- drafts ---------------------------------------------------------------------------------------------


def test_copy_has_the_same_rules_and_settings_and_the_next_number(admin):
    version = RangeProfileVersionFactory(weights={"stride_length": 9}, thresholds={"flag": 0.9}, conditions={})
    RangeRuleFactory(version=version, level="youth", note="Measured here.")
    publish(version)
    draft = copy_to_draft(version=version, by=admin)
    assert (draft.number, draft.status, draft.valid_from) == (version.number + 1, "draft", None)
    assert (draft.weights, draft.thresholds) == ({"stride_length": 9}, {"flag": 0.9})
    fields = [field.name for field in RangeRule._meta.fields if field.name not in ("id", "version")]
    assert list(draft.rules.values(*fields)) == list(version.rules.values(*fields))


def test_rule_of_a_draft_is_changed_and_logged(draft, admin):
    rule = draft.rules.get()
    rule.target_low = 88.0
    save_rule(rule=rule, by=admin)
    log = ChangeLog.objects.get(action="range rule changed")
    assert (log.before["target_low"], log.after["target_low"]) == (90.0, 88.0)


def test_rule_with_reversed_limits_is_not_stored(draft, admin):
    rule = draft.rules.get()
    rule.target_low, rule.target_high = 110.0, 90.0
    with pytest.raises(ValidationError):
        save_rule(rule=rule, by=admin)
    assert draft.rules.get().target_low == 90.0


def test_rule_cannot_move_to_another_draft(draft, admin):
    rule = draft.rules.get()
    rule.version = RangeProfileVersionFactory()
    with pytest.raises(ValidationError, match="stays in its version"):
        save_rule(rule=rule, by=admin)


def test_services_refuse_to_change_a_published_version(published, admin):
    rule = published.rules.get()
    for change in (
        lambda: save_rule(rule=rule, by=admin),
        lambda: remove_rule(rule=rule, by=admin),
        lambda: change_settings(version=published, thresholds={}, weights={}, conditions={}, by=admin),
        lambda: discard_draft(version=published, by=admin),
    ):
        with pytest.raises(ValidationError, match="nothing in it can change"):
            change()


def test_discarded_draft_goes_with_its_rules(draft, admin):
    discard_draft(version=draft, by=admin)
    assert not RangeProfileVersion.objects.exists()
    assert not RangeRule.objects.exists()
    assert ChangeLog.objects.get().before == {"name": str(draft), "rules": 1}


# ---- the profile in use ---------------------------------------------------------------------------------


def test_using_a_profile_takes_the_other_out_of_use(published, admin):
    earlier = RangeProfileFactory(in_use=True)
    use_profile(profile=published.profile, by=admin)
    assert RangeProfile.objects.get(in_use=True) == published.profile
    assert ChangeLog.objects.get().before == {"profile": earlier.name}


def test_profile_without_a_published_version_cannot_be_used(draft, admin):
    with pytest.raises(ValidationError, match="has no published version yet"):
        use_profile(profile=draft.profile, by=admin)


def test_new_profile_begins_with_an_empty_draft(admin):
    profile = start_profile(name=" Left-handers ", description="", by=admin)
    assert profile.name == "Left-handers"
    assert list(profile.versions.values_list("number", "status")) == [(1, "draft")]


# ---- the database ---------------------------------------------------------------------------------------

FORBIDDEN = {
    "update of the version": "UPDATE metrics_rangeprofileversion SET reason = 'x' WHERE id = {version}",
    "version back to draft": "UPDATE metrics_rangeprofileversion SET status = 'draft' WHERE id = {version}",
    "delete of the version": "DELETE FROM metrics_rangeprofileversion WHERE id = {version}",
    "update of a rule": "UPDATE metrics_rangerule SET target_low = 1 WHERE id = {rule}",
    "rule moved out": "UPDATE metrics_rangerule SET version_id = {draft} WHERE id = {rule}",
    "rule moved in": "UPDATE metrics_rangerule SET version_id = {version} WHERE id = {draft_rule}",
    "delete of a rule": "DELETE FROM metrics_rangerule WHERE id = {rule}",
}


@pytest.mark.parametrize("name", FORBIDDEN)
def test_database_refuses_to_change_a_published_version(name, published):
    draft_rule = RangeRuleFactory(metric="stride_length")
    ids = {"version": published.pk, "rule": published.rules.get().pk}
    statement = FORBIDDEN[name].format(**ids, draft=draft_rule.version_id, draft_rule=draft_rule.pk)
    before = (list(RangeProfileVersion.objects.values()), list(RangeRule.objects.values()))
    with pytest.raises(IntegrityError, match="cannot be changed"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    assert (list(RangeProfileVersion.objects.values()), list(RangeRule.objects.values())) == before


def test_database_refuses_a_new_rule_in_a_published_version(published):
    with pytest.raises(IntegrityError, match="cannot be changed"), transaction.atomic():
        RangeRuleFactory(version=published, level="youth")


def test_database_lets_drafts_change_and_become_published(draft):
    with connection.cursor() as cursor:
        cursor.execute("UPDATE metrics_rangerule SET target_low = 91 WHERE version_id = %s", [draft.pk])
        cursor.execute(
            "UPDATE metrics_rangeprofileversion SET status = 'published', valid_from = '2026-03-01', "
            "published_at = '2026-03-01 12:00:00+00:00' WHERE id = %s",
            [draft.pk],
        )
    assert RangeProfileVersion.objects.get(pk=draft.pk).is_published


def test_triggers_are_there_after_all_migrations():
    catalogue = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
    }
    with connection.cursor() as cursor:
        cursor.execute(catalogue[connection.vendor])
        names = {name for (name,) in cursor.fetchall()}
    assert names >= {
        "metrics_rangeprofileversion_no_update",
        "metrics_rangeprofileversion_no_delete",
        "metrics_rangerule_no_insert",
        "metrics_rangerule_no_update",
        "metrics_rangerule_no_delete",
    }
