"""Athletes with findings as the trace reads them: thrown sessions and screens with given verdicts."""

from __future__ import annotations

import datetime as dt

from metrics.catalogue import load_catalogue
from metrics.models import CauseGraphVersion, CauseLink, Finding, RangeProfileVersion
from metrics.profiles import version_for
from metrics.selectors.session_page import session_page
from metrics.selectors.session_rows import RELATED
from sessions.models import CaptureSession
from tests import factories

# What is said of a finding → where its mean lies, on a target of 40 to 60 with flag limits 30 and 70, u = 2.
PLACES = {"low": 25.0, "high": 75.0, "fine": 50.0, "a little low": 34.0, "perhaps low": 29.0}
VERDICTS = {
    "low": {"zone": "flag", "side": "low", "sure": "sure", "p_in": 0.0, "p_out": 0.999, "p_flag": 0.994},
    "high": {"zone": "flag", "side": "high", "sure": "sure", "p_in": 0.0, "p_out": 0.999, "p_flag": 0.994},
    "fine": {"zone": "in_range", "side": "", "sure": "sure", "p_in": 0.999, "p_out": 0.001, "p_flag": 0.0},
    "a little low": {"zone": "watch", "side": "low", "sure": "sure", "p_in": 0.002, "p_out": 0.998, "p_flag": 0.02},
    "perhaps low": {"zone": "watch", "side": "low", "sure": "likely", "p_in": 0.0, "p_out": 0.999, "p_flag": 0.69},
}


def found(
    athlete, said: dict[str, str], *, method: str = "motion_capture", days_ago: int = 0, **changes
) -> CaptureSession:
    """A scored session in which these metrics were found so; later days are negative."""
    day = factories.DAY - dt.timedelta(days=days_ago)
    capture = factories.CaptureSessionFactory(athlete=athlete, date=day, method=method, **changes)
    factories.ScoringFactory(session=capture, profile_version=in_use())
    catalogue = load_catalogue()
    for key, words in said.items():
        metric = catalogue.metric(key)
        factories.FindingFactory(
            session=capture,
            metric=key,
            kind=metric.kind,
            unit=metric.unit,
            family=metric.family,
            condition_set="hands_on" if method == "hands_on" else "mound",
            moment=metric.moment,
            n=5,
            mean=PLACES[words],
            u=2.0,
            nu=None,
            target_low=40.0,
            target_high=60.0,
            flag_low=30.0,
            flag_high=70.0,
            weight=metric.weight,
            severity=1.0 if VERDICTS[words]["zone"] == "flag" else 0.0,
            priority=metric.weight if VERDICTS[words]["zone"] == "flag" else 0.0,
            is_family_head=True,
            **VERDICTS[words],
        )
    return capture


def in_use() -> RangeProfileVersion:
    """The profile that scorings name; a range of the screens is what makes them worth measuring."""
    factories.starting_profiles()
    version = version_for(factories.DAY)
    assert version is not None
    return version


def page_of(capture: CaptureSession, **options):
    options.setdefault("may_change", True)
    return session_page(CaptureSession.objects.select_related("athlete", *RELATED).get(pk=capture.pk), **options)


def panel_of(capture: CaptureSession, **options):
    return page_of(capture, **options).start


def finding_of(capture: CaptureSession, metric: str) -> Finding:
    return Finding.objects.get(session=capture, metric=metric)


def publish_links(*links: tuple[str, str, str], number: int = 1) -> CauseGraphVersion:
    """A published version: ("stride_length low", "shoulder_external_rotation_fp low", "moderate") is cause, effect."""
    version = CauseGraphVersion.objects.create(number=number)
    for cause, effect, strength in links:
        (cause_key, cause_side), (effect_key, effect_side) = cause.split(), effect.split()
        CauseLink.objects.create(
            version=version,
            effect=effect_key,
            effect_direction=effect_side,
            cause=cause_key,
            cause_direction=cause_side,
            kind="mechanics",
            strength=strength,
            reason="For the test.",
            source="common practice, no published source",
            status="common_practice",
        )
    version.status, version.valid_from, version.published_at = "published", factories.LONG_AGO, factories.NOON
    version.save()
    return version
