"""A family's pages are read at twelve: grade 7 over all of them, 8 on the hardest (see tests/reading.py)."""

from __future__ import annotations

from statistics import fmean

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.plain import load_plain_words
from tests.desk.families import STATES, shared
from tests.factories.plans import ThrowCountFactory
from tests.reading import blocks_of, reading_grade, sentences_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

MEAN, HARDEST = 7.0, 8.0


def sentences(client, address: str) -> list[str]:
    answer = client.get(address)
    assert answer.status_code == 200, address
    return sentences_of(blocks_of(answer.content.decode()))


@pytest.mark.parametrize("state", STATES)
def test_the_progress_page_in_every_state(state, athlete, athlete_user, guardian, client_of):
    STATES[state](athlete)
    grades = []
    for reader in (athlete_user, guardian):
        said = sentences(client_of(reader), f"/mine/{athlete.uuid}/")
        assert len(said) >= 5, said
        grades.append(reading_grade(said))
    assert max(grades) <= HARDEST


def test_all_pages_together(athlete, athlete_user, guardian, client_of):
    share = shared(athlete)
    second = f"/mine/{athlete.uuid}/looks/"
    ThrowCountFactory(athlete=athlete)
    pages = ("/", second, f"/shared/{share.uuid}/", f"/athletes/{athlete.uuid}/throwing/")
    grades = [
        reading_grade(sentences(client_of(reader), address)) for reader in (athlete_user, guardian) for address in pages
    ]
    assert max(grades) <= HARDEST
    assert fmean(grades) <= MEAN


def catalogue_sentences() -> list[str]:
    """Every headline and sentence that a share can show, each ended by a full stop."""
    catalogue, found = load_catalogue(), []
    for key, plain in load_plain_words().items():
        metric = catalogue.metric(key)
        heads = (plain.low_headline, plain.high_headline, plain.good_headline)
        found += [text for text in (*heads, metric.low_sentence, metric.high_sentence) if text]
    return [text if text.endswith(".") else f"{text}." for text in found]


def test_the_plain_sentences_of_the_catalogue():
    said = catalogue_sentences()
    assert len(said) > 600
    assert reading_grade(said) <= MEAN
    assert [text for text in said if reading_grade([text]) > HARDEST] == []


def test_the_reasons_that_a_first_summary_gives():
    """A coach finds the reason of the first point in the summary, and may send it as it is."""
    catalogue = load_catalogue()
    reasons = sentences_of(catalogue.metric(key).why for key in load_plain_words())
    assert len(reasons) > 100
    assert reading_grade(reasons) <= MEAN
