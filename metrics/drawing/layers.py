"""Where the boxes of a layered picture stand: columns from left to right, nothing on top of anything, few crossings.

The steps are those of the usual layered drawing of a directed graph (Sugiyama, Tagawa and Toda 1981, from memory):
columns, bends where a line passes a column, order by the mean place of the neighbours, then heights. A box's height
is set so that it stands as near to its neighbours as the boxes above and below it allow, which is a least squares
problem with an order (pool adjacent violators).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

BEND_HEIGHT = 8.0
"""px that a line takes where it passes a column."""

SWEEPS = 12
SETTLING = 6

Bend = tuple[str, str, int]
"""A line (from, to) where it passes the column of that number."""

Item = str | Bend


@dataclass(frozen=True, slots=True)
class Layout:
    """`column`: box → its number from the left; `top`: box or bend → px from the top; `lines`: line → its bends.

    `height`: px of the whole; `columns`: how many.
    """

    column: Mapping[str, int]
    top: Mapping[Item, float]
    lines: Mapping[tuple[str, str], tuple[Bend, ...]]
    columns: int
    height: float


def lay_out(
    ranks: Mapping[str, float], lines: Iterable[tuple[str, str]], heights: Mapping[str, float], gap: float
) -> Layout:
    """Places boxes of these heights (px), `gap` px apart.

    `ranks`: box → its place in time; boxes of one rank that stand in one line get columns of their own, one after the
    other. Lines that run backward have no bends.
    """
    wanted = list(dict.fromkeys(lines))
    column = _columns(ranks, wanted)
    count = max(column.values(), default=-1) + 1
    bends = {line: _bends(line, column) for line in wanted}
    left, right = _neighbours(bends)
    ordered = _order(column, bends, left, right, count)
    tall: dict[Item, float] = dict(heights.items())
    for chain in bends.values():
        tall.update(dict.fromkeys(chain, BEND_HEIGHT))
    top = _settle(ordered, tall, left, right, gap)
    height = max((place + tall[item] for item, place in top.items()), default=0.0)
    return Layout(column, top, bends, count, height)


def _columns(ranks: Mapping[str, float], lines: Sequence[tuple[str, str]]) -> dict[str, int]:
    before: defaultdict[str, list[str]] = defaultdict(list)
    for start, end in lines:
        if ranks[start] == ranks[end]:
            before[end].append(start)
    depth: dict[str, int] = {}

    def depth_of(box: str, passed: frozenset[str]) -> int:
        """A box that leads back to itself is as deep as it is without that way."""
        if box not in depth:
            earlier = [depth_of(one, passed | {box}) for one in before[box] if one not in passed | {box}]
            depth[box] = max(earlier, default=-1) + 1
        return depth[box]

    for box in ranks:
        depth_of(box, frozenset())
    places = sorted({(ranks[box], depth[box]) for box in ranks})
    number = {place: index for index, place in enumerate(places)}
    return {box: number[ranks[box], depth[box]] for box in ranks}


def _bends(line: tuple[str, str], column: Mapping[str, int]) -> tuple[Bend, ...]:
    start, end = line
    return tuple((start, end, passed) for passed in range(column[start] + 1, column[end]))


Neighbours = Mapping[Item, Sequence[Item]]


def _neighbours(bends: Mapping[tuple[str, str], tuple[Bend, ...]]) -> tuple[Neighbours, Neighbours]:
    """What stands one step to the left and to the right of each box and bend."""
    left: defaultdict[Item, list[Item]] = defaultdict(list)
    right: defaultdict[Item, list[Item]] = defaultdict(list)
    for (start, end), chain in bends.items():
        stops: list[Item] = [start, *chain, end]
        for one, other in pairwise(stops):
            right[one].append(other)
            left[other].append(one)
    return left, right


def _order(
    column: Mapping[str, int],
    bends: Mapping[tuple[str, str], tuple[Bend, ...]],
    left: Neighbours,
    right: Neighbours,
    count: int,
) -> list[list[Item]]:
    """The items of each column from the top, in the order with the fewest crossings that the sweeps came by."""
    ordered: list[list[Item]] = [[] for _ in range(count)]
    for box, number in column.items():
        ordered[number].append(box)
    for chain in bends.values():
        for bend in chain:
            ordered[bend[2]].append(bend)
    best, fewest = [list(items) for items in ordered], crossings(ordered, right)
    for sweep in range(SWEEPS):
        towards, numbers = (left, range(count)) if sweep % 2 == 0 else (right, range(count - 1, -1, -1))
        place = {item: float(index) for items in ordered for index, item in enumerate(items)}
        for number in numbers:
            means = {item: _mean([place[other] for other in towards.get(item, ())]) for item in ordered[number]}
            wanted = {item: place[item] if mean is None else mean for item, mean in means.items()}
            ordered[number].sort(key=wanted.__getitem__)
            place.update({item: float(index) for index, item in enumerate(ordered[number])})
        if (found := crossings(ordered, right)) < fewest:
            best, fewest = [list(items) for items in ordered], found
    return best


def crossings(ordered: Sequence[Sequence[Item]], right: Neighbours) -> int:
    """How often two lines cross between neighbouring columns."""
    found = 0
    for here, there in pairwise(ordered):
        place = {item: index for index, item in enumerate(there)}
        ends = [
            place[other]
            for item in here
            for other in sorted((one for one in right.get(item, ()) if one in place), key=place.__getitem__)
        ]
        found += sum(earlier > later for index, later in enumerate(ends) for earlier in ends[:index])
    return found


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if values else None


def _settle(
    ordered: Sequence[Sequence[Item]], tall: Mapping[Item, float], left: Neighbours, right: Neighbours, gap: float
) -> dict[Item, float]:
    """The top of each item: sweeps back and forth draw it level with the middle of its neighbours."""
    top: dict[Item, float] = {}
    for items in ordered:
        below = 0.0
        for item in items:
            top[item], below = below, below + tall[item] + gap
    for sweep in range(SETTLING):
        for items in ordered if sweep % 2 == 0 else reversed(ordered):
            wanted = []
            for item in items:
                beside = [top[other] + tall[other] / 2 for other in (*left.get(item, ()), *right.get(item, ()))]
                middle = _mean(beside)
                wanted.append(top[item] if middle is None else middle - tall[item] / 2)
            top.update(zip(items, keep_apart(wanted, [tall[item] + gap for item in items]), strict=True))
    least = min(top.values(), default=0.0)
    return {item: place - least for item, place in top.items()}


def keep_apart(wanted: Sequence[float], steps: Sequence[float]) -> list[float]:
    """The places nearest to those wanted (least squares) of which each is at least its step before the next one."""
    offsets = [sum(steps[:index]) for index in range(len(steps))]
    pools: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        mean, count = want - offset, 1
        while pools and pools[-1][0] >= mean:
            other, size = pools.pop()
            mean, count = (mean * count + other * size) / (count + size), count + size
        pools.append((mean, count))
    level = [mean for mean, count in pools for _ in range(count)]
    return [place + offset for place, offset in zip(level, offsets, strict=True)]
