"""The trend that is opened: limits named, the days on which the range moved, cues under the foot."""

from __future__ import annotations

from dataclasses import dataclass

from athletes.quantities import format_number, with_unit
from metrics.drawing.delivery_line.lettering import shortened, width_of
from metrics.drawing.trend.plot import Box, Plot, apart, plot_of, ticks_of
from metrics.drawing.trend.svg_parts import (
    axis,
    bands,
    fitted_line,
    framed,
    path,
    place_x,
    points_group,
    px,
    text_at,
    upright,
)
from metrics.drawing.trend.values import Picture, Stretch

LETTERS = 12.5
LETTERS_OF_VALUE = 14.0
LABEL_GAP = 15.0
LIMIT_GAP = 7.0
MANY = 40
MOST_MOVED_ROWS = 2
MOVED_ROW = 15.0
CUE_BELOW = 40.0
CUE_GAP = 4.0
CUE_HALF = 3.5


HEAD, FOOT, FOOT_WITH_CUES = 10.0, 28.0, 48.0


@dataclass(frozen=True, slots=True)
class Size:
    """Of the picture its width, of the plot its left end and height, px; room on the other sides follows from what
    stands there."""

    width: float
    left: float
    plot_height: float
    mark: float
    mark_of_many: float
    ticks: int
    limit_words: bool


SIZES = {
    "desk": Size(860, 6, 290, 14, 9, 7, True),
    "phone": Size(328, 4, 210, 13, 8, 3, False),
}


def large_trend(picture: Picture, size: str = "desk") -> str:
    """The chart as SVG. `size`: "desk" or "phone"."""
    form = SIZES[size]
    rows = min(len({one.words for one in picture.moved}), MOST_MOVED_ROWS)
    top = HEAD + MOVED_ROW * rows
    plot = plot_of(picture, Box(form.left, top, _right_end(picture, form), top + form.plot_height))
    foot = FOOT_WITH_CUES if any(plot.shows(one.day) for one in picture.cues) else FOOT
    mark = form.mark if len(picture.points) <= MANY else form.mark_of_many
    body = (
        bands(plot, picture.stretches)
        + _moved(plot, picture)
        + axis(plot, ticks_of(plot, form.ticks, LETTERS, form.width), 19)
        + _cues(plot, picture)
        + fitted_line(plot, picture.fitted)
        + points_group(plot, picture.points, mark, caps=True)
        + _limits(plot, picture, form)
        + _last_value(plot, picture, mark)
    )
    return framed("large-trend", form.width, plot.box.bottom + foot, picture.name, body)


def _moved(plot: Plot, picture: Picture) -> str:
    """A dotted line a day; its words, once, in the first row that has room, shortened in the last."""
    said: set[str] = set()
    free_from = [plot.box.left] * MOST_MOVED_ROWS
    drawn = []
    for one in picture.moved:
        x = plot.x(one.day)
        drawn.append(upright(plot, x, "moved"))
        row = next((row for row in range(MOST_MOVED_ROWS) if free_from[row] <= x), None)
        if row is None or one.words in said:
            continue
        said.add(one.words)
        words = shortened(one.words, plot.box.right - x - 4, LETTERS)
        y = plot.box.top - 8 - MOVED_ROW * row
        if (
            words != one.words
            and width_of(one.words, LETTERS) <= x - plot.box.left - 4
            and free_from[row] == plot.box.left
        ):
            drawn.append(text_at(x - 4, y, one.words, anchor="end"))
            free_from[row] = x
        else:
            drawn.append(text_at(x + 4, y, words))
            free_from[row] = x + width_of(words, LETTERS) + 12
    return "".join(drawn)


def _cues(plot: Plot, picture: Picture) -> str:
    """A mark under the foot for each day on which a cue was first used; those too close for two numbers share words."""
    shown = sorted((plot.x(one.day), one.number) for one in picture.cues if plot.shows(one.day))
    groups: list[tuple[float, list[str]]] = []
    for x, cue in shown:
        left = x - CUE_HALF
        if groups and left - CUE_GAP < groups[-1][0] + width_of(", ".join(groups[-1][1]), LETTERS):
            groups[-1][1].append(str(cue))
        else:
            groups.append((left, [str(cue)]))
    foot = plot.box.bottom
    d = "".join(f"M{px(x - 4)},{px(foot + 7)}l4,-6l4,6" for x in sorted({x for x, _ in shown}))
    words = (text_at(left, foot + CUE_BELOW, ", ".join(cues), kind="cue-n") for left, cues in groups)
    return path("cue", d) + "".join(words)


def _right_end(picture: Picture, form: Size) -> float:
    """Of the plot: the limits are named behind it."""
    named = _limit_words(picture, form) if picture.stretches else []
    return form.width - LIMIT_GAP - max((width_of(words, LETTERS) for words, _ in named), default=LIMIT_GAP)


def _limit_words(picture: Picture, form: Size) -> list[tuple[str, float]]:
    """The limits that apply now: target 18°, or the number alone."""
    pairs = _named(picture.stretches[-1])
    return [
        (f"{name} {written(value, picture)}" if form.limit_words else written(value, picture), value)
        for name, value in pairs
    ]


def _limits(plot: Plot, picture: Picture, form: Size) -> str:
    if not picture.stretches:
        return ""
    named = [(words, value) for words, value in _limit_words(picture, form) if plot.holds(value)]
    places = apart([plot.y(value) for _, value in named], LABEL_GAP, plot.box.top, plot.box.bottom)
    return "".join(
        text_at(plot.box.right + LIMIT_GAP, y + 4.5, words, kind="lim")
        for (words, _), y in zip(named, places, strict=True)
    )


def _named(stretch: Stretch) -> list[tuple[str, float]]:
    pairs = (
        ("flag", stretch.flag_high),
        ("target", stretch.target_high),
        ("target", stretch.target_low),
        ("flag", stretch.flag_low),
    )
    return [(name, value) for name, value in pairs if value is not None]


def written(value: float, picture: Picture) -> str:
    return with_unit(format_number(value, picture.decimals), picture.unit)


def _last_value(plot: Plot, picture: Picture, mark: float) -> str:
    """The latest comparable value in letters above its line; where the plot ends there, beside its mark."""
    placed = [point for point in picture.points if point.comparable and point.mean is not None]
    if not placed:
        return ""
    last = placed[-1]
    mean, half = last.mean or 0.0, last.half_width or 0.0
    words = picture.now or written(mean, picture)
    width, x = width_of(words, LETTERS_OF_VALUE, bold=True), place_x(plot, last)
    above = min(plot.y(mean + half), plot.y(mean) - mark / 2) - 7
    if above - LETTERS_OF_VALUE >= plot.box.top:
        return text_at(min(x, plot.box.right - width / 2), above, words, kind="now", anchor="middle")
    beside, y = mark / 2 + 8, plot.y(mean) + 5
    if x - beside - width >= plot.box.left:
        return text_at(x - beside, y, words, kind="now", anchor="end")
    return text_at(x + beside, y, words, kind="now")
