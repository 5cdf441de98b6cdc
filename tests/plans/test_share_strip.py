"""The picture of a share lies where its numbers are, whatever they are."""

from __future__ import annotations

import re

import pytest

from plans.responding.shares import wilson
from plans.share_strip import MARGIN, WIDTH, share_strip


def places(picture: str) -> tuple[float, float, float]:
    """Low, share, high, as parts of the line from none to all."""
    found = (
        re.search(r'class="span" d="M([\d.]+),[\d.]+H([\d.]+)', picture),
        re.search(r'class="at" d="M([\d.]+)', picture),
    )
    inner = WIDTH - 2 * MARGIN
    low, high, at = float(found[0][1]), float(found[0][2]), float(found[1][1])
    return tuple((one - MARGIN) / inner for one in (low, at, high))


@pytest.mark.parametrize(("count", "total"), [(0, 5), (5, 5), (12, 30), (1, 400)])
def test_ends_and_share_are_in_their_places(count, total):
    share = wilson(count, total)
    assert places(share_strip(share)) == pytest.approx((share.low, share.estimate, share.high), abs=0.001)


def test_it_is_hidden_from_readers_since_its_numbers_stand_beside_it():
    assert 'aria-hidden="true"' in share_strip(wilson(1, 5))
