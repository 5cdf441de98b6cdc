"""Parts that both sizes of a trend are put together from. Every text that is given is escaped."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape

from metrics.drawing.marks import NOT_SCORED, Verdict, halo_at, mark_at
from metrics.drawing.trend.plot import Plot, Tick
from metrics.drawing.trend.values import Fitted, Point, Stretch

DASH_ABOVE_FOOT = 6.0
CAP_HALF = 2.5
DASH = Verdict(NOT_SCORED)


@dataclass(frozen=True, slots=True)
class Placed:
    """A stretch with its ends, px."""

    stretch: Stretch
    left: float
    right: float


def px(value: float) -> str:
    """A coordinate with one decimal at most and no "-0"."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def text_at(x: float, y: float, words: str, *, kind: str = "", anchor: str = "") -> str:
    named = f' class="{kind}"' if kind else ""
    where = f' text-anchor="{anchor}"' if anchor else ""
    return f'<text x="{px(x)}" y="{px(y)}"{named}{where}>{escape(words)}</text>'


def path(kind: str, d: str) -> str:
    """Nothing where there is nothing to draw."""
    return f'<path class="{kind}" d="{d}"/>' if d else ""


def bands(plot: Plot, given: Sequence[Stretch]) -> str:
    """The target as it applied, its edges, and the flag limits; a limit outside the plot is not drawn.

    The first and the last stretch run on to the ends of the plot, which lie a little outside the days of the sessions.
    """
    stretches = _placed(plot, given)
    body = "".join(_band(plot, stretch) for stretch in stretches)
    edges = _steps(plot, stretches, lambda one: one.target_low) + _steps(plot, stretches, lambda one: one.target_high)
    flags = _steps(plot, stretches, lambda one: one.flag_low) + _steps(plot, stretches, lambda one: one.flag_high)
    return path("band", body) + path("edge", edges) + path("limit", flags)


def _placed(plot: Plot, stretches: Sequence[Stretch]) -> list[Placed]:
    lefts = [plot.box.left, *(plot.x(one.first) for one in stretches[1:])]
    return [
        Placed(one, left, right)
        for one, left, right in zip(stretches, lefts, [*lefts[1:], plot.box.right], strict=False)
    ]


def _band(plot: Plot, placed: Placed) -> str:
    stretch = placed.stretch
    if stretch.target_low is None and stretch.target_high is None:
        return ""
    top = plot.box.top if stretch.target_high is None else plot.y(stretch.target_high)
    bottom = plot.box.bottom if stretch.target_low is None else plot.y(stretch.target_low)
    return f"M{px(placed.left)},{px(top)}H{px(placed.right)}V{px(bottom)}H{px(placed.left)}Z"


def _steps(plot: Plot, stretches: Sequence[Placed], limit_of: Callable[[Stretch], float | None]) -> str:
    """One line that steps where the limit moved and stops where the side is open."""
    d, is_drawn = "", False
    for placed in stretches:
        limit = limit_of(placed.stretch)
        if limit is None or not plot.holds(limit):
            is_drawn = False
            continue
        y = px(plot.y(limit))
        d += f"V{y}" if is_drawn else f"M{px(placed.left)},{y}"
        d += f"H{px(placed.right)}"
        is_drawn = True
    return d


def axis(plot: Plot, ticks: Iterable[Tick], below: float) -> str:
    """The foot of the plot with its days; `below`: from the foot to the letters' line, px."""
    box, marked = plot.box, tuple(ticks)
    strokes = "".join(f"M{px(tick.x)},{px(box.bottom)}v4" for tick in marked)
    words = "".join(text_at(tick.words_x, box.bottom + below, tick.words, anchor="middle") for tick in marked)
    return path("foot", f"M{px(box.left)},{px(box.bottom)}H{px(box.right)}{strokes}") + words


def upright(plot: Plot, x: float, kind: str) -> str:
    return path(kind, f"M{px(x)},{px(plot.box.top)}V{px(plot.box.bottom)}")


def fitted_line(plot: Plot, fitted: Fitted | None) -> str:
    if fitted is None:
        return ""
    start = f"M{px(plot.x(fitted.first))},{px(plot.y(fitted.first_value))}"
    return path("fit", f"{start}L{px(plot.x(fitted.last))},{px(plot.y(fitted.last_value))}")


def uncertainty(plot: Plot, points: Iterable[Point], *, caps: bool) -> str:
    """±1.96 u of every point as upright lines, over paper so that they can be told from the band."""
    lines = "".join(_upright_line(plot, point, caps=caps) for point in points)
    return path("under", lines) + path("un", lines)


def _upright_line(plot: Plot, point: Point, *, caps: bool) -> str:
    if point.mean is None or not point.half_width:
        return ""
    x, high, low = place_x(plot, point), plot.y(point.mean + point.half_width), plot.y(point.mean - point.half_width)
    if not caps:
        return f"M{px(x)},{px(high)}V{px(low)}"
    left = px(x - CAP_HALF)
    return f"M{left},{px(high)}h{px(2 * CAP_HALF)}M{px(x)},{px(high)}V{px(low)}M{left},{px(low)}h{px(2 * CAP_HALF)}"


def place_x(plot: Plot, point: Point) -> float:
    return plot.x(point.day, point.nudge)


def marks(plot: Plot, points: Iterable[Point], size: float) -> str:
    """The verdict's mark at every mean; a short dash at the foot where there is none."""
    drawn = []
    for point in points:
        x = round(place_x(plot, point), 1)
        if point.mean is None:
            drawn.append(mark_at(DASH, size, x, plot.box.bottom - DASH_ABOVE_FOOT))
            continue
        y = round(plot.y(point.mean), 1)
        drawn.append(halo_at(point.verdict, size, x, y) + mark_at(point.verdict, size, x, y))
    return "".join(drawn)


def points_group(plot: Plot, points: Sequence[Point], size: float, *, caps: bool) -> str:
    """Comparable ones in full; the others paler and behind them."""
    pale = [point for point in points if not point.comparable]
    full = [point for point in points if point.comparable]
    behind = uncertainty(plot, pale, caps=caps) + marks(plot, pale, size)
    group = f'<g class="pale">{behind}</g>' if behind else ""
    return group + uncertainty(plot, full, caps=caps) + marks(plot, full, size)


def framed(kind: str, width: float, height: float, name: str, body: str) -> str:
    return (
        f'<svg class="trend {kind}" width="{px(width)}" height="{px(height)}" viewBox="0 0 {px(width)} {px(height)}" '
        f'role="img" aria-label="{escape(name)}">{body}</svg>'
    )
