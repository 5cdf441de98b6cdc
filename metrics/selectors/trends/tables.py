"""An athlete's findings over time as a table to take away: SI and degrees, as stored."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from athletes.models import Athlete, User
from athletes.saving import Cell
from metrics.selectors.trends.rows import MOST_SESSIONS, read_trends
from metrics.selectors.trends.series import all_series

COLUMNS = (
    "n", "mean", "sd", "u", "u_between", "target_low", "target_high", "flag_low", "flag_high", "zone", "side", "sure",
    "other_zone", "probability", "reason", "weight", "priority", "confirmation", "condition_set",
)  # fmt: skip
HEAD = ("metric", "name", "moment", "unit", "date", "session", "method", "setup", "filter_hz", "profile", "version",
        *COLUMNS, "comparable_with_latest", "because")  # fmt: skip


def trends_table(athlete: Athlete, reader: User, *, method: str, metric: str = "") -> Iterator[Sequence[Cell]]:
    """The header, then one row a finding: by metric, oldest first. `metric`: only it, of every session by the method;
    all metrics have the sessions that the page draws, for a table of hundreds of thousands of rows serves nobody."""
    yield HEAD
    most = None if metric else MOST_SESSIONS
    for series in all_series(read_trends(athlete, reader, method=method, most=most, metric=metric)):
        face = series.face
        for spot in series.spots:
            one, row = spot.session, spot.row
            yield (
                face.key, face.metric.name if face.metric else face.name, row.moment, row.unit, str(one.date),
                str(one.uuid), one.method, one.setup, one.filter_hz, one.profile, one.version,
                *(getattr(row, name) for name in COLUMNS),
                "yes" if spot.comparable else "no", spot.why_not,
            )  # fmt: skip
