"""One metric in one session: mean, spread, and how far the mean can be trusted.

`u² = s_p²/n + u_b² + u_c²`. Every function takes single numbers or numpy arrays that broadcast
against each other, in the metric's own unit, and loops over nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from metrics.judging.values import FloatArray, Numbers

PRIOR_DEGREES = 8.0
"""Degrees of freedom that the catalogue's typical spread is worth. House default, set by simulation."""


@dataclass(frozen=True, slots=True)
class Summary:
    """Mean, sample standard deviation (n - 1) and count of the readings; NaN where there are too few."""

    mean: Numbers
    sd: Numbers
    n: Numbers


@dataclass(frozen=True, slots=True)
class Measured:
    """A finding before it is held against a range; single numbers or arrays of one shape.

    `u_within` = s_p/√n, `u_between` = u_b, `u_constant` = u_c: the parts of `u`. `nu`: the degrees of
    freedom of `u`, infinite when the throws' spread has no share in it.
    """

    mean: Numbers
    sd: Numbers
    n: Numbers
    pooled_sd: Numbers
    spread_degrees: Numbers
    u_within: Numbers
    u_between: Numbers
    u_constant: Numbers
    u: Numbers
    nu: Numbers

    def row(self, index: int) -> Measured:
        """One finding of many, as plain numbers."""
        return Measured(**{f.name: np.asarray(getattr(self, f.name))[index].item() for f in fields(self)})

    def rows(self) -> list[Measured]:
        """All findings, as plain numbers; the fields are arrays of shape (findings,)."""
        return list(map(Measured, *(np.asarray(getattr(self, f.name)).tolist() for f in fields(self))))


def summarise(values: Iterable[float]) -> Summary:
    """Mean, SD and n of one finding's readings. What is not a finite number was not seen."""
    seen = np.asarray([value for value in values if value is not None], dtype=float)
    grouped = summarise_groups(seen, np.zeros(seen.size, dtype=np.intp), 1)
    return Summary(float(grouped.mean[0]), float(grouped.sd[0]), int(grouped.n[0]))


def summarise_groups(values: npt.ArrayLike, groups: npt.ArrayLike, group_count: int) -> Summary:
    """Mean, SD and n of many findings at once, in two passes (stable for a large mean).

    values: readings, shape (readings,); groups: the finding that each belongs to, whole numbers from
    0 to group_count - 1. Returns arrays of shape (group_count,). Non-finite readings count as not
    seen. Raises ValueError when the shapes differ or a group is out of bounds.
    """
    x, g = np.asarray(values, dtype=float), np.asarray(groups, dtype=np.intp)
    if x.shape != g.shape or x.ndim != 1:
        raise ValueError(f"expected two arrays of one shape (readings,), got {x.shape} and {g.shape}")
    if g.size and (g.min() < 0 or g.max() >= group_count):
        raise ValueError(f"groups must lie in 0..{group_count - 1}, got {g.min()}..{g.max()}")
    seen = np.isfinite(x)
    if not seen.all():
        x, g = x[seen], g[seen]
    n = np.bincount(g, minlength=group_count)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.bincount(g, weights=x, minlength=group_count) / n
        squares = np.bincount(g, weights=np.square(x - mean[g]), minlength=group_count)
        sd = np.sqrt(squares / np.where(n > 1, n - 1, np.nan))
    return Summary(mean, sd, n)


def prior_spread(typical_sd: Numbers, event_rate: Numbers = 0.0, frame_rate_hz: Numbers = np.inf) -> Numbers:
    """s0: the typical throw-to-throw SD, with what the frame rate adds at a moving event.

    typical_sd in the metric's unit; event_rate in units per second; frame_rate_hz in frames per
    second. An event falls anywhere within one frame: rectangular, SD = 1/(f√12) (GUM 4.3.7).
    """
    jitter = np.abs(event_rate) / (np.asarray(frame_rate_hz, dtype=float) * math.sqrt(12.0))
    return np.hypot(typical_sd, jitter)[()]


def steadied_spread(sd: Numbers, n: Numbers, prior_sd: Numbers) -> tuple[Numbers, Numbers]:
    """s_p and its degrees: the session's own SD, steadied by the catalogue's.

    `s_p² = (8·s0² + (n-1)·s²)/(8 + n-1)`. A NaN `prior_sd` (none known) leaves the session's own SD
    with n - 1 degrees; with one throw the spread is then not known (NaN).
    """
    own_degrees = np.maximum(np.asarray(n, dtype=float) - 1.0, 0.0)
    own_squares = np.where(own_degrees > 0, own_degrees * np.square(np.asarray(sd, dtype=float)), 0.0)
    prior = np.asarray(prior_sd, dtype=float)
    known = np.isfinite(prior)
    prior_degrees = np.where(known, PRIOR_DEGREES, 0.0)
    degrees = prior_degrees + own_degrees
    total = prior_degrees * np.square(np.where(known, prior, 0.0)) + own_squares
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.sqrt(total / degrees)[()], degrees[()]


