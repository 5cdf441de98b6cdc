"""Working on cause links: installing, drafts, what is refused, publishing, and what the log keeps."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from athletes.models import ChangeLog
from metrics.catalogue.causes import load_links
from metrics.cause_problems import problems_among, worth_knowing
from metrics.causes import digest_of, graph_for, links_of, to_link
from metrics.models import CauseGraphVersion, CauseLink
from metrics.services.cause_drafts import discard_draft, remove_link, replace_links, save_link
from metrics.services.causes import (
    STARTING_DATE,
    copy_to_draft,
    install_starting_cause_links,
    publish_version,
    what_is_wrong,
)
from tests.factories import CauseGraphVersionFactory, CauseLinkFactory, RangeRuleFactory, publish

pytestmark = pytest.mark.django_db
SUMMER = dt.date(2026, 7, 1)
SAID = {"kind": "mechanics", "strength": "weak", "reason": "Why.", "source": "test", "status": "house_opinion"}


@pytest.fixture
def draft():
    """A short stride ← a weak push; an arm that is late ← a short stride."""
    version = CauseLinkFactory().version
    CauseLinkFactory(version=version, effect="stride_length", cause="drive_force_forward_max")
    return version


@pytest.fixture
def published():
    return publish(CauseLinkFactory().version)


def link_between(cause: str, effect: str, **more: object) -> CauseLink:
    """ "stride_length low" → "elbow_flexion_fp low", not stored."""
    (cause, cause_direction), (effect, effect_direction) = cause.split(), effect.split()
    ends = {"cause": cause, "cause_direction": cause_direction, "effect": effect, "effect_direction": effect_direction}
    return CauseLink(**ends, **SAID | more)


def refusal(link: CauseLink, by: object) -> str:
    before = list(CauseLink.objects.values())
    with pytest.raises(ValidationError) as refused:
        save_link(link=link, by=by)
    assert list(CauseLink.objects.values()) == before
    assert not ChangeLog.objects.exists()
    return " ".join(refused.value.messages)


# ---- the starting links ---------------------------------------------------------------------------------


def test_installing_stores_and_publishes_every_shipped_link():
    version = install_starting_cause_links()
    assert sorted(map(repr, links_of(version))) == sorted(map(repr, load_links()))
    assert (version.is_published, version.valid_from, version.number) == (True, STARTING_DATE, 1)
    graph, found = graph_for(STARTING_DATE)
    assert (len(graph.links), found) == (len(load_links()), version)


def test_installing_twice_is_installing_once():
    install_starting_cause_links()
    assert install_starting_cause_links() is None
    assert CauseGraphVersion.objects.count() == 1


def test_installing_leaves_the_links_of_an_installation_alone(draft):
    assert install_starting_cause_links() is None
    assert list(CauseGraphVersion.objects.all()) == [draft]


# ---- copying and publishing -----------------------------------------------------------------------------


def test_copy_has_the_same_links_and_the_next_number(published, admin):
    CauseGraphVersionFactory(number=7)
    draft = copy_to_draft(version=published, by=admin)
    assert (draft.number, draft.status, draft.valid_from) == (8, "draft", None)
    assert links_of(draft) == links_of(published)
    log = ChangeLog.objects.get()
    assert (log.action, log.object_uuid, log.before) == ("cause links copied to draft", draft.uuid, {"from": 1})


def test_publishing_keeps_date_reason_and_who(draft, admin, clock):
    publish_version(version=draft, by=admin, valid_from=SUMMER, reason=" A new stride. ")
    row = CauseGraphVersion.objects.get(pk=draft.pk)
    assert (row.status, row.valid_from, row.reason) == ("published", SUMMER, "A new stride.")
    assert (row.published_by, row.published_at) == (admin, clock.now)
    log = ChangeLog.objects.get(action="cause links published")
    assert (log.object_uuid, log.who, log.after) == (draft.uuid, admin.uuid, {"valid_from": "2026-07-01"})


def test_publishing_needs_a_reason(draft, admin):
    with pytest.raises(ValidationError, match="Say in a sentence why"):
        publish_version(version=draft, by=admin, valid_from=SUMMER, reason="  ")


def test_publishing_twice_is_refused_even_from_an_older_copy_of_the_row(draft, admin):
    older = CauseGraphVersion.objects.get(pk=draft.pk)
    publish_version(version=draft, by=admin, valid_from=SUMMER, reason="First.")
    with pytest.raises(ValidationError, match="published already"):
        publish_version(version=older, by=admin, valid_from=SUMMER, reason="Second.")


def test_version_without_links_cannot_be_published(admin):
    with pytest.raises(ValidationError, match="There is no link yet"):
        publish_version(version=CauseGraphVersionFactory(), by=admin, valid_from=SUMMER, reason="Try.")


def test_draft_that_changed_after_it_was_read_is_not_published(draft, admin):
    as_read = digest_of(links_of(draft))
    CauseLink.objects.filter(version=draft, effect="stride_length").update(strength="strong")
    with pytest.raises(ValidationError, match="changed while this page was open"):
        publish_version(version=draft, by=admin, valid_from=SUMMER, reason="Try.", as_read=as_read)
    assert not CauseGraphVersion.objects.get(pk=draft.pk).is_published
    as_read = digest_of(links_of(draft))
    publish_version(version=draft, by=admin, valid_from=SUMMER, reason="Now.", as_read=as_read)


BROKEN = {
    "a circle": (
        ("drive_force_forward_max low", "shoulder_external_rotation_fp low"),
        "These causes lead back to themselves",
    ),
    "a metric that went": (
        ("stride_length low", "elbow_wobble low"),
        "the catalogue has no metric or screen 'elbow_wobble'",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_publishing_refuses_what_came_into_the_draft_past_the_form(name, draft, admin):
    (effect, cause), sentence = BROKEN[name]
    link = link_between(cause, effect, version=draft)
    link.save()
    assert any(sentence in said for said in what_is_wrong(draft))
    with pytest.raises(ValidationError, match=sentence):
        publish_version(version=draft, by=admin, valid_from=SUMMER, reason="Try.")


# ---- one link -------------------------------------------------------------------------------------------


def test_new_link_is_stored_and_logged(draft, admin):
    link = save_link(link=link_between("stride_time low", "stride_length low", version=draft), by=admin)
    assert draft.links.filter(pk=link.pk).exists()
    log = ChangeLog.objects.get()
    assert (log.action, log.object_uuid, log.before) == ("cause link added", draft.uuid, {})
    assert (log.after["cause"], log.after["strength"]) == ("stride_time", "weak")


def test_changed_link_is_stored_and_logged_before_and_after(draft, admin):
    link = draft.links.get(effect="stride_length")
    link.strength = "strong"
    save_link(link=link, by=admin, as_read=digest_of([to_link(draft.links.get(pk=link.pk))]))
    assert draft.links.get(pk=link.pk).strength == "strong"
    log = ChangeLog.objects.get()
    assert (log.action, log.before["strength"], log.after["strength"]) == ("cause link changed", "moderate", "strong")


def test_circle_is_refused_with_its_path_in_words(draft, admin):
    link = link_between("shoulder_external_rotation_fp low", "drive_force_forward_max low", version=draft)
    said = refusal(link, admin)
    assert "These causes lead back to themselves: " in said
    path = said.split("themselves: ", 1)[1].split(". Take", 1)[0].split(" → ")
    assert path[0] == path[-1]
    assert set(path) == {
        "Stride length at foot plant, low",
        "Shoulder external rotation at foot plant, low",
        "Maximum forward force of the drive leg, low",
    }


REFUSED = {
    "cause later than its effect": (
        ("shoulder_abduction_br low", "stride_length low"),
        "the cause lies after its effect",
    ),
    "load as a cause": (
        ("elbow_varus_torque_max high", "stride_length low"),
        "Maximum elbow varus torque is outcome, which is no cause",
    ),
    "unknown metric": (
        ("elbow_wobble low", "stride_length low"),
        "the catalogue has no metric or screen 'elbow_wobble'",
    ),
    "side missing": (
        ("latissimus_length low", "stride_length low"),
        "Name the side: latissimus_length_throwing, latissimus_length_other.",
    ),
    "direction that cannot be": (
        ("sequence_inversions low", "shoulder_abduction_br low"),
        "can never be, since its word for low is “in order”",
    ),
    "context as an effect": (("stride_time low", "height_velocity high"), "is context, never flagged"),
    "itself": (("stride_length high", "stride_length low"), "cannot be a cause of itself"),
    "pair that is there": (
        ("stride_length low", "shoulder_external_rotation_fp low"),
        "stands 2 times. Keep one of them.",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_link_that_cannot_be_is_refused_with_a_sentence_and_nothing_changes(name, draft, admin):
    (cause, effect), sentence = REFUSED[name]
    assert sentence in refusal(link_between(cause, effect, version=draft), admin)


@pytest.mark.parametrize("missing", ["reason", "source", "kind", "strength", "status"])
def test_link_without_one_of_its_words_is_refused(missing, draft, admin):
    with pytest.raises(ValidationError) as refused:
        save_link(link=link_between("stride_time low", "stride_length low", version=draft, **{missing: ""}), by=admin)
    assert missing in refused.value.message_dict


def test_fault_of_another_link_does_not_keep_this_one_from_being_saved(draft, admin):
    CauseLinkFactory(version=draft, cause="elbow_wobble")
    save_link(link=link_between("stride_time low", "stride_length low", version=draft), by=admin)
    assert draft.links.count() == 4


def test_link_cannot_move_to_another_draft(draft, admin):
    link = draft.links.first()
    link.version = CauseGraphVersionFactory(number=9)
    assert "stays in its version" in refusal(link, admin)


def test_link_that_somebody_else_changed_is_not_written_over_unseen(draft, admin):
    link = draft.links.get(effect="stride_length")
    as_read = digest_of([to_link(link)])
    CauseLink.objects.filter(pk=link.pk).update(reason="Seen on the plates.")
    link.strength = "strong"
    with pytest.raises(ValidationError, match=r"It now says: .*Seen on the plates"):
        save_link(link=link, by=admin, as_read=as_read)
    assert draft.links.get(pk=link.pk).strength == "moderate"


def test_link_that_somebody_else_took_away_does_not_come_back_unseen(draft, admin):
    link = draft.links.get(effect="stride_length")
    as_read = digest_of([to_link(link)])
    CauseLink.objects.filter(pk=link.pk).delete()
    with pytest.raises(ValidationError, match="took this link away"):
        save_link(link=link, by=admin, as_read=as_read)
    assert not draft.links.filter(effect="stride_length").exists()


def test_other_links_of_a_draft_may_change_meanwhile(draft, admin):
    one, other = draft.links.all()
    as_read = digest_of([to_link(one)])
    CauseLink.objects.filter(pk=other.pk).update(strength="weak")
    one.strength = "strong"
    save_link(link=one, by=admin, as_read=as_read)
    assert set(draft.links.values_list("strength", flat=True)) == {"weak", "strong"}


def test_removed_link_is_logged_with_what_it_said(draft, admin):
    remove_link(link=draft.links.get(effect="stride_length"), by=admin)
    log = ChangeLog.objects.get()
    assert (log.action, log.before["cause"]) == ("cause link removed", "drive_force_forward_max")
    assert draft.links.count() == 1


def test_direction_that_only_the_profile_in_use_judges_can_be_linked(draft, admin):
    """The starting profiles are open on this side."""
    link = link_between("pelvis_braking high", "elbow_flexion_br high", version=draft)
    with pytest.raises(ValidationError, match="every range is open on its high side"):
        save_link(link=link, by=admin)
    rule = RangeRuleFactory(version__profile__in_use=True, metric="pelvis_braking")
    publish(rule.version)
    save_link(link=link, by=admin)
    assert draft.links.filter(cause="pelvis_braking").exists()


def test_two_links_between_two_metrics_need_a_reason_when_all_is_there(draft, admin):
    """While links are changed one by one, neither could have its reason first."""
    link = save_link(
        link=link_between("stride_length high", "shoulder_external_rotation_fp low", version=draft), by=admin
    )
    wrong = what_is_wrong(draft)
    assert len(wrong) == 2
    assert all("Say in both_ways why both hold" in sentence for sentence in wrong)
    for row in (link, draft.links.get(effect=link.effect, cause_direction="low")):
        row.both_ways = "Both leave the arm late."
        save_link(link=row, by=admin)
    assert what_is_wrong(draft) == []


def test_links_left_out_and_causes_without_an_answer_are_worth_knowing_only(draft):
    assert worth_knowing(links_of(draft)) == []
    CauseLinkFactory(version=draft, cause="elbow_wobble")
    CauseLinkFactory(version=draft, cause="lead_knee_flexion_fp")
    retired, unanswered = worth_knowing(links_of(draft))
    assert "is left out: the catalogue has one of the two no more" in retired
    assert unanswered.endswith("Nothing in the library answers this.")


def test_shipped_links_leave_nothing_to_say():
    assert worth_knowing(load_links()) == []
    assert problems_among(load_links()) == []


# ---- all links at once, and the draft itself ------------------------------------------------------------


def test_links_of_a_file_take_the_place_of_all_and_the_log_says_what_changed(draft, admin):
    kept, gone = links_of(draft)
    new = to_link(link_between("stride_time low", "stride_length low"))
    replace_links(version=draft, links=[kept, new], by=admin)
    assert set(links_of(draft)) == {kept, new}
    log = ChangeLog.objects.get()
    assert [one["cause"] for one in log.after["added"]] == ["stride_time"]
    assert [one["cause"] for one in log.before["removed"]] == [gone.cause]


def test_file_with_one_wrong_link_changes_nothing(draft, admin):
    before = links_of(draft)
    wrong = to_link(link_between("elbow_wobble low", "stride_length low"))
    with pytest.raises(ValidationError, match="elbow_wobble"):
        replace_links(version=draft, links=[*before[:1], wrong], by=admin)
    assert links_of(draft) == before
    assert not ChangeLog.objects.exists()


def test_services_refuse_to_change_a_published_version(published, admin):
    link = published.links.get()
    for change in (
        lambda: save_link(link=link, by=admin),
        lambda: save_link(link=link_between("stride_time low", "stride_length low", version=published), by=admin),
        lambda: remove_link(link=link, by=admin),
        lambda: replace_links(version=published, links=[], by=admin),
        lambda: discard_draft(version=published, by=admin),
    ):
        with pytest.raises(ValidationError, match="nothing in it can change"):
            change()


def test_discarded_draft_goes_with_its_links(draft, admin):
    discard_draft(version=draft, by=admin)
    assert not CauseGraphVersion.objects.exists()
    assert not CauseLink.objects.exists()
    assert ChangeLog.objects.get().before == {"name": "Cause links 1", "links": 2}
