"""When a metric happens: its earliest and latest place in the order of events.

screen < before < pkh < fc < fp < mer < br < mir < after release. An event is one place. An extreme of an interval lies
inside of it: after the event that opens it and before the one that closes it. Loads, other outcomes and ball speed
count as after release, whatever interval they are read in.
"""

from __future__ import annotations

from collections.abc import Mapping

from metrics.catalogue.model import Catalogue, Metric

ORDER = ("screen", "before", "pkh", "fc", "fp", "mer", "br", "mir", "after")
INSIDE = 0.25
"""How far inside its interval an extreme lies, in steps of ``ORDER``: any number between 0 and 1/2 says the same."""

SPANS: Mapping[str, tuple[str, str]] = {
    "trunk_opening_time": ("fc", "fp"),  # in ms from contact; a chest on time opens between touch and plant
    "pelvis_trunk_lag": ("fp", "br"),  # known when the trunk is fastest
    "trunk_elbow_lag": ("mer", "br"),  # known when the elbow is fastest
    "sequence_inversions": ("fp", "mir"),  # known when the arm is fastest
}
"""Times and gaps of peaks carry no moment in the catalogue. Other times stand at their peak (``_time`` dropped)."""
CLOSED = frozenset({"trunk_opening_time"})
"""What may also fall on either end of its span."""

Place = tuple[float, float]


def place_of(metric: Metric, catalogue: Catalogue) -> Place:
    """Earliest and latest place of a metric. Raises ValueError for one without a moment that is in no list here."""
    if metric.kind == "outcome" or metric.key == "ball_speed":
        return (ORDER.index("after"),) * 2
    if metric.is_screen:
        return (ORDER.index("screen"),) * 2
    first, last = _span(metric, catalogue)
    low, high = float(ORDER.index(first)), float(ORDER.index(last))
    inside = 0.0 if first == last or metric.key in CLOSED else INSIDE
    return low + inside, high - inside


def _span(metric: Metric, catalogue: Catalogue) -> tuple[str, str]:
    if metric.key in SPANS:
        return SPANS[metric.key]
    moment = metric.moment
    peak = catalogue.metrics.get(metric.key.removesuffix("_time"))
    if not moment and peak:
        moment = peak.moment
    if not moment:
        raise ValueError(f"{metric.key} has no moment, and moments.SPANS does not place it; add it there")
    first, _, last = moment.partition("-")
    return first, last or first
