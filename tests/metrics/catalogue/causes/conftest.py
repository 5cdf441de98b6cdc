"""The shipped graph, and its problems after a change."""

from __future__ import annotations

from dataclasses import replace

import pytest

from metrics.catalogue.causes import load_interventions, load_links
from metrics.catalogue.causes.rules import problems_of


@pytest.fixture(scope="session")
def links():
    return load_links()


@pytest.fixture(scope="session")
def interventions():
    return load_interventions()


@pytest.fixture
def problems(links, interventions, catalogue):
    """Problems of the shipped graph with one link changed, added or taken away."""

    def found(pair="", *, add=(), without=(), **changes):
        if pair:
            at = index_of(links, pair)
            changed = replace(links[at], **changes)
            kept = [*links[:at], changed, *links[at + 1 :]]
        else:
            kept = list(links)
        gone = {index_of(links, one) for one in without}
        kept = [one for number, one in enumerate(kept) if number not in gone]
        return problems_of([*kept, *add], interventions, catalogue)

    return found


def index_of(links, pair):
    """Place of "cause low > effect high" among the links."""
    cause, effect = (tuple(end.split()) for end in pair.split(" > "))
    (found,) = (number for number, one in enumerate(links) if (one.cause_end, one.effect_end) == (cause, effect))
    return found
