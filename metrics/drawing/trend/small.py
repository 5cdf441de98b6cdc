"""A small trend: one of many side by side."""

from __future__ import annotations

from athletes.quantities import format_number
from metrics.drawing.delivery_line.lettering import width_of
from metrics.drawing.trend.plot import Box, Plot, apart, plot_of, ticks_of
from metrics.drawing.trend.svg_parts import axis, bands, fitted_line, framed, path, points_group, px, text_at, upright
from metrics.drawing.trend.values import Picture

WIDTH, HEIGHT = 270.0, 148.0
LEFT, TOP, BOTTOM = 6.0, 8.0, 122.0
EDGE_GAP = 4.0
LETTERS = 12.0
MARK = 10.0
MARK_OF_MANY = 8.0
MANY = 18
MOST_TICKS = 3
LABEL_GAP = 13.0


def small_trend(picture: Picture) -> str:
    """The chart as SVG: the target's edges named at its end, three days at its foot."""
    plot = plot_of(picture, Box(LEFT, TOP, _right_end(picture), BOTTOM))
    size = MARK if len(picture.points) <= MANY else MARK_OF_MANY
    body = (
        bands(plot, picture.stretches)
        + "".join(upright(plot, plot.x(one.day), "moved") for one in picture.moved)
        + axis(plot, ticks_of(plot, MOST_TICKS, LETTERS, WIDTH), 16)
        + _cues(plot, picture)
        + fitted_line(plot, picture.fitted)
        + points_group(plot, picture.points, size, caps=False)
        + _edges(plot, picture)
    )
    return framed("small-trend", WIDTH, HEIGHT, picture.name, body)


def _cues(plot: Plot, picture: Picture) -> str:
    return path(
        "cue",
        "".join(
            f"M{px(plot.x(one.day) - 3)},{px(plot.box.bottom + 5)}l3,-5l3,5"
            for one in picture.cues
            if plot.shows(one.day)
        ),
    )


def _right_end(picture: Picture) -> float:
    """Of the plot: the target's edges are named behind it."""
    words = [format_number(edge, picture.decimals) for edge in _last_edges(picture)]
    return WIDTH - EDGE_GAP - max((width_of(word, LETTERS) for word in words), default=EDGE_GAP)


def _last_edges(picture: Picture) -> list[float]:
    if not picture.stretches:
        return []
    last = picture.stretches[-1]
    return [edge for edge in (last.target_high, last.target_low) if edge is not None]


def _edges(plot: Plot, picture: Picture) -> str:
    values = [edge for edge in _last_edges(picture) if plot.holds(edge)]
    places = apart([plot.y(value) for value in values], LABEL_GAP, plot.box.top, plot.box.bottom)
    return "".join(
        text_at(plot.box.right + EDGE_GAP, y + 4, format_number(value, picture.decimals))
        for value, y in zip(values, places, strict=True)
    )
