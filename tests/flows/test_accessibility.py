"""Each page template, full and empty, at a desk and on a phone: held to WCAG 2.2 A and AA, and no sideways scroll.

Checked from outside: the rules of axe-core (the engine comes in the wheel axe-playwright-python).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Response

from tests.flows.application import Application, wait_until
from tests.flows.conftest import DESK, PHONE, go_through_the_door
from tests.flows.pages import (
    EXCUSES,
    FULLEST,
    OF_A_NEWCOMER,
    ON_THE_FIRST_DAY,
    OPEN_ALL,
    REFUSED,
    RENDERED,
    SEND_EMPTY,
    Look,
    page_templates,
    titles,
)
from tests.flows.places import ACCOUNTS, BARE, FULL, LOADED, asked_for

PASSWORD = "nine-innings-and-no-hurry"
TURNED = "coach who turned"
ROLES_ON_THE_FIRST_DAY = ("coach", "visiting coach", "clinician", "athlete", "guardian")

Ask = Callable[[str], Page]


class Doors:
    """One browser a role, signed in once; `heard` is what its pages complained about since it was emptied.

    It is read before axe-core runs, whose own sheet the content policy refuses.
    """

    def __init__(self, address: str, browser: Browser, accounts: dict[str, tuple[str, str]]) -> None:
        self.address, self.browser, self.accounts = address, browser, accounts
        self.pages: dict[str, Page] = {}
        self.contexts: list[BrowserContext] = []
        self.heard: list[str] = []
        self.turned: set[str] = set()

    def page_of(self, role: str) -> Page:
        """Of a role of the demonstration; the empty role is nobody."""
        if role not in self.pages:
            context = self.browser.new_context(base_url=self.address, viewport=DESK, locale="en-US")
            context.set_default_timeout(15_000)
            self.contexts.append(context)
            self.pages[role] = page = context.new_page()
            page.on("console", lambda message: message.type == "error" and self.heard.append(message.text))
            page.on("pageerror", lambda error: self.heard.append(str(error)))
            if role:
                go_through_the_door(page, *self.accounts[role])
        return self.pages[role]

    def close(self) -> None:
        for context in self.contexts:
            context.close()


@pytest.fixture(scope="module")
def doors(app: Application, browser: Browser) -> Iterator[Doors]:
    names = {"guardian of two": "two", "athlete of age": "evander", TURNED: "turner"}
    more = {role: (name, PASSWORD) for role, name in names.items()}
    doors = Doors(app.address, browser, app.accounts | more)
    yield doors
    doors.close()


@pytest.fixture(scope="module")
def full(app: Application) -> dict[str, str]:
    wait_until(lambda: app.shell(LOADED) == "True", limit_s=180, otherwise=lambda: app.output)
    return asked_for(app, FULL.format(password=PASSWORD))


@pytest.fixture(scope="module")
def bare(app: Application) -> dict[str, str]:
    return asked_for(app, BARE)


@pytest.fixture(scope="module")
def first_day(browser: Browser, tmp_path_factory: pytest.TempPathFactory, migrated: bytes) -> Iterator[Doors]:
    """A second application, in which nobody has done anything yet."""
    application = Application(var_dir=tmp_path_factory.mktemp("first-day") / "var", database=migrated)
    accounts = {role: (role.split()[0], PASSWORD) for role in ROLES_ON_THE_FIRST_DAY}
    try:
        application.start("--no-demo")
        rows = [(role.replace(" ", "_"), name, password) for role, (name, password) in accounts.items()]
        application.shell(ACCOUNTS.format(accounts=rows))
        doors = Doors(application.address, browser, accounts)
        yield doors
        doors.close()
    finally:
        application.stop()


def look_at(doors: Doors, look: Look, names: dict[str, str]) -> Page:
    """The page of that look, in its state; fails when it is a page of another template, or complains."""
    page = doors.page_of(look.role)
    page.set_viewport_size(DESK)
    if look.role == TURNED and look.role not in doors.turned:
        turn_the_screen(page, names["family"])
        doors.turned.add(look.role)
    doors.heard.clear()
    answer = page.goto(look.address.format(**names))
    if look.after == SEND_EMPTY:
        answer = send_empty(page)
    elif look.after == OPEN_ALL:
        page.evaluate("document.querySelectorAll('main details').forEach(one => { one.open = true; })")
    assert answer is not None
    assert answer.status == look.status, f"{page.url} answered {answer.status}"
    expected = titles(look.template)
    assert expected is None or expected.match(page.title()), f"{page.url} is “{page.title()}”, not {look.template}"
    told = [one for one in doors.heard if f"status of {answer.status}" not in one or look.status < 400]
    assert told == [], "\n".join(told)
    return page


def turn_the_screen(page: Page, athlete: str) -> None:
    page.goto(f"/turn/pin/?path=/athletes/{athlete}/")
    for field in ("pin", "again"):
        page.locator(f"input[name={field}]").fill("4711")
    page.get_by_role("button", name="Turn the screen").click()
    page.get_by_role("link", name="Back with PIN").wait_for()


def send_empty(page: Page) -> Response:
    """Sends the page's main form with nothing in it; its answer."""
    with page.expect_navigation() as sent:
        page.evaluate(
            """() => {
                const form = document.querySelector("main form[method=post]");
                for (const one of form.querySelectorAll("input:not([type=hidden]), select, textarea")) {
                    if (one.type === "checkbox" || one.type === "radio") one.checked = false;
                    else one.value = "";
                }
                form.submit();
            }"""
        )
    return sent.value


