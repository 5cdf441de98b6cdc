"""One's own reminders: an address made and shown once, taken back, and the letter refused."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from plans.models import CalendarAddress, DigestChoice

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
PAGE = "/account/reminders/"


@pytest.fixture
def own(client_of, coach):
    return client_of(coach)


def shown(answer) -> str:
    found = re.search(r'class="address"[^>]*>([^<]+)<', answer.content.decode())
    assert found is not None
    return found[1]


def test_an_address_is_shown_once_under_the_public_address(own, settings):
    settings.PUBLIC_ADDRESS = "https://mound.example"
    answer = own.post(f"{PAGE}make/")
    address = shown(answer)
    assert address.startswith("https://mound.example/calendar/")
    assert "no-store" in answer["Cache-Control"]
    assert address.rpartition("/")[2] not in own.get(PAGE).content.decode()
    assert Client().get(address.removeprefix("https://mound.example")).status_code == 200


def test_a_new_one_replaces_it(own):
    first, second = (shown(own.post(f"{PAGE}make/")) for _ in range(2))
    paths = ["/calendar/" + one.split("/calendar/")[1] for one in (first, second)]
    assert [Client().get(path).status_code for path in paths] == [404, 200]


def test_it_is_taken_back(own):
    path = "/calendar/" + shown(own.post(f"{PAGE}make/")).split("/calendar/")[1]
    page = own.post(f"{PAGE}revoke/", follow=True).content.decode()
    assert "answers nobody any more" in page
    assert "There is none." in page
    assert Client().get(path).status_code == 404


def test_the_page_says_when_a_program_read_it_last(own):
    own.post(f"{PAGE}make/")
    assert "not read yet" in own.get(PAGE).content.decode()


def test_the_letter_is_refused_and_wanted_again(own, coach):
    coach.email = "coach@mound.example"
    coach.save()
    assert "<b>On.</b>" in own.get(PAGE).content.decode()
    assert "<b>Off.</b>" in own.post(f"{PAGE}letter/", {"wanted": "no"}, follow=True).content.decode()
    assert not DigestChoice.objects.get(owner=coach).wanted
    own.post(f"{PAGE}letter/", {"wanted": "yes"})
    assert DigestChoice.objects.get(owner=coach).wanted


def test_without_an_address_of_ones_own_it_says_where_to_add_one(own, coach):
    coach.email = ""
    coach.save()
    assert "no e-mail address" in own.get(PAGE).content.decode()


def test_whoever_gives_no_work_has_none(client_of, clinician, guardian, athlete_user, visiting_coach):
    for account in (clinician, guardian, athlete_user, visiting_coach):
        client = client_of(account)
        assert client.get(PAGE).status_code == 403
        for way in ("make", "revoke", "letter"):
            assert client.post(f"{PAGE}{way}/").status_code == 403
        assert "/account/reminders/" not in client.get("/account/").content.decode()
    assert CalendarAddress.objects.count() == 0


def test_the_account_leads_to_it(own):
    assert "/account/reminders/" in own.get("/account/").content.decode()
