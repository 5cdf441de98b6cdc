"""The page about reading by program says what the lists really take and give."""

import pytest
from django.urls import reverse

from desk.filters import FindingFilter
from desk.selectors.api_lists import api_lists


def test_every_filter_and_every_field_of_a_list_is_told():
    athletes, _, findings = api_lists()
    assert {line.name for line in findings.filters} == set(FindingFilter.base_filters)
    assert "birth_date" in {line.name for line in athletes.fields}
    assert all(line.kind for one in api_lists() for line in (*one.filters, *one.fields))


def test_the_addresses_on_the_page_give_rows(client, coach):
    client.force_login(coach)
    page = client.get(reverse("desk:reading-by-program")).content.decode()
    for one in api_lists():
        assert f'href="{one.address}?page_size=1"' in page
        assert client.get(one.address, {"page_size": 1}).status_code == 200


@pytest.mark.parametrize("filters", api_lists(), ids=lambda one: one.name)
def test_a_filter_that_the_page_names_is_one(client, coach, filters):
    client.force_login(coach)
    for line in filters.filters:
        assert "There is no such filter." not in client.get(filters.address, {line.name: ""}).content.decode()


def test_nobody_in_particular_is_asked_to_sign_in(client, db):
    assert client.get(reverse("desk:reading-by-program")).status_code == 302
