"""Every role of the demonstration gets in, and stands on a page that works at a desk and on a phone."""

import pytest

from tests.flows.conftest import DESK, PHONE

ROLES = ("admin", "coach", "visiting coach", "clinician", "athlete", "guardian")


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("role", ROLES)
def test_each_role_arrives_on_a_page_of_its_own(sign_in, check_accessible, role, size):
    page = sign_in(role, size=size, anew=True)
    assert page.locator("h1").first.is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    check_accessible(page)


def test_signing_out_closes_the_door(sign_in):
    page = sign_in("coach", anew=True)
    leave = page.locator("form[action*='sign-out'] button").first
    if not leave.is_visible():
        page.locator("details:has(form[action*='sign-out']) > summary").first.click()
    leave.click()
    page.goto("/")
    assert "/sign-in/" in page.url
