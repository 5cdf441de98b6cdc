"""Scoring stored sessions: rows replaced, history, staleness, and what each finding keeps of its decision."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from metrics.catalogue import load_catalogue
from metrics.models import Finding, Scoring
from metrics.profiles import rules_of
from metrics.scoring import decide_session
from metrics.selectors.session_rows import findings_lag
from metrics.services.scoring import rescore, rescore_session
from metrics.services.scoring_facts import gather_facts
from sessions.models import CaptureSession
from sessions.services.throws import Conditions, exclude_throw, include_throw, set_conditions
from tests import factories

pytestmark = pytest.mark.django_db

ELBOW = "elbow_flexion_fp"


@pytest.fixture
def version():
    """One published profile in use: elbow flexion at first touch, target 85 to 100, flags 80 and 105."""
    made = factories.RangeProfileVersionFactory(profile__in_use=True)
    factories.RangeRuleFactory(
        version=made, metric=ELBOW, landing="fc",
        target_low=85, target_high=100, flag_low=80, flag_high=105, source="Test source",
    )  # fmt: skip
    return factories.publish(made)


def captured(athlete, values: Iterable[float], *, date: dt.date = factories.DAY, **changes) -> CaptureSession:
    capture = factories.CaptureSessionFactory(athlete=athlete, date=date, **changes)
    for value in values:
        made = factories.ThrowFactory(session=capture)
        factories.ReadingFactory(throw=made, values={f"{ELBOW}@fc": {"value": value}})
    return capture


def elbow(capture: CaptureSession) -> Finding:
    return Finding.objects.get(session=capture, metric=ELBOW)


def is_being_recomputed(capture: CaptureSession) -> bool:
    return findings_lag(CaptureSession.objects.select_related("athlete", "scoring").get(pk=capture.pk))


def rows_of(capture: CaptureSession) -> list[dict]:
    return [
        {name: value for name, value in row.items() if name != "id"}
        for row in Finding.objects.filter(session=capture).order_by("metric").values()
    ]


def test_a_finding_keeps_the_whole_decision(version, athlete):
    capture = captured(athlete, [70, 72, 74, 72, 72])
    scoring = rescore(capture)
    found = elbow(capture)
    assert (found.n, found.mean, found.zone, found.side, found.sure) == (5, 72.0, "flag", "low", "sure")
    assert (found.target_low, found.flag_low, found.rule.source, found.rule_status) == (
        85.0,
        80.0,
        "Test source",
        "house_opinion",
    )
    assert found.moment == "fc"
    assert found.condition_set == "fastball · full_effort · mound · regulation"
    assert found.u**2 == pytest.approx(found.u_throw**2 + found.u_between**2 + found.u_constant**2)
    assert found.decision["source"] == "Test source"
    assert found.decision["written_for"]["landing"] == "fc"
    assert (scoring.scored_throws, scoring.throws, scoring.profile_version) == (5, 5, version)
    assert scoring.catalogue_version == load_catalogue().version
    assert not is_being_recomputed(capture)


def test_scoring_twice_gives_the_same_rows(version, athlete):
    capture = captured(athlete, [70, 72, 74])
    rescore(capture)
    first = rows_of(capture)
    rescore(capture)
    assert rows_of(capture) == first
    assert Scoring.objects.filter(session=capture).count() == 1


def test_without_a_published_profile_nothing_is_scored(athlete):
    capture = captured(athlete, [90, 90])
    assert rescore(capture) is None
    assert not Finding.objects.exists()


def test_a_withdrawn_session_is_left_alone(version, athlete, coach):
    capture = captured(athlete, [90, 90])
    capture.mark_withdrawn(coach, "")
    capture.save()
    rescore_session(capture.pk)
    assert not Scoring.objects.exists()


def test_excluding_a_throw_changes_n_and_mean_and_undo_brings_them_back(version, athlete, coach):
    capture = captured(athlete, [90, 90, 60])
    rescore(capture)
    before = rows_of(capture)
    last = capture.throws.last()
    exclude_throw(throw=last, by=coach, reason="slipped")
    assert is_being_recomputed(capture)
    rescore(capture)
    assert (elbow(capture).n, elbow(capture).mean) == (2, 90.0)
    include_throw(throw=last, by=coach)
    rescore(capture)
    assert rows_of(capture) == before


def test_conditions_decide_which_throws_are_scored(version, athlete, coach):
    capture = captured(athlete, [90, 90, 60])
    set_conditions(throw=capture.throws.last(), by=coach, conditions=Conditions(pitch_type="curveball"))
    rescore(capture)
    assert elbow(capture).mean == 90.0


def test_findings_of_a_newer_state_are_not_overwritten_by_an_older_run(version, athlete, monkeypatch):
    """A run that read revision 1 ends after one that read revision 2."""
    capture = captured(athlete, [90, 90])
    rescore(capture)
    Scoring.objects.filter(session=capture).update(scored_revision=capture.input_revision + 1)
    Finding.objects.filter(session=capture, metric=ELBOW).update(mean=1.0)
    rescore(capture)
    assert elbow(capture).mean == 1.0


def test_a_changed_body_size_makes_the_scoring_stale(version, athlete):
    capture = captured(athlete, [90, 90])
    rescore(capture)
    type(athlete).objects.filter(pk=athlete.pk).update(facts_revision=athlete.facts_revision + 1)
    assert is_being_recomputed(capture)


def test_the_version_of_the_first_scoring_stays(version, athlete):
    capture = captured(athlete, [90, 90])
    rescore(capture)
    newer = factories.RangeProfileVersionFactory(profile=version.profile)
    factories.RangeRuleFactory(version=newer, metric=ELBOW, landing="fc", target_low=10, target_high=20, flag_low=5,
                               flag_high=30)  # fmt: skip
    factories.publish(newer, valid_from=dt.date(2026, 1, 1))
    assert rescore(capture).profile_version == version
    assert rescore(capture, version=newer).profile_version == newer
    assert elbow(capture).zone == "flag"


def test_a_draft_judges_on_paper_and_stores_nothing(version, athlete):
    capture = captured(athlete, [90, 90, 90])
    rescore(capture)
    draft = factories.RangeProfileVersionFactory(profile=version.profile)
    factories.RangeRuleFactory(version=draft, metric=ELBOW, landing="fc", target_low=120, target_high=130,
                               flag_low=110, flag_high=140)  # fmt: skip
    score = decide_session(gather_facts(capture), rules_of(draft), load_catalogue())
    assert next(one for one in score.findings if one.metric == ELBOW).verdict.zone == "flag"
    assert elbow(capture).zone == "in_range"


def test_a_growing_athletes_height_is_interpolated_for_percent_of_height(version, athlete):
    """168 cm on 1 January, 172 cm on 1 May: 170 cm half way, on 2 March (60 of 120 days). 1.36 m is 80%."""
    athlete.body_sizes.all().delete()
    factories.BodySizeFactory(athlete=athlete, date=dt.date(2026, 1, 1), height_cm=168, mass_kg=60, arm_span_cm=None)
    factories.BodySizeFactory(athlete=athlete, date=dt.date(2026, 5, 1), height_cm=172, mass_kg=60, arm_span_cm=None)
    capture = factories.CaptureSessionFactory(athlete=athlete, date=dt.date(2026, 3, 2))
    factories.ReadingFactory(
        throw=factories.ThrowFactory(session=capture), values={"stride_length@fc": {"value": 1.36, "unit": "m"}}
    )
    rescore(capture)
    assert Finding.objects.get(session=capture, metric="stride_length").mean == pytest.approx(80.0)


def test_markers_stand_before_a_tables_number_of_the_same_name(version, athlete):
    capture = captured(athlete, [90])
    factories.ReadingFactory(throw=capture.throws.get(), source="markers", values={f"{ELBOW}@fc": {"value": 95.0}})
    rescore(capture)
    assert elbow(capture).mean == 95.0


def test_rule_and_reason_stand_with_what_is_not_scored(version, athlete):
    capture = captured(athlete, [90, 90], landing="fp")
    capture.throws.first().readings.update(values={f"{ELBOW}@fp": {"value": 90}})
    capture.throws.last().readings.update(values={f"{ELBOW}@fp": {"value": 90}})
    rescore(capture)
    found = elbow(capture)
    assert (found.zone, found.reason_code, found.rule, found.moment) == ("not_scored", "other_landing", None, "fp")
    assert "first touch" in found.reason


# ---- new, confirmed, recurring ----------------------------------------------------------------------------


def days_before(days: int) -> dt.date:
    return factories.DAY - dt.timedelta(days=days)


def test_a_flag_is_new_then_confirmed_then_recurring(version, athlete):
    """One unsure flag is to confirm; a second session agrees: confirmed; with it two of the last three: recurring."""
    first = captured(athlete, [73.0], date=days_before(60))
    second = captured(athlete, [73.0], date=days_before(30))
    third = captured(athlete, [73.0])
    for capture in (first, second, third):
        rescore(capture)
    assert elbow(first).sure == "likely"
    assert elbow(first).confirmation == "to_confirm"
    assert elbow(first).decision["new"] is True
    assert elbow(second).confirmation == "recurring"
    assert elbow(second).decision["flags_among_last"] == 2
    assert elbow(third).decision["flags_among_last"] == 3


def test_one_very_sure_session_of_five_throws_confirms_itself(version, athlete):
    capture = captured(athlete, [60.0] * 5)
    rescore(capture)
    assert elbow(capture).confirmation == "confirmed"


@pytest.mark.parametrize(
    "other",
    [
        {"method": "video"},
        {"filter_knowledge": "known", "filter_hz": 13.4},
    ],
)
def test_only_comparable_sessions_count(version, athlete, other):
    """Another method never counts; another filter counts for a metric that does not depend on it."""
    earlier = captured(athlete, [73.0], date=days_before(30), **other)
    now = captured(athlete, [73.0])
    rescore(earlier)
    rescore(now)
    assert (elbow(now).confirmation == "recurring") == (other.get("method") is None)


def test_another_filter_is_not_comparable_where_the_filter_matters(athlete):
    metric = "shoulder_external_rotation_max"
    version = factories.RangeProfileVersionFactory(profile__in_use=True)
    factories.RangeRuleFactory(version=version, metric=metric, target_low=160, target_high=180, flag_low=150,
                               flag_high=200)  # fmt: skip
    factories.publish(version)
    for days, filter_hz in ((60, 20.0), (30, 13.4), (0, 13.4)):
        capture = factories.CaptureSessionFactory(
            athlete=athlete, date=days_before(days), filter_knowledge="known", filter_hz=filter_hz
        )
        made = factories.ThrowFactory(session=capture)
        factories.ReadingFactory(throw=made, values={f"{metric}@mer": {"value": 140.0}})
        rescore(capture)
    assert Finding.objects.get(session=capture, metric=metric).decision["flags_among_last"] == 2


def test_a_session_in_range_between_two_flags_starts_the_count_anew(version, athlete):
    for days, value in ((60, 66.0), (30, 92.0), (0, 73.0)):
        capture = captured(athlete, [value], date=days_before(days))
        rescore(capture)
    assert elbow(capture).confirmation == "to_confirm"


# ---- cost -------------------------------------------------------------------------------------------------


def queries_for(capture: CaptureSession) -> int:
    capture = CaptureSession.objects.select_related("athlete").get(pk=capture.pk)
    with CaptureQueriesContext(connection) as queries:
        rescore(capture)
    return len(queries)


def test_the_number_of_queries_does_not_grow_with_the_throws(version, athlete, other_athlete):
    few, many = captured(athlete, [90, 90]), captured(other_athlete, [90.0] * 20)
    rescore(few)
    rescore(many)
    assert queries_for(few) == queries_for(many) <= 26
