"""The end of every list of the match page: all roles and all metrics. Written once, the same for every column."""

from __future__ import annotations

from functools import cache

from django.template.loader import render_to_string

from metrics.catalogue import load_catalogue
from metrics.match.choices import METRIC_PREFIX
from metrics.match.words import IGNORE, IGNORE_WORD, LANE_WORDS, LONG_GROUP, ROLE_GROUPS

Group = tuple[str, tuple[tuple[str, str], ...]]


SCREENS = "screen"


def _metric_groups(*, with_screens: bool) -> list[Group]:
    metrics = load_catalogue().metrics.values()
    return [
        (word, tuple((METRIC_PREFIX + metric.key, metric.name) for metric in metrics if metric.lane == lane))
        for lane, word in LANE_WORDS.items()
        if with_screens or lane != SCREENS
    ]


@cache
def options_html(which: str, *, with_screens: bool) -> str:
    """`which`: "all" roles and metrics, "roles_of_long" or "metrics".

    Screens are half of all metrics and come with hands-on sessions only: a wide table's page halves without them.
    """
    nothing: Group = ("Nothing", ((IGNORE, IGNORE_WORD),))
    groups: dict[str, list[Group]] = {
        "all": [nothing, *ROLE_GROUPS, *_metric_groups(with_screens=with_screens)],
        "roles_of_long": [nothing, LONG_GROUP, *ROLE_GROUPS],
        "metrics": [nothing, *_metric_groups(with_screens=with_screens)],
    }
    return render_to_string("metrics/_import_metric_options.html", {"groups": groups[which]})
