"""Screens that are measured in several ways: the choice is kept, and two ways are never averaged."""

from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from metrics.catalogue import load_catalogue
from metrics.services.screens.saving import save_screens, take_back_screens
from tests import factories

pytestmark = pytest.mark.django_db

HIPS = ("hip_ir_front", "hip_ir_back")
VALUES = {"v-hip_ir_front-1": "31", "v-hip_ir_back-1": "44"}


@pytest.fixture(autouse=True)
def two_ways(clock, facility, monkeypatch):
    """14 April 2026; hip internal rotation is measured lying, or seated. Metrics are frozen: set past that."""
    before = {key: load_catalogue().metric(key).definitions for key in HIPS}
    for key in HIPS:
        object.__setattr__(load_catalogue().metric(key), "definitions", ("lying_face_down", "seated"))
    yield
    for key, words in before.items():
        object.__setattr__(load_catalogue().metric(key), "definitions", words)


def save(athlete, by, **changes):
    sent = {**VALUES, **changes}
    return save_screens(athlete=athlete, by=by, key=uuid4(), date=factories.DAY, sent=sent).session


def test_the_form_offers_the_techniques_with_the_usual_one_chosen(athlete, coach, client_of):
    page = client_of(coach).get(f"/athletes/{athlete.uuid}/screens/").content.decode()
    assert '<option value="lying_face_down" selected>lying face down</option>' in page
    assert '<option value="seated">seated</option>' in page


def test_the_choice_is_kept_for_both_sides(athlete, coach):
    assert save(athlete, coach, **{"technique-hip_ir": "seated"}).definitions == dict.fromkeys(HIPS, "seated")


def test_the_usual_one_is_not_written_down_so_that_it_compares_with_files(athlete, coach):
    assert save(athlete, coach, **{"technique-hip_ir": "lying_face_down"}).definitions == {}


def test_another_technique_on_the_same_day_makes_another_session(athlete, coach):
    lying, seated = save(athlete, coach), save(athlete, coach, **{"technique-hip_ir": "seated"})
    assert lying != seated
    assert save(athlete, coach, **{"technique-hip_ir": "seated"}) == seated
    assert save(athlete, coach) == lying


def test_the_technique_of_one_screen_does_not_part_another(athlete, coach):
    lying = save(athlete, coach)
    sent = {"v-hip_er_front-1": "40", "technique-hip_ir": "seated"}
    assert save_screens(athlete=athlete, by=coach, key=uuid4(), date=factories.DAY, sent=sent).session == lying
    assert lying.definitions == {}


def test_a_technique_whose_values_were_taken_back_binds_nobody(athlete, coach):
    other = {"athlete": athlete, "by": coach, "date": factories.DAY}
    stays = save_screens(key=uuid4(), sent={"v-hip_er_front-1": "40"}, **other).session
    entry = save_screens(key=uuid4(), sent={**VALUES, "technique-hip_ir": "seated"}, **other)
    assert entry.session == stays
    take_back_screens(entry=entry, by=coach)
    again = save(athlete, coach)
    assert (again, again.definitions) == (stays, {})


def test_a_word_that_is_no_technique_is_refused(athlete, coach):
    with pytest.raises(ValidationError, match="choose the technique from the list"):
        save(athlete, coach, **{"technique-hip_ir": "standing"})
