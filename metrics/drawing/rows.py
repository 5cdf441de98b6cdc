"""Small pictures in a row of a list: flags now, sessions over the last months, ball speed by throw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from metrics.drawing.marks import Verdict, mark_at, number
from metrics.drawing.words import spoken_verdict

FLAG_PITCH = 17
FLAG_ROW_HEIGHT = 18
FLAG_SIZE = 12

LINE_WIDTH, LINE_HEIGHT = 204, 24
PX_PER_DAY = 34 / 30
TODAY_AT = 170.0
DAYS_BACK, DAYS_AHEAD = 148, 26
METHOD_WORDS = {"motion_capture": "motion capture", "video": "video", "hands_on": "hands-on"}
STROKE_HALF_HEIGHT = {"motion_capture": 7.0, "video": 3.0}

THROW_PITCH, THROW_HEIGHT = 28.0, 34
THROWS_WIDTH = 420.0  # more throws than fit stand closer together


def flag_row(verdicts: Sequence[Verdict], *, most: int = 5) -> str:
    """Return an athlete's flags side by side, most important first; more than `most` are counted behind."""
    shown, more = verdicts[:most], len(verdicts) - most
    if not shown:
        return ""
    width = FLAG_PITCH * len(shown) + (24 if more > 0 else 0)
    marks = "".join(
        mark_at(verdict, FLAG_SIZE, 8 + FLAG_PITCH * place, FLAG_ROW_HEIGHT / 2) for place, verdict in enumerate(shown)
    )
    if more > 0:
        marks += f'<text class="t" x="{FLAG_PITCH * len(shown) + 2}" y="13">+{more}</text>'
    name = "; ".join(spoken_verdict(verdict) for verdict in shown) + (f"; and {more} more" if more > 0 else "")
    return (
        f'<svg class="mark flags" width="{width}" height="{FLAG_ROW_HEIGHT}" viewBox="0 0 {width} {FLAG_ROW_HEIGHT}" '
        f'role="img" aria-label="{escape(name)}">{marks}</svg>'
    )


def _day_x(days_from_today: float) -> float:
    return TODAY_AT + days_from_today * PX_PER_DAY


def session_line(sessions: Sequence[tuple[int, str]], *, follow_up_in: int | None = None) -> str:
    """Return who was seen when, and what is due, on one axis for all rows.

    sessions: (days ago, capture method); those older than the line are left out. follow_up_in: days until the
    follow-up, negative when late.
    """
    middle = LINE_HEIGHT / 2
    seen = [(days, method) for days, method in sessions if 0 <= days <= DAYS_BACK]
    parts = [
        f'<path class="base" d="M0,{number(middle)}H{LINE_WIDTH}"/>',
        f'<path class="now" d="M{number(TODAY_AT)},0V{LINE_HEIGHT}"/>',
    ]
    for days, method in seen:
        x, half = number(_day_x(-days)), STROKE_HALF_HEIGHT.get(method)
        if half is None:
            parts.append(f'<circle class="dot" cx="{x}" cy="{number(middle)}" r="2"/>')
        else:
            parts.append(f'<path class="seen" d="M{x},{number(middle - half)}V{number(middle + half)}"/>')
    if follow_up_in is not None:
        due = max(-DAYS_BACK, min(DAYS_AHEAD, follow_up_in))
        late = " late" if follow_up_in < 0 else ""
        parts.append(
            f'<path class="due{late}" d="M{number(_day_x(due))},{number(middle - 5.5)}l5.5,5.5l-5.5,5.5l-5.5,-5.5z"/>'
        )
    return (
        f'<svg class="tl" width="{LINE_WIDTH}" height="{LINE_HEIGHT}" viewBox="0 0 {LINE_WIDTH} {LINE_HEIGHT}" '
        f'role="img" aria-label="{escape(_line_name(seen, follow_up_in))}">{"".join(parts)}</svg>'
    )


def _line_name(seen: Sequence[tuple[int, str]], follow_up_in: int | None) -> str:
    if seen:
        days, method = min(seen)
        when = "today" if days == 0 else f"{days} day{'' if days == 1 else 's'} ago"
        name = f"{len(seen)} session{'' if len(seen) == 1 else 's'}, last {when} by {METHOD_WORDS.get(method, method)}"
    else:
        name = "no session in this time"
    if follow_up_in is None:
        return name
    if follow_up_in < 0:
        return f"{name}; follow-up {-follow_up_in} days late"
    return f"{name}; follow-up {'today' if follow_up_in == 0 else f'in {follow_up_in} days'}"


def session_line_head() -> str:
    """Return the axis that stands above a column of session lines."""
    days = "".join(
        f'<text x="{number(_day_x(-ago))}" y="31" text-anchor="middle">{ago or "today"}</text>'
        for ago in (120, 90, 60, 30, 0)
    )
    return (
        f'<svg class="tl" width="{LINE_WIDTH}" height="38" viewBox="0 0 {LINE_WIDTH} 38" '
        'role="img" aria-label="Sessions, days ago">'
        f'<text x="24" y="12">Sessions, days ago</text>{days}</svg>'
    )


@dataclass(frozen=True)
class ThrowDot:
    """One throw of a session: its ball speed in any one unit, or None; state: scored, not_scored or excluded."""

    speed: float | None
    state: str = "scored"


def throw_dots(throws: Sequence[ThrowDot], *, name: str) -> str:
    """Return ball speed by throw: a dot for a scored throw, a dash for one not scored, a cross for an excluded one."""
    speeds = [throw.speed for throw in throws if throw.speed is not None and throw.state == "scored"]
    low, high = (min(speeds), max(speeds)) if speeds else (0.0, 1.0)
    pitch = min(THROW_PITCH, THROWS_WIDTH / max(len(throws), 1))
    width, arm = pitch * max(len(throws), 1), min(4.0, pitch / 3)
    parts = [f'<path class="base" d="M0,{THROW_HEIGHT - 0.5}H{number(width)}"/>']
    for place, throw in enumerate(throws):
        x = pitch * (place + 0.3)
        if throw.state == "excluded":
            parts.append(
                f'<path class="cross" d="M{number(x - arm)},21l{number(2 * arm)},8m0,-8l-{number(2 * arm)},8"/>'
            )
        elif throw.state != "scored" or throw.speed is None:
            parts.append(f'<path class="dash" d="M{number(x - arm)},28h{number(2 * arm)}"/>')
        else:
            share = 0.5 if high == low else (throw.speed - low) / (high - low)
            parts.append(
                f'<circle class="dot" cx="{number(x)}" cy="{number(22 - 17 * share)}" r="{number(min(3.4, arm))}"/>'
            )
    return (
        f'<svg class="td" width="{number(width)}" height="{THROW_HEIGHT}" viewBox="0 0 {number(width)} {THROW_HEIGHT}" '
        f'role="img" aria-label="{escape(name)}">{"".join(parts)}</svg>'
    )
