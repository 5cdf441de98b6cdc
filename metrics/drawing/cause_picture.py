"""A picture of cause links: causes left of their effects in the order of the delivery, stronger links wider.

A box is a metric that is off in one direction. Columns are moments of the delivery, screens and context at the left
end; causes and effects of one moment stand in columns of their own. What the picture shows stands in `told` too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil
from textwrap import wrap

from metrics.catalogue import Catalogue
from metrics.catalogue.causes import STRENGTHS, Link
from metrics.catalogue.causes.moments import place_of
from metrics.drawing.layers import BEND_HEIGHT, Layout, lay_out
from metrics.drawing.marks import number

BOX_WIDTH = 134.0
COLUMN_GAP = 38.0
BOX_GAP = 10.0
LINE_HEIGHT = 15.0
BOX_PADDING = 6.0
LETTERS = 19
"""Letters of a name on one line: a box holds that many of ordinary width at 12 px."""
TOP = 30.0
MARGIN = 4.0
SHRINKS = 1500.0
"""px: a wider picture is not made smaller to fit the page, since nobody could read it."""
ARROW = 6.0

MOMENT_WORDS = (
    "Screens and context", "Before the delivery", "To peak knee lift", "To foot contact", "To foot plant",
    "To greatest layback", "To release", "To the arm’s turn in", "Loads and outcomes",
)  # fmt: skip
"""The head of the columns of each place in `moments.ORDER`."""

End = tuple[str, str]


@dataclass(frozen=True, slots=True)
class CausePicture:
    """`svg`: the picture; `told`: its text; `links`: those that it shows."""

    svg: str
    told: str
    links: tuple[Link, ...]


def span_in_delivery(key: str, catalogue: Catalogue) -> tuple[int, int]:
    """First and last place at which a metric can stand, as indices of `MOMENT_WORDS`; an extreme before its end."""
    metric = catalogue.metrics.get(key)
    if metric is None:
        return 0, 0
    earliest, latest = place_of(metric, catalogue)
    return ceil(earliest), ceil(latest)


def places_in_delivery(links: Sequence[Link], catalogue: Catalogue) -> dict[End, int]:
    """Where each end stands: as late as its span allows and no later than its earliest effect."""
    effects: dict[End, list[End]] = {}
    for link in links:
        effects.setdefault(link.cause_end, []).append(link.effect_end)
        effects.setdefault(link.effect_end, [])
    places: dict[End, int] = {}

    def place(end: End, passed: frozenset[End]) -> int:
        if end not in places:
            first, last = span_in_delivery(end[0], catalogue)
            later = [place(effect, passed | {end}) for effect in effects[end] if effect not in passed | {end}]
            places[end] = max(first, min([last, *later]))
        return places[end]

    for end in effects:
        place(end, frozenset())
    return places


def up_and_down(links: Iterable[Link], chosen: str, *, down: bool = True) -> tuple[Link, ...]:
    """The links on a way to the chosen metric ("key", or "key:low"), and with `down` those on a way from it."""
    links = tuple(links)
    starts = {end for link in links for end in (link.cause_end, link.effect_end) if chosen in (end[0], ":".join(end))}
    to_it = _reached(starts, [(link.effect_end, link.cause_end) for link in links])
    from_it = _reached(starts, [(link.cause_end, link.effect_end) for link in links]) if down else set()
    return tuple(link for link in links if link.effect_end in to_it or link.cause_end in from_it)


def _reached(starts: set[End], steps: Sequence[tuple[End, End]]) -> set[End]:
    found, waiting = set(starts), list(starts)
    while waiting:
        here = waiting.pop()
        for one, other in steps:
            if one == here and other not in found:
                found.add(other)
                waiting.append(other)
    return found


def draw_causes(links: Iterable[Link], catalogue: Catalogue, *, chosen: str = "") -> CausePicture:
    """Draws these links; boxes of the chosen metric ("key", or "key:low") are marked."""
    links = tuple(links)
    places = places_in_delivery(links, catalogue)
    ends = sorted(places, key=places.__getitem__)
    names = {":".join(end): _wrapped(end, catalogue) for end in ends}
    ranks = {":".join(end): float(places[end]) for end in ends}
    heights = {key: len(lines) * LINE_HEIGHT + 2 * BOX_PADDING for key, lines in names.items()}
    lines = [(":".join(link.cause_end), ":".join(link.effect_end)) for link in links]
    layout = lay_out(ranks, lines, heights, BOX_GAP)
    body = [
        *_heads(ranks, layout),
        *(_curve(link, layout, heights, catalogue) for link in sorted(links, key=lambda one: STRENGTHS[one.strength])),
        *(_box(key, names[key], layout, heights[key], chosen) for key in ranks),
    ]
    told = _told(links, ends, catalogue, chosen)
    width = max(0.0, layout.columns * (BOX_WIDTH + COLUMN_GAP) - COLUMN_GAP) + 2 * MARGIN
    height = TOP + layout.height + 2 * MARGIN
    fits = " cp-fits" if width <= SHRINKS else ""
    svg = (
        f'<svg class="cause-picture{fits}" role="img" aria-label="{escape(told)}" width="{number(width)}" '
        f'height="{number(height)}" viewBox="0 0 {number(width)} {number(height)}">{"".join(body)}</svg>'
    )
    return CausePicture(svg, told, links)


def _wrapped(end: End, catalogue: Catalogue) -> list[tuple[str, str]]:
    """Lines that fit the box, each with its class: the name, then the direction with the catalogue's word for it."""
    metric = catalogue.metrics.get(end[0])
    name = metric.name if metric else end[0].replace("_", " ")
    word = (metric.low_word if end[1] == "low" else metric.high_word) if metric else "retired"
    way = end[1] if word == end[1] else f"{end[1]}: {word}"
    return [*((line, "") for line in wrap(name, LETTERS)), *((line, "cp-way") for line in wrap(way, LETTERS))]


