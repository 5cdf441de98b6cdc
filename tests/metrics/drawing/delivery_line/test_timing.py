"""Two scales that meet at foot contact, whatever the events say."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.drawing.delivery_line import Event, times_of
from metrics.drawing.delivery_line.timing import TYPICAL_CONTACT_TO_RELEASE_MS, scale_of, ticks
from tests.metrics.drawing.delivery_line.lines import EVENTS, NAMES, UNTOLD

PLACES = (100.0, 250.0, 1100.0)
any_events = st.lists(
    st.one_of(st.none(), st.floats(-1e6, 1e6), st.just(math.nan)), min_size=len(NAMES), max_size=len(NAMES)
).map(lambda times: tuple(Event(key, NAMES[key], time) for key, time in zip(NAMES, times, strict=True)))


def test_told_times_are_kept():
    times = times_of(EVENTS)
    assert times.at_ms == {"pkh": -840.0, "fc": 0.0, "fp": 28.0, "mer": 115.0, "br": 146.0, "mir": 178.0}
    assert times.typical == frozenset()


def test_untold_times_are_typical_and_said_to_be():
    times = times_of(UNTOLD)
    assert times.are_typical
    assert times.contact_to_release_ms == TYPICAL_CONTACT_TO_RELEASE_MS
    assert list(times.at_ms) == ["pkh", "fc", "fp", "mer", "br", "mir"]


def test_one_untold_event_stands_at_its_share_of_the_told_length():
    events = tuple(Event(event.key, event.name, None if event.key == "mer" else event.time_ms) for event in EVENTS)
    times = times_of(events)
    assert times.at_ms["mer"] == pytest.approx(0.80 * 146.0)
    assert times.typical == {"mer"}


def test_release_before_contact_is_not_believed():
    assert times_of((Event("fc", "c", 10.0), Event("br", "r", 2.0))).at_ms["br"] == 160.0


@given(any_events)
def test_scale_rises_and_its_corners_stand_where_they_were_put(events):
    times = times_of(events)
    scale = scale_of(times, *PLACES)
    first, contact, last = PLACES
    assert scale.at(scale.start_ms) == pytest.approx(first)
    assert scale.at(times.at_ms["fc"]) == pytest.approx(contact)
    assert scale.at(scale.end_ms) == pytest.approx(last)
    assert scale.at(-math.inf) == pytest.approx(first)
    assert scale.at(math.inf) == pytest.approx(last)


@given(any_events, st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_later_never_stands_left_of_earlier(events, one, other):
    scale = scale_of(times_of(events), *PLACES)
    assert scale.at(min(one, other)) <= scale.at(max(one, other)) + 1e-9


def test_ticks_are_100_ms_apart_before_contact_and_10_ms_after_it():
    scale = scale_of(times_of(EVENTS), *PLACES)
    places = [x for x, _, _ in ticks(scale)]
    before = [x for x in places if x < 250.0 - 1e-6]
    after = [x for x in places if x >= 250.0 - 1e-6]
    assert before[1] - before[0] == pytest.approx(100 * scale.before)
    assert after[1] - after[0] == pytest.approx(10 * scale.after)
    assert [text for _, _, text in ticks(scale) if text] == ["−800", "−400", "0 ms", "50", "100", "150"]


@given(any_events)
def test_ticks_never_crowd(events):
    scale = scale_of(times_of(events), *PLACES)
    places = [x for x, _, _ in ticks(scale)]
    assert all(second - first > 5.9 for first, second in pairwise(places))
