"""One-time codes and a new password, from the first picture to the recovery code: each page fits and is accessible."""

from __future__ import annotations

import base64
from collections.abc import Callable

import pytest
from django_otp.oath import totp
from playwright.sync_api import Page, expect

from tests.flows.conftest import DESK, PHONE

PASSWORD = "Nine-herons-wade-13"
ACCOUNT = """
from athletes.models import User
User.objects.create_user("{name}", email="{name}@example.org", password="{password}", role="coach", first_name="Odile")
"""
NEW_PASSWORD_LINK = """
from django.contrib.auth.tokens import default_token_generator
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
user = User.objects.get(username="{name}")
print(f"/new-password/{{urlsafe_base64_encode(force_bytes(user.pk))}}/{{default_token_generator.make_token(user)}}/")
"""


@pytest.fixture
def account(app) -> Callable[[str], str]:
    """`account("odile")`: a coach of that name; PASSWORD opens it."""

    def make(name: str) -> str:
        app.shell(ACCOUNT.format(name=name, password=PASSWORD))
        return name

    return make


@pytest.fixture
def fits(check_accessible) -> Callable[[Page], None]:
    def check(page: Page) -> None:
        for size in (DESK, PHONE):
            page.set_viewport_size(size)
            assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], page.url
            check_accessible(page)

    return check


def knock(page: Page, name: str) -> None:
    page.goto("/sign-in/")
    page.locator("[name=username]").fill(name)
    page.locator("[name=password]").fill(PASSWORD)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def code_now(page: Page) -> str:
    """What an app makes of the key that the page tells to whoever has no camera."""
    key = base64.b32decode(page.locator("code").first.inner_text().replace(" ", ""))
    return f"{totp(key):06d}"


def test_codes_are_turned_on_and_a_recovery_code_opens_the_door_once(account, open_page, fits):
    name, page = account("odile"), open_page(size=PHONE)
    knock(page, name)
    page.goto("/account/codes/")
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("[name=code]").fill(code_now(page))
    page.get_by_role("button", name="Turn codes on").click()
    expect(page.get_by_role("heading", name="Your recovery codes")).to_be_visible()
    fits(page)
    recovery = page.locator("ol.recovery code").first.inner_text()
    page.goto("/account/codes/")
    expect(page.get_by_text("10 of ten left.")).to_be_visible()
    fits(page)

    other = open_page(size=PHONE)
    knock(other, name)
    expect(other.get_by_role("heading", name="Your code")).to_be_visible()
    fits(other)
    other.locator("[name=code]").fill(recovery)
    other.keyboard.press("Enter")
    expect(other.get_by_role("heading", name="Check in")).to_be_visible()
    other.goto("/account/codes/")
    expect(other.get_by_text("9 of ten left.")).to_be_visible()


def test_a_forgotten_password_is_asked_for_and_a_new_one_is_set(app, account, open_page, fits):
    name, page = account("ottokar"), open_page(size=PHONE)
    page.goto("/forgotten-password/")
    page.get_by_label("Your e-mail address").fill(f"{name}@example.org")
    page.get_by_role("button", name="Send it").click()
    page.wait_for_load_state()
    fits(page)
    page.goto(app.shell(NEW_PASSWORD_LINK.format(name=name)))
    expect(page.get_by_text("For the account ottokar.")).to_be_visible()
    fits(page)


def test_what_is_sent_while_the_screen_is_turned_is_held_and_said(account, open_page, fits, complaints):
    page = open_page(size=DESK)
    knock(page, account("orsolya"))
    page.goto("/roster/?who=everyone&q=Lindqvist")
    record = page.get_by_role("link", name="Mateus Lindqvist").first.get_attribute("href")
    page.goto(f"/turn/pin/?path={record}")
    for field in ("pin", "again"):
        page.locator(f"input[name={field}]").fill("4711")
    page.get_by_role("button", name="Turn the screen").click()
    page.get_by_role("link", name="Back with PIN").click()
    with page.expect_navigation():
        page.evaluate(
            "const form = document.querySelector('main form'); form.action = '/account/details/'; form.submit()"
        )
    expect(page.get_by_role("heading", name="The screen is turned")).to_be_visible()
    complaints.heard.clear()  # the browser reports the refusal that was provoked
    fits(page)
