"""A share of some athletes with how far it can be trusted, as a small picture on a line from none to all."""

from __future__ import annotations

from plans.responding.shares import Interval

WIDTH, HEIGHT, MARGIN = 104.0, 14.0, 4.0
MIDDLE = HEIGHT / 2


def share_strip(share: Interval) -> str:
    """SVG: the line from 0 to 100%, a bar over the interval, a stroke at the share. Its numbers stand beside it."""
    low, mid, high = (f"{_place(one):.1f}" for one in (share.low, share.estimate, share.high))
    return (
        f'<svg class="interval" width="{WIDTH:g}" height="{HEIGHT:g}" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'aria-hidden="true"><path class="ax" d="M{MARGIN:g},{MIDDLE:g}H{WIDTH - MARGIN:g}"/>'
        f'<path class="end" d="M{MARGIN:g},{MIDDLE - 3:g}v6M{WIDTH - MARGIN:g},{MIDDLE - 3:g}v6"/>'
        f'<path class="span" d="M{low},{MIDDLE - 2.5:g}H{high}v5H{low}Z"/>'
        f'<path class="at" d="M{mid},1v{HEIGHT - 2:g}"/></svg>'
    )


def _place(share: float) -> float:
    return MARGIN + (WIDTH - 2 * MARGIN) * share