def hold_to_account(page: Page, check_accessible: Callable[[Page], None], *, at: tuple = (DESK, PHONE)) -> None:
    """As wide as the screen at both sizes, and accessible at those given."""
    for size in (DESK, PHONE):
        page.set_viewport_size(size)
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= size["width"], f"{page.url} is {wide} px wide on {size['width']}: {what_sticks_out(page)}"
        if size in at:
            check_accessible(page)


def what_sticks_out(page: Page) -> str:
    """The first elements that end beyond the right edge, for whoever has to mend it."""
    return str(
        page.evaluate(
            """() => [...document.querySelectorAll("body *")]
                .filter(one => one.getBoundingClientRect().right > innerWidth + 0.5 && !one.closest("svg"))
                .slice(0, 5).map(one => one.outerHTML.slice(0, 120))"""
        )
    )


def test_every_page_template_is_looked_at():
    seen = {look.template for look in (*FULLEST, *REFUSED)} | set(RENDERED)
    assert page_templates() - seen - set(EXCUSES) == set(), "these pages have no row in tests/flows/pages.py"
    assert set(EXCUSES) & seen == set()
    assert set(EXCUSES) <= page_templates()


@pytest.mark.parametrize("look", FULLEST, ids=lambda look: look.name)
def test_a_full_page_is_accessible_and_fits(doors, full, check_accessible, look):
    hold_to_account(look_at(doors, look, full), check_accessible)


@pytest.mark.parametrize("look", REFUSED, ids=lambda look: look.name)
def test_a_refused_form_is_accessible_and_fits(doors, full, check_accessible, look):
    hold_to_account(look_at(doors, look, full), check_accessible, at=(PHONE,))


@pytest.mark.parametrize("look", OF_A_NEWCOMER, ids=lambda look: look.name)
def test_a_page_of_somebody_new_is_accessible_and_fits(doors, bare, check_accessible, look):
    hold_to_account(look_at(doors, look, bare), check_accessible, at=(PHONE,))


@pytest.mark.parametrize("look", ON_THE_FIRST_DAY, ids=lambda look: look.name)
def test_a_page_of_the_first_day_is_accessible_and_fits(first_day, check_accessible, look):
    hold_to_account(look_at(first_day, look, {}), check_accessible, at=(PHONE,))


@pytest.fixture(scope="module")
def rendered(app: Application) -> dict[str, str]:
    """HTML by template, as the application renders it without a request."""
    names = repr(RENDERED)
    lines = f"""
import json
from django.template.loader import render_to_string
print(json.dumps({{name: render_to_string(name) for name in {names}}}))
"""
    return asked_for(app, lines)


@pytest.mark.parametrize("template", RENDERED)
def test_a_page_that_no_request_brings_up_is_accessible_and_fits(doors, rendered, check_accessible, template):
    """At an address of its own, so that its sheets come along."""
    page = doors.page_of("")
    page.route("**/as-rendered/", lambda route: route.fulfill(body=rendered[template], content_type="text/html"))
    page.goto("/as-rendered/")
    page.unroute("**/as-rendered/")
    expected = titles(template)
    assert expected is not None
    assert expected.match(page.title())
    hold_to_account(page, check_accessible)
