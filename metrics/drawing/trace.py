"""A throw in two curves, to recognise it by: how high the lead knee is, and how fast the throwing wrist."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from metrics.drawing.marks import number

WIDTH, HEIGHT = 640.0, 150.0
TOP, BOTTOM = 44.0, 130.0
LABEL_PX = 6.4  # of one letter of a label
LABEL_ROWS = 3


@dataclass(frozen=True, slots=True)
class TraceEvent:
    """An event at `time_s` from the first frame of the curves."""

    name: str
    time_s: float


def throw_trace(
    rate_hz: float,
    lead_knee_m: Sequence[float | None],
    wrist_mps: Sequence[float | None],
    events: Sequence[TraceEvent],
) -> str:
    """Return the picture; a gap in a curve stays a gap."""
    seconds = max((len(wrist_mps) - 1) / rate_hz, 1e-9)
    scale = WIDTH / seconds
    parts = [f'<path class="base" d="M0,{number(BOTTOM)}H{number(WIDTH)}"/>']
    parts += [f'<path class="knee" d="{_course(lead_knee_m, rate_hz, scale)}"/>']
    parts += [f'<path class="wrist" d="{_course(wrist_mps, rate_hz, scale)}"/>']
    parts += _event_parts(events, scale)
    fastest = max((value for value in wrist_mps if value is not None), default=0.0)
    said = ", ".join(f"{event.name} at {event.time_s:.2f} s" for event in events)
    name = f"Lead knee height and wrist speed over {seconds:.1f} s; wrist fastest at {fastest:.0f} m/s; {said}"
    return (
        f'<svg class="trace" viewBox="0 0 {number(WIDTH)} {number(HEIGHT)}" role="img" '
        f'aria-label="{escape(name)}">{"".join(parts)}</svg>'
    )


def _course(values: Sequence[float | None], rate_hz: float, scale: float) -> str:
    seen = [value for value in values if value is not None]
    if not seen:
        return ""
    low, high = min(seen), max(seen)
    span = (high - low) or 1.0
    path, pen = [], "M"
    for index, value in enumerate(values):
        if value is None:
            pen = "M"
            continue
        x, y = index / rate_hz * scale, BOTTOM - (value - low) / span * (BOTTOM - TOP)
        path.append(f"{pen}{number(x)},{number(y)}")
        pen = "L"
    return "".join(path)


def _event_parts(events: Sequence[TraceEvent], scale: float) -> list[str]:
    """An upright line an event; a label goes one row up where it would touch the one before."""
    parts, ends = [], [-1.0] * LABEL_ROWS
    for event in sorted(events, key=lambda one: one.time_s):
        x = min(max(event.time_s * scale, 0.0), WIDTH)
        width = LABEL_PX * len(event.name)
        left = min(max(x - width / 2, 0.0), WIDTH - width)
        row = next((place for place, end in enumerate(ends) if left > end + LABEL_PX), None)
        parts.append(f'<path class="event" d="M{number(x)},{number(TOP - 4)}V{number(BOTTOM)}"/>')
        if row is None:
            continue
        ends[row] = left + width
        y = TOP - 8 - 13 * row
        parts.append(f'<text class="t" x="{number(left)}" y="{number(y)}">{escape(event.name)}</text>')
    return parts
