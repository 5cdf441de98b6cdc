"""The door: what a person without an account sees, at a desk and on a phone."""

import pytest

from tests.flows.conftest import DESK, PHONE


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_the_sign_in_page_is_styled_accessible_and_as_wide_as_the_screen(open_page, check_accessible, size):
    page = open_page(size=size)
    page.goto("/sign-in/")
    assert page.locator("input[name=password]").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    rules = page.evaluate("[...document.styleSheets].map(sheet => sheet.cssRules.length)")
    assert rules
    assert all(rules)
    check_accessible(page)


def test_a_page_inside_leads_a_stranger_to_the_door_and_on(page, app):
    page.goto("/")
    assert "/sign-in/" in page.url


def test_a_wrong_password_says_so_and_keeps_the_name(page):
    page.goto("/sign-in/")
    page.locator("input[name=username]").fill("nobody")
    page.locator("input[name=password]").fill("not the password")
    page.locator("form:has(input[name=password]) button").click()
    assert "/sign-in/" in page.url
    assert page.locator("input[name=username]").input_value() == "nobody"
    assert page.locator("[role=alert], .errorlist").first.is_visible()
