"""The search of the top bar."""

from __future__ import annotations

import pytest

from tests import factories

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


@pytest.fixture
def found(client_of):
    def get(user, text):
        answer = client_of(user).get("/search/", {"q": text})
        return answer["Location"] if answer.status_code == 302 else answer.content.decode()

    return get


def record(athlete) -> str:
    return f"/athletes/{athlete.uuid}/"


def test_one_athlete_found_is_opened_at_once(athlete, coach, found):
    factories.AthleteFactory(given_name="Zofia", family_name="Eze")
    for text in ("ikaika", "brandvold ika", "  Brandvold "):
        assert found(coach, text) == record(athlete)


def test_an_id_of_another_system_finds_its_athlete(athlete, coach, clinician, visiting_coach, found):
    factories.ExternalIdFactory(athlete=athlete, value="BRT-0042")
    assert found(coach, "brt-0042") == record(athlete)
    assert found(clinician, "BRT-0042") == record(athlete)
    assert "Nobody and no group" in found(visiting_coach, "BRT-0042")


def test_several_are_listed_with_their_groups(coach, found):
    people = [factories.AthleteFactory(given_name="Same", family_name=name) for name in ("Adams", "Baker")]
    factories.TrainingGroupFactory(name="Winter camp", athletes=people[:1])
    page = found(coach, "same")
    for words in ("Same Adams", "Same Baker", "Winter camp"):
        assert words in page
    assert page.index("Same Adams") < page.index("Same Baker")


def test_a_group_leads_to_its_part_of_the_roster(athlete, coach, client_of, found):
    group = factories.TrainingGroupFactory(name="Winter camp", athletes=[athlete])
    factories.AthleteFactory(given_name="Not", family_name="Camping")
    page = found(coach, "winter")
    address = f"/roster/?who=everyone&amp;group={group.uuid}"
    assert address in page
    roster = client_of(coach).get(address.replace("&amp;", "&")).content.decode()
    assert "Brandvold" in roster
    assert "Camping" not in roster


def test_nobody_finds_whom_they_may_not_see(athlete, other_athlete, visiting_coach, clinician, stranger, found):
    factories.TrainingGroupFactory(name="Lucky ones", athletes=[athlete])
    for user in (visiting_coach, clinician, stranger):
        assert "Nobody and no group" in found(user, "Strand")
    assert "Nobody and no group" in found(visiting_coach, "Lucky")
    assert "Nobody and no group" in found(stranger, "Ikaika")


def test_nothing_typed_says_what_can_be(coach, found):
    assert "Type a name" in found(coach, " ")


def test_what_was_typed_comes_back_as_text(coach, found):
    page = found(coach, "<b>x</b>")
    assert "<b>x</b>" not in page
    assert "&lt;b&gt;x&lt;/b&gt;" in page


def test_a_crowd_is_cut_and_says_so(coach, found):
    for number in range(52):
        factories.AthleteFactory(
            given_name="Many", family_name=f"Name{number:02}", level="", body_size={}, consent=False
        )
    page = found(coach, "many")
    assert page.count("<b>Many ") == 50
    assert "the first of more" in page


def test_costs_the_same_for_fifty_as_for_five(coach, client_of, django_assert_max_num_queries):
    client = client_of(coach)
    group = factories.TrainingGroupFactory()

    def spent(to: int) -> int:
        for number in range(group.athletes.count(), to):
            group.athletes.add(factories.AthleteFactory(given_name="Crowd", family_name=f"N{number}", body_size={}))
        with django_assert_max_num_queries(14) as queries:
            assert client.get("/search/", {"q": "crowd"}).status_code == 200
        return len(queries)

    assert spent(5) == spent(50)
