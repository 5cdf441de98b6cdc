"""Which version of the cause links applies, as what graph; and what the database keeps from being changed."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, connection, transaction

from metrics.causes import graph_for, graph_of, retired_links
from metrics.models import CauseGraphVersion, CauseLink
from metrics.tracing import Node
from tests.factories import CauseLinkFactory, publish

pytestmark = pytest.mark.django_db
SPRING, SUMMER = dt.date(2026, 3, 1), dt.date(2026, 7, 1)
DAY = dt.timedelta(days=1)


@pytest.fixture
def draft():
    """A draft with one sound link."""
    return CauseLinkFactory().version


@pytest.fixture
def published():
    return publish(CauseLinkFactory().version)


# ---- which version applies ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "number"),
    [
        (SPRING - 400 * DAY, 1),  # before the first: the first one
        (SPRING, 1),
        (SUMMER - DAY, 1),
        (SUMMER, 2),
        (SUMMER + 400 * DAY, 2),
    ],
)
def test_newest_version_valid_on_the_date_applies(day, number):
    for each, begins in ((1, SPRING), (2, SUMMER)):
        version = CauseLinkFactory(version__number=each).version
        publish(version, valid_from=begins)
    _, version = graph_for(day)
    assert version.number == number


def test_of_two_versions_from_one_date_the_later_one_applies():
    for each in (1, 2):
        publish(CauseLinkFactory(version__number=each).version, valid_from=SPRING)
    assert graph_for(SPRING)[1].number == 2


def test_there_is_no_graph_while_no_version_is_published(draft):
    assert graph_for(SUMMER) is None


# ---- the graph ------------------------------------------------------------------------------------------


def test_link_has_its_ends_and_a_strength_in_numbers(published):
    graph, _ = graph_for(SUMMER)
    (link,) = graph.links
    assert link.effect == Node("shoulder_external_rotation_fp", "low")
    assert link.cause == Node("stride_length", "low")
    assert 0 < link.strength < 1
    assert (link.reason, link.source) == ("A short stride leaves the arm less time to come up.", "factory")


def test_stronger_words_are_larger_numbers(draft):
    for cause, strength in (("stride_time", "weak"), ("trunk_opening_time", "strong")):
        CauseLinkFactory(version=draft, cause=cause, strength=strength)
    strengths = {link.cause.metric: link.strength for link in graph_of(draft).links}
    assert strengths["stride_time"] < strengths["stride_length"] < strengths["trunk_opening_time"]


def test_draft_is_read_anew_and_a_published_version_once(draft, django_assert_num_queries):
    assert len(graph_of(draft).links) == 1
    CauseLinkFactory(version=draft, cause="stride_time")
    assert len(graph_of(draft).links) == 2
    graph_of(publish(draft))
    with django_assert_num_queries(0):
        graph_of(draft)


@pytest.mark.parametrize("end", ["effect", "cause"])
def test_links_to_metrics_that_the_catalogue_has_no_more_are_left_out_and_named(draft, end):
    retired = CauseLinkFactory(version=draft, **{end: "elbow_wobble"})
    assert [link.cause.metric for link in graph_of(draft).links] == ["stride_length"]
    assert retired_links(draft) == [retired]


# ---- the database ---------------------------------------------------------------------------------------

FORBIDDEN = {
    "update of the version": "UPDATE metrics_causegraphversion SET reason = 'x' WHERE id = {version}",
    "version back to draft": "UPDATE metrics_causegraphversion SET status = 'draft' WHERE id = {version}",
    "delete of the version": "DELETE FROM metrics_causegraphversion WHERE id = {version}",
    "update of a link": "UPDATE metrics_causelink SET strength = 'weak' WHERE id = {link}",
    "link moved out": "UPDATE metrics_causelink SET version_id = {draft} WHERE id = {link}",
    "link moved in": "UPDATE metrics_causelink SET version_id = {version} WHERE id = {draft_link}",
    "delete of a link": "DELETE FROM metrics_causelink WHERE id = {link}",
}


@pytest.mark.parametrize("name", FORBIDDEN)
def test_database_refuses_to_change_a_published_version(name, published):
    draft_link = CauseLinkFactory(cause="stride_time")
    ids = {"version": published.pk, "link": published.links.get().pk}
    statement = FORBIDDEN[name].format(**ids, draft=draft_link.version_id, draft_link=draft_link.pk)
    before = (list(CauseGraphVersion.objects.values()), list(CauseLink.objects.values()))
    with pytest.raises(IntegrityError, match="cannot be changed"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    assert (list(CauseGraphVersion.objects.values()), list(CauseLink.objects.values())) == before


def test_database_refuses_a_new_link_in_a_published_version(published):
    with pytest.raises(IntegrityError, match="cannot be changed"), transaction.atomic():
        CauseLinkFactory(version=published, cause="stride_time")


IMPOSSIBLE = {
    "one pair twice": {},
    "a metric that causes itself": {"effect": "stride_length", "effect_direction": "high"},
    "a direction that is neither": {"cause_direction": "late"},
}


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_database_refuses_an_impossible_link(name, draft):
    with pytest.raises(IntegrityError), transaction.atomic():
        CauseLinkFactory(version=draft, **IMPOSSIBLE[name])


def test_database_refuses_a_published_version_without_its_date(draft):
    with pytest.raises(IntegrityError), transaction.atomic():
        CauseGraphVersion.objects.filter(pk=draft.pk).update(status="published")


def test_database_lets_drafts_change_and_become_published(draft):
    with connection.cursor() as cursor:
        cursor.execute("UPDATE metrics_causelink SET strength = 'weak' WHERE version_id = %s", [draft.pk])
        cursor.execute(
            "UPDATE metrics_causegraphversion SET status = 'published', valid_from = '2026-03-01', "
            "published_at = '2026-03-01 12:00:00+00:00' WHERE id = %s",
            [draft.pk],
        )
    assert CauseGraphVersion.objects.get(pk=draft.pk).is_published
