"""Browser tests: a whole application on data of its own, a real Chromium, and pages that must not complain.

The tests of this folder never touch the test database: they speak to the application as a person does, or
through `app.shell`. They run one after the other in two of pytest's processes, each with one application; a test
that changes what others read makes an athlete or an upload of its own.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT as AXE
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.flows.application import Application

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
)
DESK = {"width": 1280, "height": 900}
DOOR = "/sign-in/"
PHONE = {"width": 360, "height": 740}
ACCESSIBILITY = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], "resultTypes": ["violations"]}

FOLDER = Path(__file__).parent
expect.set_options(timeout=15_000)  # a busy machine is slow, not wrong
ALONE = {
    "test_accessibility"
}  # half of all the time here: by itself in the other process, on an application of its own
NO_CHROMIUM = (
    "NO CHROMIUM ON THIS MACHINE: NONE OF THE BROWSER TESTS RAN. "
    f"Install one of {', '.join(CHROMIUM_NAMES)} (Debian: apt install chromium)."
)


def find_chromium() -> str | None:
    return next((path for name in CHROMIUM_NAMES if (path := shutil.which(name))), None)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Everything here is a browser test, in two processes. Without a Chromium one skip stands for all of them."""
    ours = [item for item in items if item.path.is_relative_to(FOLDER)]
    for item in ours:
        item.add_marker(pytest.mark.browser)
        item.add_marker(pytest.mark.xdist_group(f"browser {item.path.stem in ALONE}"))
    if ours and find_chromium() is None:
        spokesman = min(ours, key=lambda item: item.nodeid)
        spokesman.add_marker(pytest.mark.skip(reason=NO_CHROMIUM))
        silent = [item for item in ours if item is not spokesman]
        config.hook.pytest_deselected(items=silent)
        items[:] = [item for item in items if item not in silent]


@pytest.fixture(scope="session")
def app(tmp_path_factory: pytest.TempPathFactory, migrated: bytes) -> Iterator[Application]:
    """The running application with the tiny demonstration; `app.address`, `app.accounts`, `app.shell`."""
    application = Application(
        var_dir=tmp_path_factory.mktemp("moundbook") / "var", database=migrated, accounts=demo_accounts()
    )
    try:
        application.start("--size", "tiny")
        yield application
    finally:
        application.stop()


def demo_accounts() -> dict[str, tuple[str, str]]:
    """User name and password of the demonstration's account, by role."""
    from desk.running.accounts import demo_accounts as accounts

    return {role: (name, password) for role, name, password in accounts()}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = find_chromium()
    assert path is not None, NO_CHROMIUM
    # Playwright keeps an event loop in this thread while it is open; Django would refuse the database to every
    # other test that runs meanwhile in this process, although none of them is asynchronous.
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setitem(os.environ, "DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        chromium = playwright.chromium.launch(executable_path=path, headless=True, args=list(CHROMIUM_FLAGS))
        yield chromium
        chromium.close()


class Complaints:
    """What a page complained about: script errors, refused content, failed requests to ourselves."""

    def __init__(self) -> None:
        self.heard: list[str] = []

    def listen(self, page: Page) -> None:
        page.on("console", lambda message: message.type == "error" and self.heard.append(message.text))
        page.on("pageerror", lambda error: self.heard.append(str(error)))
        page.on("response", lambda answer: answer.status >= 500 and self.heard.append(f"{answer.status} {answer.url}"))


@pytest.fixture
def complaints() -> Complaints:
    """`complaints.heard` must be empty at the end; a test that provokes one clears it and says why."""
    return Complaints()


@pytest.fixture
def open_page(app: Application, browser: Browser, complaints: Complaints) -> Iterator[Callable[..., Page]]:
    """`open_page(size=PHONE)`: a page of a new, signed-out browser; relative addresses lead to the application."""
    contexts: list[BrowserContext] = []

    def make(size: dict[str, int] = DESK, **options: object) -> Page:
        context = browser.new_context(
            base_url=app.address, viewport=size, accept_downloads=True, locale="en-US", **options
        )
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        complaints.listen(page)
        return page

    yield make
    for context in contexts:
        context.close()
    assert complaints.heard == [], "\n".join(complaints.heard)


@pytest.fixture(scope="session")
def kept_cookies(app: Application) -> dict[str, list[Any]]:
    """What a browser of each role keeps after it signed in."""
    return {}


@pytest.fixture
def sign_in(
    app: Application, open_page: Callable[..., Page], kept_cookies: dict[str, list[Any]]
) -> Callable[..., Page]:
    """`sign_in("coach", "/roster/", size=PHONE)`: a page on which that role of the demonstration is signed in.

    Through the door once a role, and again where that sign-in has ended or `anew` is said; between, with its cookies.
    """

    def make(role: str, address: str = "/", *, anew: bool = False, **options: object) -> Page:
        page = open_page(**options)
        if not anew and role in kept_cookies:
            page.context.add_cookies(kept_cookies[role])
            page.goto(address)
            if DOOR not in page.url:
                return page
        go_through_the_door(page, *app.accounts[role])
        if not anew:
            kept_cookies[role] = page.context.cookies()
        if address != "/":
            page.goto(address)
        return page

    return make


def go_through_the_door(page: Page, name: str, password: str) -> None:
    page.goto(DOOR)
    page.locator("input[name=username]").fill(name)
    page.locator("input[name=password]").fill(password)
    page.locator("form:has(input[name=password]) button").click()
    page.wait_for_url(lambda url: DOOR not in url)


@pytest.fixture
def page(open_page: Callable[..., Page]) -> Page:
    """A signed-out page of a desk's size."""
    return open_page()


@pytest.fixture
def check_accessible() -> Callable[[Page], None]:
    """`check_accessible(page)` fails with every rule of WCAG 2.2 AA that axe-core finds broken, and where."""

    def check(page: Page) -> None:
        if not page.evaluate("typeof window.axe?.run === 'function'"):  # the engine stays as long as the page does
            page.evaluate(AXE)
        found = page.evaluate("options => axe.run(options)", ACCESSIBILITY)["violations"]
        told = [f"{rule['id']}: {rule['help']}\n    {node['html'][:160]}" for rule in found for node in rule["nodes"]]
        assert not told, f"{page.url}\n" + "\n".join(told)

    return check
