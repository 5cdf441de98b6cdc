"""The demonstration's accounts stand at the door of a demonstration, and nowhere else."""

from __future__ import annotations

import sys
from types import ModuleType

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from desk.running.accounts import shown_at_the_door


@pytest.fixture
def demonstration(monkeypatch):
    accounts = ModuleType("desk.demo.accounts")
    accounts.DEMO_ACCOUNTS = (("coach", "rosa", "a demonstration"), ("admin", "ines", "a demonstration"))
    monkeypatch.setitem(sys.modules, "desk.demo", ModuleType("desk.demo"))
    monkeypatch.setitem(sys.modules, "desk.demo.accounts", accounts)


def test_a_demonstration_shows_names_and_the_password(demonstration, settings):
    settings.DEMO = True
    shown = shown_at_the_door()
    assert shown["demo_accounts"] == [("coach", "rosa"), ("admin", "ines")]
    page = render_to_string("registration/login.html", shown)
    assert "rosa" in page
    assert "a demonstration" in page


def test_outside_the_demo_nothing_is_shown_although_the_accounts_are_known(demonstration, settings):
    settings.DEMO = False
    assert shown_at_the_door() == {}


@pytest.mark.django_db
def test_the_door_of_a_real_installation_names_nobody(client):
    assert b"Demonstration" not in client.get(reverse("login")).content
