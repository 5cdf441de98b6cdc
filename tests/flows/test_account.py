"""The account's own pages in a browser, and that a closed door stays closed behind one."""

from __future__ import annotations

import pytest

from tests.flows.conftest import DESK, PHONE

PAGES = ("/account/", "/account/password/", "/account/codes/")


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_the_pages_of_the_account_are_accessible_and_as_wide_as_the_screen(sign_in, check_accessible, size):
    page = sign_in("guardian", size=size)
    for address in PAGES:
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], address
        check_accessible(page)


def test_the_key_of_one_time_codes_is_drawn(sign_in):
    page = sign_in("guardian", "/account/codes/")
    picture = page.locator("img.qr")
    assert picture.evaluate("image => image.complete && image.naturalWidth > 100")


def test_the_back_button_after_signing_out_shows_nothing(sign_in):
    page = sign_in("coach", "/account/", anew=True)
    page.locator(".me summary").click()
    page.locator(".me button").click()
    page.wait_for_url("**/sign-in/**")
    page.go_back()
    page.wait_for_load_state()
    assert "/sign-in/" in page.url
    assert "Where you are signed in" not in page.content()


@pytest.mark.parametrize("address", ["/forgotten-password/", "/new-password/MQ/set-password/"])
def test_the_pages_for_a_forgotten_password_are_accessible_on_a_phone(open_page, check_accessible, address):
    page = open_page(size=PHONE)
    page.goto(address)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    check_accessible(page)
