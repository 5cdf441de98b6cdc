"""From where a change counts: a session between flag and start, or the flag's own mean, shrunk.

A session that raised the flag is never the baseline. It was picked for being far out, so the next one lies nearer to
the middle by itself (regression to the mean); docs/responses.md holds what that would do.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from metrics.change.days import one_a_day, within_squares
from metrics.change.values import Measurement, known, was_seen
from metrics.judging.severity import severity_unit, shrink
from metrics.judging.values import Limits
from plans.responding.values import Baseline, Flag, Seen, Source, Term

SHARE_OF_UNIT = 0.5
"""Of the range's own unit, taken as the SD of people where the rule's source gives none. House default: published rules
put one SD between target and flag limit, house rules are wider, and too great an SD shrinks too little."""


def baseline_of(
    flag: Flag, raised_by: Seen, sessions: Iterable[Seen], term: Term, source: Source | None
) -> Baseline | None:
    """The latest comparable day after the flag, up to and with the start; else an estimate; None when neither can be.

    raised_by: the session of the finding that the prescription names (the latest flag when it was written). sessions:
    the athlete's others, in any order. A day on which the flag was seen again before the prescription was written
    helped to decide on it and is no baseline either. source: of the rule that applied, None when it gives no SD.
    """
    between = [one for one in sessions if raised_by.point.date < one.point.date <= term.start]
    decided_by = {
        one.point.date for one in between if one.is_flag and one.comparable and one.point.date <= term.written
    }
    usable = [one for one in between if one.comparable and was_seen(one.point) and one.point.date not in decided_by]
    days = one_a_day(one.point for one in usable)
    if days:
        keys = tuple(one.key for one in usable if one.point.date == days[-1].date)
        return Baseline(days[-1], keys, days[-1].mean)
    return estimated_baseline(flag, raised_by, source)


def estimated_baseline(flag: Flag, raised_by: Seen, source: Source | None) -> Baseline | None:
    """The flag's own mean, shrunk: `m + r(x̄ - m)`, uncertainty `u√r`, `r = SD²/(SD² + u²)`, `u² = s_p²/n + u_b²`.

    m and SD from the rule's source (Kelley's regression to the mean, as in `judging.severity.shrink`); without one from
    the range: its middle, and half of its unit (the flag limit's distance from the target's edge). u_c has no part: it
    cancels in the change. None when u is not known or the range has no limit on the flag's side.
    """
    point = raised_by.point
    has_source = source is not None and math.isfinite(source.mean) and source.sd > 0
    taken = source if has_source else people_of_range(flag.side, point.limits)
    u = math.sqrt(float(within_squares([point])[0]) + known(point.u_between) ** 2)
    if taken is None or not was_seen(point) or not math.isfinite(u):
        return None
    mean = float(shrink(point.mean, u, taken.mean, taken.sd)[0])
    kept = taken.sd**2 / (taken.sd**2 + u**2)
    spread_from = "source" if has_source else "range"
    return Baseline(replace(point, mean=mean), (raised_by.key,), point.mean, kept, spread_from)


def people_of_range(side: str, limits: Limits | None) -> Source | None:
    """Whom a range was written for, guessed from its limits on the flag's side; None when they are open.

    The middle of the target; where the target's other side is open, one unit inside the edge.
    """
    if limits is None:
        return None
    is_low = side == "low"
    edge, beyond = (limits.target_low, limits.flag_low) if is_low else (limits.target_high, limits.flag_high)
    stated = limits.unit_low if is_low else limits.unit_high
    unit = float(severity_unit(abs(edge - beyond), limits.target_high - limits.target_low, stated))
    if not (math.isfinite(edge) and math.isfinite(unit) and unit > 0):
        return None
    middle = 0.5 * (limits.target_low + limits.target_high)
    inside = edge + unit if is_low else edge - unit
    return Source(float(middle if math.isfinite(middle) else inside), SHARE_OF_UNIT * unit)


def unshrunk(baseline: Baseline) -> Measurement:
    """The estimated baseline's measurement as it was before shrinking."""
    return replace(baseline.point, mean=baseline.own_mean)
