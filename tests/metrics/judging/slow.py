"""Slow, independent versions: one finding at a time, written from the words, on scipy.stats."""

from __future__ import annotations

import math
import statistics

from scipy import stats


def distribution(mean, u, nu):
    """The distribution of the true mean as scipy.stats knows it."""
    return stats.norm(mean, u) if math.isinf(nu) else stats.t(nu, mean, u)


def verdict(mean, u, nu, target, flags):
    """(zone, how sure, probability, p_in, p_out, p_flag); zone None when none of the three holds."""
    low, high = target
    belief = distribution(mean, u, nu)
    if abs(mean - low) < abs(mean - high):
        p_out, p_flag = belief.cdf(low), belief.cdf(flags[0])
    else:
        p_out, p_flag = belief.sf(high), belief.sf(flags[1])
    p_in = belief.cdf(high) - belief.cdf(low)
    for zone, chance, least in (("flag", p_flag, 0.80), ("in_range", p_in, 0.67), ("watch", p_out, 0.80)):
        if chance >= least:
            return zone, "sure" if chance >= 0.95 else "likely", chance, p_in, p_out, p_flag
    return None, "cant_tell", None, p_in, p_out, p_flag


def uncertainty(values, prior_sd, u_between, u_constant):
    """(mean, u, nu) of one session, by the statistics module and the written formula."""
    n = len(values)
    s = statistics.stdev(values) if n > 1 else 0.0
    steadied = math.sqrt((8 * prior_sd**2 + (n - 1) * s**2) / (8 + n - 1))
    u = math.sqrt(steadied**2 / n + u_between**2 + u_constant**2)
    nu = u**4 / ((steadied**2 / n) ** 2 / (8 + n - 1)) if steadied else math.inf
    return statistics.fmean(values), u, nu


def severity(mean, target, flags):
    """Severity with closed limits on both sides."""
    low, high = target
    if low <= mean <= high:
        return 0.0
    distance, watch = (low - mean, low - flags[0]) if mean < low else (mean - high, flags[1] - high)
    if watch > 0:
        return min(distance / watch, 3.0)
    return min(1.0 + distance / ((high - low) / 2), 3.0)