def _x(column: int) -> float:
    return MARGIN + column * (BOX_WIDTH + COLUMN_GAP)


def _y(top: float) -> float:
    return TOP + MARGIN + top


def _heads(ranks: Mapping[str, float], layout: Layout) -> list[str]:
    """The moment's name over the first of its columns."""
    first: dict[int, int] = {}
    for key, rank in ranks.items():
        first[int(rank)] = min(first.get(int(rank), layout.columns), layout.column[key])
    return [
        f'<text class="cp-head" x="{number(_x(column))}" y="18">{escape(MOMENT_WORDS[rank])}</text>'
        for rank, column in sorted(first.items())
    ]


def _box(key: str, lines: Sequence[tuple[str, str]], layout: Layout, height: float, chosen: str) -> str:
    x, y = _x(layout.column[key]), _y(layout.top[key])
    mark = " cp-chosen" if chosen and chosen in (key, key.partition(":")[0]) else ""
    first = y + BOX_PADDING + 11
    spans = "".join(
        f'<tspan class="{kind}" x="{number(x + 8)}" y="{number(first + LINE_HEIGHT * index)}">{escape(line)}</tspan>'
        for index, (line, kind) in enumerate(lines)
    )
    return (
        f'<g class="cp-box{mark}"><rect x="{number(x)}" y="{number(y)}" width="{number(BOX_WIDTH)}" '
        f'height="{number(height)}" rx="3"/><text>{spans}</text></g>'
    )


def _curve(link: Link, layout: Layout, heights: Mapping[str, float], catalogue: Catalogue) -> str:
    """From the right edge of the cause to the left edge of the effect, straight where it passes a column."""
    start, end = ":".join(link.cause_end), ":".join(link.effect_end)
    x, y = _x(layout.column[start]) + BOX_WIDTH, _y(layout.top[start]) + heights[start] / 2
    path = f"M{number(x)},{number(y)}"
    for bend in layout.lines[start, end]:
        left, level = _x(bend[2]), _y(layout.top[bend]) + BEND_HEIGHT / 2
        path += f"{_bow(x, y, left, level)}H{number(left + BOX_WIDTH)}"
        x, y = left + BOX_WIDTH, level
    tip_x, tip_y = _x(layout.column[end]), _y(layout.top[end]) + heights[end] / 2
    path += _bow(x, y, tip_x - ARROW, tip_y)
    head = f"M{number(tip_x)},{number(tip_y)}l{number(-ARROW - 1)},{number(-ARROW / 2 - 1)}v{number(ARROW + 2)}Z"
    title = escape(
        f"{_spoken(link.cause_end, catalogue)} → {_spoken(link.effect_end, catalogue)}: {link.strength}. {link.reason}"
    )
    return (
        f'<g class="cp-link cp-{link.strength}" data-cause="{escape(start)}" data-effect="{escape(end)}">'
        f'<title>{title}</title><path class="cp-line" d="{path}"/><path class="cp-tip" d="{head}"/></g>'
    )


def _bow(x: float, y: float, to_x: float, to_y: float) -> str:
    """A curve that leaves and arrives level."""
    half = max(abs(to_x - x) / 2, COLUMN_GAP / 2)
    return f"C{number(x + half)},{number(y)} {number(to_x - half)},{number(to_y)} {number(to_x)},{number(to_y)}"


def _spoken(end: End, catalogue: Catalogue) -> str:
    metric = catalogue.metrics.get(end[0])
    return f"{metric.name if metric else end[0]}, {end[1]}"


def _told(links: Sequence[Link], ends: Sequence[End], catalogue: Catalogue, chosen: str) -> str:
    if not links:
        return "No cause links to draw."
    about = [_spoken(end, catalogue) for end in ends if chosen in (end[0], ":".join(end))] if chosen else []
    of = f" of {' and '.join(about)}" if about else ""
    count = f"{len(links)} cause link{'' if len(links) == 1 else 's'}{of} between {len(ends)} findings"
    return f"{count}, causes left of their effects. The table under the picture says the same."
