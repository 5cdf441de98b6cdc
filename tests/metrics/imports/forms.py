"""What a browser would send: the values of a form as a page shows it."""

from __future__ import annotations

from html.parser import HTMLParser


class _Form(HTMLParser):
    """Collects the values of the form whose action or id is wanted."""

    def __init__(self, wanted: str) -> None:
        super().__init__()
        self.wanted = wanted
        self.inside = False
        self.values: dict[str, str] = {}
        self.select = ""
        self.was_selected = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        has = dict(attrs)
        if tag == "form" and self.wanted in (given.get("id"), given.get("action")):
            self.inside = True
        elif not self.inside:
            return
        elif tag == "input" and given.get("name"):
            if given.get("type") not in ("radio", "checkbox") or "checked" in has:
                self.values[given["name"]] = given.get("value", "")
        elif tag == "select":
            self.select, self.was_selected = given["name"], False
        elif tag == "option" and self.select:
            first = self.select not in self.values
            if first or ("selected" in has and not self.was_selected):
                self.values[self.select] = given["value"]
            self.was_selected = self.was_selected or "selected" in has

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = False
        elif tag == "select":
            self.select = ""


def form_values(page: bytes, wanted: str) -> dict[str, str]:
    """Name → value of the form with this id or action. AssertionError when the page has no such form."""
    parser = _Form(wanted)
    parser.feed(page.decode())
    assert parser.values, f"no form {wanted} on this page"
    parser.values.pop("csrfmiddlewaretoken", None)
    return parser.values