def effective_degrees(u: Numbers, parts: Iterable[Numbers], degrees: Iterable[Numbers]) -> Numbers:
    """Welch-Satterthwaite: `ν = u⁴ / Σ(u_i⁴/ν_i)` (GUM G.4.1, equation G.2b).

    `parts` are the components whose own degrees are finite; what is left out counts as known exactly.
    Infinite when no part has a share.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        shares: FloatArray = np.asarray(
            sum(np.asarray(p, dtype=float) ** 4 / nu for p, nu in zip(parts, degrees, strict=True))
        )
        nu = np.asarray(u, dtype=float) ** 4 / shares
    return np.where(shares > 0, nu, np.where(np.isnan(shares), np.nan, np.inf))[()]


def measure(summary: Summary, *, prior_sd: Numbers, u_between: Numbers = 0.0, u_constant: Numbers = 0.0) -> Measured:
    """The standard uncertainty of the mean and its degrees of freedom.

    u_between (u_b): session to session, NaN when none is known: it then has no share in u, and stays
    NaN in the result so that the page can say so. u_constant (u_c): between methods, or an open event.
    No reading gives NaN for mean and u.
    """
    n = np.asarray(summary.n, dtype=float)
    pooled, spread_degrees = steadied_spread(summary.sd, n, prior_sd)
    with np.errstate(invalid="ignore", divide="ignore"):
        within = np.where(n > 0, pooled / np.sqrt(n), np.nan)
    between = np.broadcast_to(np.asarray(u_between, dtype=float), within.shape)
    constant = np.broadcast_to(np.asarray(u_constant, dtype=float), within.shape)
    u = np.sqrt(within**2 + np.where(np.isnan(between), 0.0, between) ** 2 + constant**2)
    nu = effective_degrees(u, [within], [spread_degrees])
    spread_degrees = np.broadcast_to(spread_degrees, within.shape)
    return Measured(
        summary.mean,
        summary.sd,
        summary.n,
        pooled,
        spread_degrees[()],
        within[()],
        between[()],
        constant[()],
        u[()],
        nu,
    )


def measure_one(
    values: Iterable[float], *, prior_sd: float, u_between: float = 0.0, u_constant: float = 0.0
) -> Measured:
    """One finding from its readings, as plain Python numbers."""
    many = measure(summarise(values), prior_sd=prior_sd, u_between=u_between, u_constant=u_constant)
    return Measured(**{f.name: np.asarray(getattr(many, f.name)).item() for f in fields(many)})


def event_uncertainty(rate: Numbers, half_window_s: Numbers) -> Numbers:
    """u_c of an event definition that is open by ±half_window_s: `|rate|·δ/√3` (rectangular, GUM 4.3.7).

    rate in units per second at the event. An extreme has rate 0.
    """
    return (np.abs(rate) * np.asarray(half_window_s, dtype=float) / math.sqrt(3.0))[()]


def percent_time_uncertainty(
    percent: Numbers, interval_s: Numbers, half_time_s: Numbers, half_start_s: Numbers, half_end_s: Numbers
) -> Numbers:
    """u_c of a time given as percent T of an interval D, each end open by its own half window.

    `(100/D)·√(δ_t² + (1-T/100)²·δ_start² + (T/100)²·δ_end²)/√3`; seconds in, percent points out. An
    interval that is not above zero gives NaN.
    """
    share = np.asarray(percent, dtype=float) / 100.0
    D = np.asarray(interval_s, dtype=float)
    squares = (
        np.square(half_time_s)
        + np.square((1.0 - share) * np.asarray(half_start_s))
        + np.square(share * np.asarray(half_end_s))
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(D > 0, 100.0 / D * np.sqrt(squares) / math.sqrt(3.0), np.nan)[()]


def session_sd_from_pairs(differences: npt.ArrayLike, mean_variance: float) -> float:
    """u_b from m pairs of sessions: `√max(0, Σd²/(2m) - mean of s_p²/n)`.

    differences: second minus first session mean, shape (m,); mean_variance: the average of s_p²/n
    over all the sessions of the pairs. Raises ValueError without a pair.
    """
    d = np.asarray(differences, dtype=float)
    if d.size == 0:
        raise ValueError("expected at least one pair of sessions")
    return math.sqrt(max(0.0, float(np.sum(d**2)) / (2 * d.size) - mean_variance))


def session_sd_from_sem(sem: float, within_sd: float, throws: float) -> float:
    """u_b from a published SEM of session means of `throws` throws: the throws' own share is taken out.

    Not for a SEM of single throws within one session: that is a typical within-athlete SD.
    """
    return math.sqrt(max(0.0, sem**2 - within_sd**2 / throws))
