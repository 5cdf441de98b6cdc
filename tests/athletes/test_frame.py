"""The frame that every page stands in: notices with undo, error pages, nothing that a strict policy forbids."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.template import Context, Template
from django.template.loader import get_template
from django.test import Client
from django.urls import reverse

from athletes.templatetags.pages import undo_address

TEMPLATES = sorted(
    path
    for folder in ("templates", "athletes", "sessions", "metrics", "desk")
    for path in Path(settings.BASE_DIR, folder).rglob("*.html")
)


@pytest.mark.parametrize(
    ("tags", "address"),
    [
        ("undo:/sessions/1/undo", "/sessions/1/undo"),
        ("safe undo:/x", "/x"),
        ("", ""),
        (None, ""),
        ("undo:https://elsewhere.example/", ""),
        ("undo://elsewhere.example/", ""),
        ("undo:/\\elsewhere.example/", ""),
    ],
)
def test_undo_goes_to_addresses_of_this_site_only(tags, address):
    assert undo_address(SimpleNamespace(extra_tags=tags)) == address


@pytest.mark.parametrize("name", ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"])
def test_error_pages_stand_without_any_context(name):
    html = get_template(name).template.render(Context())
    assert "<h1>" in html
    assert 'href="/"' in html


@pytest.mark.django_db
@pytest.mark.parametrize("headers", [{}, {"HX-Request": "true"}])
@pytest.mark.parametrize("name", [None, "coach", "guardian"])
def test_a_form_of_an_earlier_sign_in_is_answered_in_our_words(cast, name, headers):
    client = Client(enforce_csrf_checks=True)
    if name:
        client.force_login(cast[name])
    place = reverse("athletes:pain", args=[cast.athlete.uuid]) if name else reverse("login")
    client.get(place)
    answer = client.post(place, {"where": "elbow", "csrfmiddlewaretoken": "x" * 64}, headers=headers)
    page = answer.content.decode()
    assert answer.status_code == 403
    assert re.search(r"Nothing was saved\. Th\w+ page had stood open too long, or you signed in anew", page)
    assert ("<html" in page) == (not headers)
    assert answer.headers.get("HX-Retarget") == ("#notices" if headers else None)
    assert not any(word in page for word in ("CSRF", "Django", "elbow", cast.athlete.family_name))
    assert not cast.athlete.pain_reports.exists()


UNTRUE_FOR_SOME = ("can see this", "Search finds", "Your account")


@pytest.mark.parametrize("name", ["403.html", "404.html"])
def test_a_refusal_says_only_what_is_true_for_every_reader(name):
    """Families have no search; who may not see a page is not told that they do; signed out there is no account."""
    html = get_template(name).template.render(Context())
    assert [words for words in UNTRUE_FOR_SOME if words in html] == []


def test_a_wrong_link_of_an_invitation_says_whom_to_ask():
    assert "ask who invited you" in get_template("404.html").template.render(Context())


def test_500_gives_the_reference_number_when_there_is_one():
    assert "7f3a" in get_template("500.html").template.render(Context({"reference": "7f3a"}))
    assert "this number" not in get_template("500.html").template.render(Context())


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(settings.BASE_DIR)))
def test_no_template_needs_an_unsafe_policy(path):
    text = path.read_text()
    assert not re.search(r"\sstyle\s*=", text), "a style of its own: give it a class"
    assert not re.search(r"<style\b", text)
    assert not re.search(r"<script(?![^>]*\bsrc=)", text), "script in the page: make it a module under static/js"
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text)
    assert "javascript:" not in text


def test_header_shows_sizes_in_the_readers_units():
    who = {"name": "Ikaika Brandvold", "height_cm": 185.4, "mass_kg": 80.7, "pain": "Pain: elbow."}
    html = Template('{% include "_who.html" %}').render(Context({"who": who, "unit_system": "us"}))
    assert "6′1″" in html
    assert "178 lb" in html
    assert "stop-block" in html
    metric = Template('{% include "_who.html" %}').render(Context({"who": who, "unit_system": "metric"}))
    assert "185 cm" in metric
    assert "81 kg" in metric
