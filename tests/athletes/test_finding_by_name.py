"""Somebody is found by letters of the name, however they are accented or written large."""

from __future__ import annotations

import importlib

import pytest
from django.apps import apps

from athletes.models import Athlete
from athletes.services.people import change_athlete
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("Åse Sørlie", "sorlie"),
        ("Åse Sørlie", "SØRLIE"),
        ("Åse Sørlie", "ase sor"),
        ("Lucía Villaseñor", "villasenor lucia"),
        ("Lucia Bergstrom", "bergström"),
        ("Sean O'Malley", "omalley"),
        ("Sean O’Malley", "o'mal"),
        ("Jürgen Weiß", "weiss"),
    ],
)
def test_letters_of_another_keyboard_are_the_same_letters(name, typed):
    given, family = name.split(" ", 1)
    athlete = factories.AthleteFactory(given_name=given, family_name=family)
    factories.AthleteFactory(given_name="Else", family_name="Where")
    assert list(Athlete.objects.named(typed)) == [athlete]


def test_every_word_must_fit_and_signs_of_the_database_are_plain_letters():
    factories.AthleteFactory(given_name="Åse", family_name="Sørlie")
    assert not Athlete.objects.named("ase berg").exists()
    assert not Athlete.objects.named("%").exists()
    assert not Athlete.objects.named("s_r").exists()


def test_a_name_that_is_mended_is_found_by_the_new_one(admin):
    athlete = factories.AthleteFactory(given_name="Ase", family_name="Sorli")
    change_athlete(athlete=athlete, changes={"family_name": "Bergström"}, by=admin)
    assert list(Athlete.objects.named("bergstrom")) == [athlete]
    assert not Athlete.objects.named("sorli").exists()


def test_whoever_was_here_before_names_were_folded_is_found_too():
    athlete = factories.AthleteFactory(given_name="Åse", family_name="Sørlie")
    Athlete.objects.update(folded_name="")
    assert not Athlete.objects.named("sorlie").exists()
    importlib.import_module("athletes.migrations.0007_folded_names").fold_names(apps, None)
    assert list(Athlete.objects.named("sorlie")) == [athlete]
