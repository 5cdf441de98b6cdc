"""Words are estimated on the wide side, shortened and broken without losing the value."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.drawing.delivery_line.lettering import ELLIPSIS, SPARE, broken, name_and_value, shortened, width_of

texts = st.text(st.sampled_from("abc WMi–°漢é"), max_size=60)
rooms = st.floats(15, 300)

# px of a text at 12 px in Liberation Sans 1.07.4, as Chromium measured it (getComputedTextLength).
DRAWN = [
    ("Maximum external rotation", False, 141.39),
    ("Hip-shoulder separation 39°", False, 148.89),
    ("1,140°/s", False, 44.17),
    ("−45 ms", False, 39.69),
    ("WWW iii’ 71% + 1.6 in", False, 117.92),
    ("Maximum external rotation", True, 152.70),
    ("Hip-shoulder separation 39°", True, 159.50),
    ("−45 ms", True, 41.05),
]


@pytest.mark.parametrize(("text", "bold", "drawn"), DRAWN)
def test_estimate_is_what_a_browser_draws_and_a_little_more(text, bold, drawn):
    """0.6 percent: a browser kerns some pairs, and widths are rounded to a thousandth."""
    assert width_of(text, 12.0, bold=bold) == pytest.approx(SPARE * drawn, rel=0.006)


@given(texts, rooms)
def test_shortened_text_fits_and_begins_as_the_whole(text, room):
    short = shortened(text, room, 12.0)
    assert width_of(short, 12.0) <= room
    assert text.startswith(short.removesuffix(ELLIPSIS))


@given(texts, rooms, st.integers(1, 4))
def test_broken_lines_fit_and_lose_no_word_without_saying_so(text, room, most):
    lines = broken(text, room, 12.0, most=most)
    assert len(lines) <= most
    assert all(width_of(line, 12.0) <= room for line in lines)
    if not any(ELLIPSIS in line for line in lines):
        assert " ".join(lines) == " ".join(text.split())


def test_text_that_fits_stays_as_it_is():
    assert broken("Foot contact", 200.0, 12.0) == ("Foot contact",)


def test_value_survives_a_name_that_is_too_long():
    lines = name_and_value("A name that is far too long for any room at all", "44°", 40.0, 12.0, most=2)
    assert lines[-1] == ("44°", True)


def test_value_joins_the_name_where_both_fit_unless_it_stands_apart():
    assert name_and_value("Hip", "44°", 100.0, 12.0) == (("Hip 44°", False),)
    assert name_and_value("Hip", "not measured", 200.0, 12.0, apart=True) == (("Hip", False), ("not measured", True))


def test_unknown_letters_count_as_squares():
    assert width_of("漢", 12.0) == pytest.approx(12.0 * 1.06)
