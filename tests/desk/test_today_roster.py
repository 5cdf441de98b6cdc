"""The roster under Today: it comes when the page asks for it, and stands there at once where something was chosen."""

from __future__ import annotations

import pytest

from tests.desk.people import FOR_THE_ROSTER, measured
from tests.factories import DAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
FRESH = {"date": DAY, "height_cm": 180.0, "mass_kg": 75.0}


def test_the_roster_comes_when_the_page_asks_for_it_and_its_choices_stay_on_today(coach, client_of):
    measured("All Well", responsible_coach=coach, body_size=FRESH)
    client = client_of(coach)
    assert "Choose All Well" not in client.get("/").content.decode()
    part = client.get("/", headers=FOR_THE_ROSTER).content.decode()
    assert part.lstrip().startswith('<section class="roster-part" id="roster-part"')
    for words in ("Choose All Well", 'action="/"', "?next=%2F"):
        assert words in part, words
    rows = client.get("/", {"who": "mine"}, headers={"HX-Request": "true", "HX-Target": "roster-list"})
    assert rows.content.decode().lstrip().startswith('<div id="roster-list">')


@pytest.mark.parametrize("choice", ["who=everyone", "q=well", "sort=needs", "page=1", "level="])
def test_a_choice_in_the_address_has_the_roster_in_the_page(choice, coach, client_of):
    measured("All Well", responsible_coach=coach, body_size=FRESH)
    page = client_of(coach).get(f"/?{choice}").content.decode()
    assert "Choose All Well" in page
    assert 'hx-trigger="intersect"' not in page


def test_whom_to_check_in_is_no_choice_of_the_roster(coach, client_of):
    assert 'hx-trigger="intersect"' in client_of(coach).get("/?here=a").content.decode()
