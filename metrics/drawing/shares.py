"""A share as a bar: how much of a flag should clear."""

from __future__ import annotations

from metrics.drawing.marks import number

WIDTH, HEIGHT = 48.0, 8.0


def share_bar(share: float) -> str:
    """share: 0 to 1, beyond is drawn at the end. Hidden from screen readers: its percent stands beside it."""
    filled = number(WIDTH * min(1.0, max(0.0, share)))
    return (
        f'<svg class="share" width="{number(WIDTH)}" height="{number(HEIGHT)}" viewBox="0 0 {number(WIDTH)} '
        f'{number(HEIGHT)}" aria-hidden="true"><path class="all" d="M0,0H{number(WIDTH)}V{number(HEIGHT)}H0Z"/>'
        f'<path class="of" d="M0,0H{filled}V{number(HEIGHT)}H0Z"/></svg>'
    )
