"""The small picture of a throw before it is accepted."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from metrics.drawing.trace import LABEL_PX, WIDTH, TraceEvent, throw_trace

NAMES = ("knee lift", "contact", "plant", "layback", "release", "turned in")


def labels(svg: str) -> list[tuple[float, float, str]]:
    found = re.findall(r'<text class="t" x="([\d.]+)" y="([\d.]+)">([^<]+)</text>', svg)
    return [(float(x), float(y), name) for x, y, name in found]


@given(st.lists(st.floats(0, 3.0), min_size=6, max_size=6))
def test_names_never_lie_on_each_other_and_stay_in_the_picture(times):
    events = [TraceEvent(name, time) for name, time in zip(NAMES, times, strict=True)]
    placed = labels(throw_trace(40.0, [0.5] * 121, [1.0] * 121, events))
    for x, _, name in placed:
        assert 0 <= x <= WIDTH - LABEL_PX * len(name) + 0.01
    for index, (x, y, name) in enumerate(placed):
        for other_x, other_y, other in placed[index + 1 :]:
            apart = x + LABEL_PX * len(name) <= other_x or other_x + LABEL_PX * len(other) <= x
            assert y != other_y or apart


def test_gap_stays_a_gap():
    svg = throw_trace(40.0, [0.4, 0.5, None, None, 0.6, 0.7], [1.0] * 6, [])
    (knee,) = re.findall(r'class="knee" d="([^"]+)"', svg)
    assert knee.count("M") == 2


def test_nothing_seen_is_an_empty_curve():
    assert 'class="knee" d=""' in throw_trace(40.0, [None, None], [None, None], [])


def test_hostile_names_are_escaped():
    svg = throw_trace(40.0, [0.1, 0.2], [1.0, 2.0], [TraceEvent("<b>", 0.01)])
    assert "<b>" not in svg
