"""The end of every list of the match page: all roles and all metrics. Written once, the same for every column."""

from __future__ import annotations

from functools import cache

from django.template.loader import render_to_string

from metrics.catalogue import load_catalogue
from metrics.match.choices import METRIC_PREFIX
from metrics.match.words import IGNORE, IGNORE_WORD, LANE_WORDS, LONG_GROUP, ROLE_GROUPS

Group = tuple[str, tuple[tuple[str, str], ...]]


def _metric_groups() -> list[Group]:
    metrics = load_catalogue().metrics.values()
    return [
        (word, tuple((METRIC_PREFIX + metric.key, metric.name) for metric in metrics if metric.lane == lane))
        for lane, word in LANE_WORDS.items()
    ]


@cache
def options_html(which: str) -> str:
    """`which`: "all" roles and metrics, "roles_of_long" or "metrics"."""
    nothing: Group = ("Nothing", ((IGNORE, IGNORE_WORD),))
    groups: dict[str, list[Group]] = {
        "all": [nothing, *ROLE_GROUPS, *_metric_groups()],
        "roles_of_long": [nothing, LONG_GROUP, *ROLE_GROUPS],
        "metrics": [nothing, *_metric_groups()],
    }
    return render_to_string("metrics/_import_metric_options.html", {"groups": groups[which]})
