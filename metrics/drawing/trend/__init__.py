"""One metric over weeks as server-made SVG: the range as it applied on each day, means with ±1.96 u, verdict marks."""

from metrics.drawing.trend.large import large_trend
from metrics.drawing.trend.small import small_trend
from metrics.drawing.trend.values import Cue, Fitted, Moved, Picture, Point, Stretch

__all__ = ["Cue", "Fitted", "Moved", "Picture", "Point", "Stretch", "large_trend", "small_trend"]
