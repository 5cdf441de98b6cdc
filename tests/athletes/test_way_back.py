"""A form that another page led to leads back there, and nowhere else."""

import pytest

pytestmark = pytest.mark.django_db

CONSENT = {"given_by_name": "Ana Lindqvist", "relation": "mother", "given_on": "2026-04-01"}


@pytest.fixture
def answer(athlete, coach, client_of, clock):
    def send(asked: str):
        client = client_of(coach)
        return client.post(f"/athletes/{athlete.uuid}/consent/?next={asked}", CONSENT)

    return send


def test_it_leads_back_to_the_page_that_asked(answer):
    assert answer("/uploads/7/").headers["Location"] == "/uploads/7/"


@pytest.mark.parametrize("asked", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", ""])
def test_another_site_is_not_followed(answer, athlete, asked):
    assert answer(asked).headers["Location"] == f"/athletes/{athlete.uuid}/"


def test_a_refused_form_keeps_its_way_back(athlete, coach, client_of, clock):
    page = client_of(coach).post(f"/athletes/{athlete.uuid}/consent/?next=/uploads/7/", {**CONSENT, "relation": ""})
    assert page.status_code == 422
    assert 'href="/uploads/7/"' in page.content.decode()
