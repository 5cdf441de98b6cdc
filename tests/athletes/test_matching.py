"""Whom a row of a foreign file means: certain, to be confirmed, or nobody."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.matching import AthleteIndex, match_athletes, name_key
from athletes.models import Athlete
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def people():
    """Lucía twice (two birth dates), Kwabena, Tadhg with an id of another system."""
    made = {
        "lucia": ("Lucía", "Strand-Mbeki", dt.date(2013, 1, 2)),
        "lucia2": ("Lucia", "Strand Mbeki", dt.date(2011, 5, 6)),
        "kwabena": ("Kwabena", "Sørlie", dt.date(2005, 3, 4)),
        "tadhg": ("Tadhg", "O’Konjo", dt.date(2008, 7, 8)),
    }
    rows = {
        key: factories.AthleteFactory(given_name=given, family_name=family, birth_date=born)
        for key, (given, family, born) in made.items()
    }
    factories.ExternalIdFactory(athlete=rows["tadhg"], value="0042")
    factories.ExternalIdFactory(athlete=rows["kwabena"], value="4711")
    return rows


@pytest.mark.parametrize(
    ("reference", "who", "candidates", "reason"),
    [
        ({"id": "0042"}, "tadhg", [], "id"),
        ({"id": " 0042 ", "name": "O'Konjo, T."}, "tadhg", [], "id"),
        ({"id": 4711.0}, "kwabena", [], "id"),
        ({"id": "42"}, None, [], "unknown"),
        ({"id": "0042", "name": "Kwabena Sorlie"}, None, ["tadhg", "kwabena"], "id_disagrees"),
        ({"id": "0042", "name": "Tadhg O'Konjo", "birth_date": "2008-07-09"}, None, ["tadhg"], "id_disagrees"),
        ({"id": "new-1", "name": "Kwabena Sørlie", "birth_date": "2005-03-04"}, "kwabena", [], "name_and_birth_date"),
        ({"name": "SORLIE,  kwabena", "birth_date": dt.date(2005, 3, 4)}, "kwabena", [], "name_and_birth_date"),
        ({"name": "lucia strand-mbeki", "birth_date": "2013-01-02"}, "lucia", [], "name_and_birth_date"),
        ({"name": "Strand-Mbeki, Lucía", "birth_date": "2011-05-06"}, "lucia2", [], "name_and_birth_date"),
        ({"name": "Lucía Strand Mbeki"}, None, ["lucia", "lucia2"], "several"),
        ({"name": "Kwabena  Sørlie"}, None, ["kwabena"], "name_only"),
        ({"name": "Kwabena Sørlie", "birth_date": "2006-03-04"}, None, ["kwabena"], "birth_date_disagrees"),
        ({"name": "Kwabena Sørlie", "birth_date": "soon"}, None, ["kwabena"], "name_only"),
        ({"name": "Kwabena"}, None, [], "unknown"),
        ({"name": "Nobody Here"}, None, [], "unknown"),
        ({"birth_date": "2005-03-04"}, None, [], "nothing_given"),
        ({"id": "", "name": None}, None, [], "nothing_given"),
    ],
)
def test_reference(people, reference, who, candidates, reason):
    match = match_athletes(reference)
    assert match.athlete == (people[who] if who else None)
    assert set(match.candidates) == {people[name] for name in candidates}
    assert match.reason == reason
    assert match.sentence


def test_same_id_from_two_systems_is_a_question_unless_the_name_decides(people):
    factories.ExternalIdFactory(athlete=people["lucia"], source="other room", value="4711")
    assert match_athletes({"id": "4711"}).reason == "several"
    assert match_athletes({"id": "4711", "name": "Kwabena Sørlie"}).athlete == people["kwabena"]


def test_withdrawn_athlete_is_not_found(people):
    Athlete.everything.filter(pk=people["kwabena"].pk).update(withdrawn_at=factories.NOON)
    assert match_athletes({"id": "4711"}).reason == "unknown"


def test_nobody_is_created(people):
    match_athletes({"name": "Brand New", "birth_date": "2010-01-01"})
    assert Athlete.everything.count() == 4


def test_one_index_answers_a_whole_file_in_two_queries(people, django_assert_num_queries):
    with django_assert_num_queries(2):
        index = AthleteIndex()
        for number in range(50):
            match_athletes({"id": str(number), "name": "Kwabena Sørlie"}, index)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Łukasz Þórr", "lukasz thorr"), ("O’Konjo", "OKONJO"), ("Groß, Ján", "JAN GROSS"), ("A  b", "b A")],
)
def test_spellings_of_one_name(one, other):
    assert name_key(one) == name_key(other)
