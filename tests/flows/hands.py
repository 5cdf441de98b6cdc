"""Two hands on the keys of a page, for tests that use nothing else."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.flows.application import wait_until

MOST_STOPS = 250  # more than any page of these errands has, so that a walk in circles ends
# Where the focus is, and what is drawn there to show it. The line of a control that is hidden behind its label, its
# frame or its cell is drawn by that neighbour.
WHERE = """() => {
    const at = document.activeElement;
    if (!at || at === document.body || at === document.documentElement) return null;
    const drawn = one => {
        const style = getComputedStyle(one);
        return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 1;
    };
    const near = [at, at.parentElement, at.nextElementSibling, ...at.querySelectorAll(".hit")].filter(Boolean);
    const box = at.getBoundingClientRect();
    const name = at.getAttribute("aria-label") || (at.labels && at.labels[0] && at.labels[0].innerText)
        || at.innerText || at.value || "";
    return {
        tag: at.tagName.toLowerCase(), id: at.id, name: name.replace(/\\s+/g, " ").trim(),
        shown: near.some(drawn) || (at.matches(".flag-link") && getComputedStyle(near.at(-1)).strokeWidth !== "0px"),
        inside: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
        html: at.outerHTML.slice(0, 160),
    };
}"""


IN_MOTION = ".htmx-request, .htmx-swapping, .htmx-settling"


class Hands:
    """Two hands on the keys. Every stop is looked at: it must be on the screen and be seen to have the focus."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def look(self) -> dict:
        found = self.page.evaluate(WHERE)
        assert found is not None, f"the focus is nowhere on {self.page.url}"
        return self.seen(found)

    def seen(self, found: dict) -> dict:
        assert found["shown"], f"one does not see where one is: {found['html']} on {self.page.url}"
        assert found["inside"], f"out of sight: {found['html']} on {self.page.url}"
        return found

    def step(self, key: str = "Tab") -> dict | None:
        """One key; where it led, or None where the page ended and the browser's own bar has the focus."""
        self.page.keyboard.press(key)
        found = self.page.evaluate(WHERE)
        return None if found is None else self.seen(found)

    def walk_to(self, name: str | re.Pattern[str], *, tag: str = "", key: str = "Tab") -> dict:
        """Step by step to the control of that name (a part of it, or a pattern), looking at each stop."""
        stops: list[str] = []
        pattern = name if isinstance(name, re.Pattern) else re.compile(re.escape(name))
        for _ in range(MOST_STOPS):
            at = self.step(key)
            if at is None:
                continue
            if pattern.search(at["name"]) and tag in ("", at["tag"]):
                return at
            stops.append(at["name"])
        raise AssertionError(f"no way by {key} to {name!r} on {self.page.url}; came by {stops}")

    def press(self, key: str = "Enter") -> None:
        self.page.keyboard.press(key)

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)

    def leave_by(self, key: str = "Enter") -> None:
        """A key that leads to another page."""
        with self.page.expect_navigation():
            self.press(key)

    def act(self, key: str = "Enter") -> None:
        """A key that changes this page and leads to no other; the focus must be somewhere afterwards."""
        with self.page.expect_response(lambda answer: answer.request.method == "POST" and answer.ok):
            self.press(key)
        expect(self.page.locator(IN_MOTION)).to_have_count(0)
        wait_until(lambda: self.page.evaluate(WHERE), limit_s=3, otherwise=lambda: "the focus is nowhere")
