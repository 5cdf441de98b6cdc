"""How pages of plans name a metric in one direction."""

from __future__ import annotations

from functools import lru_cache

from metrics.catalogue import load_catalogue
from metrics.selectors.session_words import direction_words
from metrics.selectors.trace_words import short_name
from plans.library.model import End
from sessions.models import Landing


@lru_cache(512)
def end_words(end: End, landing: str = Landing.UNKNOWN) -> str:
    """Trunk opening time: early. The key, for a metric that the catalogue has no more."""
    metric = load_catalogue().metrics.get(end[0])
    if metric is None:
        return end[0]
    name, word = short_name(metric, landing), direction_words(metric, end[1])
    return f"{name}: {word}" if word else name


def end_text(end: End) -> str:
    """metric:direction, as forms carry it."""
    return ":".join(end)
