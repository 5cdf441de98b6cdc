"""Two comparable sessions: is the difference more than the measurement itself can make?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import stdtr, stdtrit

from metrics.change.values import LEVEL, Measurement, Word, direction_of, known, throw_squares, was_seen, word_of_step
from metrics.judging.findings import PRIOR_DEGREES, effective_degrees


@dataclass(frozen=True, slots=True)
class Change:
    """`difference` is now minus then; `u` its standard uncertainty with `nu` degrees of freedom.

    `detectable`: the smallest difference that would count as real, t(0.975, nu)·u. `p`: how often measuring alone makes
    a difference as large. All NaN but the difference when it cannot be judged.
    """

    difference: float
    u: float
    nu: float
    detectable: float
    p: float
    is_real: bool
    word: Word

    @property
    def direction(self) -> str:
        """The word rising or falling when real, else empty."""
        return direction_of(self.difference, self.is_real)

    @property
    def low(self) -> float:
        """Lower end of the 95% interval of the difference."""
        return self.difference - self.detectable

    @property
    def high(self) -> float:
        """Upper end of the 95% interval of the difference."""
        return self.difference + self.detectable


def change_between(then: Measurement, now: Measurement, *, kept: float = 1.0) -> Change:
    """Whether `now` really differs from `then`, and the word for it. Distances are to the range of the later date.

    `u_d² = s_p²/n_a + s_p²/n_b + u_ba² + u_bb²` with one s_p for both sessions, `s_p² = (8·s0² + (n_a-1)·s_a² +
    (n_b-1)·s_b²)/(8 + n_a + n_b - 2)`; degrees of freedom by Welch-Satterthwaite (GUM G.4.1), u_b taken as known.
    u_c cancels. Real when |difference| ≥ t(0.975, ν)·u_d: the minimal detectable change (for a single reading the
    1.96·√2·SEM of the reliability literature, with t for 1.96 as the SEM is estimated).

    kept: the share r of `then`'s variance that is left when its mean was shrunk toward what is known of such athletes;
    `s_p²/n_a` and `u_ba²` are taken r times.

    *Cannot be judged*: a u_b is not known, a value was not seen, no spread is known; or a real change without a target.
    """
    difference = now.mean - then.mean if was_seen(then) and was_seen(now) else math.nan
    u, nu = _uncertainty(then, now, kept)
    if not math.isfinite(difference) or not math.isfinite(u):
        return Change(difference, math.nan, math.nan, math.nan, math.nan, False, Word.CANNOT_BE_JUDGED)
    detectable = float(stdtrit(nu, 1.0 - LEVEL / 2.0)) * u
    is_real = difference != 0.0 and abs(difference) >= detectable
    limits = then.limits if then.date > now.date else now.limits
    word = word_of_step(then.mean, now.mean, limits) if is_real else Word.NO_REAL_CHANGE
    return Change(difference, u, nu, detectable, _chance(difference, u, nu), is_real, word)


def _uncertainty(then: Measurement, now: Measurement, kept: float) -> tuple[float, float]:
    """u of the difference and its degrees of freedom; NaN where something that it needs is not known."""
    (own_then, degrees_then), (own_now, degrees_now) = throw_squares(then), throw_squares(now)
    if then.n < 1 or now.n < 1:
        return math.nan, math.nan
    prior = 0.5 * (known(then.prior_sd) ** 2 + known(now.prior_sd) ** 2)
    prior_degrees = PRIOR_DEGREES if math.isfinite(prior) else 0.0
    degrees = prior_degrees + degrees_then + degrees_now
    if degrees == 0.0:
        return math.nan, math.nan
    spread = ((prior_degrees * prior if prior_degrees else 0.0) + own_then + own_now) / degrees
    within = spread * (kept / then.n + 1.0 / now.n)
    u = math.sqrt(within + kept * known(then.u_between) ** 2 + known(now.u_between) ** 2)
    return u, float(effective_degrees(u, [math.sqrt(within)], [degrees])) if math.isfinite(u) else math.nan


def _chance(difference: float, u: float, nu: float) -> float:
    """Two-sided; a difference that is measured exactly (u = 0) is either none or certain."""
    if u == 0.0:
        return 1.0 if difference == 0.0 else 0.0
    return float(2.0 * stdtr(nu, -abs(difference) / u))
