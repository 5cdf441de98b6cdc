"""Errands by the keyboard alone: at every stop one sees where one is, and no act throws one back to nowhere.

WCAG 2.2: 2.1.1, 2.4.3, 2.4.7. The window of a file cannot be worked from a test: the file is put in by other means.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Request, Route, expect

from tests.flows.application import Application, wait_until
from tests.flows.conftest import PHONE
from tests.flows.hands import IN_MOTION, WHERE, Hands
from tests.flows.test_screen_to_start import LITTLE_LAYBACK
from tests.flows.test_upload_to_finding import ATHLETE, table


@pytest.fixture
def hands(sign_in) -> Callable[..., Hands]:
    """`hands("coach", "/roster/")`: that role, signed in, with a page open."""

    def make(role: str, address: str, **options: object) -> Hands:
        page = sign_in(role, address, **options)
        return Hands(page)

    return make


def new_athlete(app: Application, given: str, family: str) -> str:
    """The uuid of a new athlete of the coach's."""
    app.shell(ATHLETE.format(given=given, family=family, id=f"{given}-{family}"))
    return app.shell(f"from athletes.models import Athlete; print(Athlete.objects.get(family_name='{family}').uuid)")


def new_session(app: Application, given: str, family: str) -> str:
    """The address of a scored session of a new athlete, who lays back too little."""
    new_athlete(app, given, family)
    return f"/sessions/{app.shell(LITTLE_LAYBACK.format(family=family)).splitlines()[-1]}/"


def test_signs_in_and_out(app, page):
    name, password = app.accounts["coach"]
    page.goto("/sign-in/")
    hands = Hands(page)
    assert hands.look()["id"] == "id_username"
    hands.type(name)
    hands.walk_to("Password", tag="input")
    hands.type(password)
    hands.walk_to("Sign in", tag="button")
    hands.leave_by()
    expect(page.get_by_role("heading", name="Check in")).to_be_visible()
    hands.walk_to("To the content")
    hands.press()
    hands.walk_to(re.compile("^Ngaire Abaza"), tag="summary", key="Shift+Tab")
    hands.press()
    hands.walk_to("Sign out", tag="button")
    hands.leave_by()
    assert "/sign-in/" in page.url


def test_searches_for_an_athlete_and_opens_the_record(hands):
    at = hands("coach", "/uploads/")
    at.press("?")
    expect(at.page.get_by_role("dialog")).to_be_visible()
    at.look()
    at.press("Escape")
    expect(at.page.get_by_role("dialog")).to_be_hidden()
    at.press("/")
    assert at.look()["id"] == "search"
    at.type("lindq")
    at.leave_by()
    at.walk_to("Mateus Lindqvist", tag="a")
    at.leave_by()
    expect(at.page.get_by_role("heading", name="Mateus Lindqvist").first).to_be_visible()


def test_filters_the_roster_and_opens_a_row(hands):
    at = hands("coach", "/roster/?who=everyone")
    at.walk_to(re.compile("^Name$"), tag="input")
    with at.page.expect_response(lambda answer: "/roster/" in answer.url and "q=Varga" in answer.url):
        at.type("Varga")
    expect(at.page.locator("table.roster tbody tr")).to_have_count(1)
    expect(at.page.locator(IN_MOTION)).to_have_count(0)
    assert at.look()["id"] == "roster-name"
    at.walk_to("Sione Varga", tag="a")
    at.leave_by()
    expect(at.page.get_by_role("heading", name="Sione Varga").first).to_be_visible()


def test_comes_upon_the_roster_under_today_and_goes_on_in_it(hands):
    at = hands("coach", "/", size=PHONE)
    expect(at.page.locator("table.roster")).to_have_count(0)
    held: list[Route] = []  # until the link has the focus: it is gone a moment after it came into view

    def is_for_it(asked: Request) -> bool:
        return asked.headers.get("hx-target") == "roster-part"

    at.page.route("**/*", lambda route: held.append(route) if is_for_it(route.request) else route.continue_())
    at.walk_to("on this page", tag="a")
    wait_until(lambda: at.page.wait_for_timeout(20) or held, limit_s=10, otherwise=lambda: "it was not asked for")
    held[0].continue_()
    expect(at.page.locator("table.roster tbody tr").first).to_be_visible()
    expect(at.page.locator(IN_MOTION)).to_have_count(0)
    assert at.look()["id"] == "roster-title"
    at.walk_to(re.compile("^Mine"), tag="input")


def test_uploads_a_file_matches_its_columns_and_accepts_it(app, hands, tmp_path: Path):
    new_athlete(app, "Casimir", "Ellingboe")
    path = tmp_path / "keyboard pen.csv"
    path.write_text(table("Casimir Ellingboe", "Casimir-Ellingboe", ",By keys"))
    at = hands("coach", "/uploads/")
    at.walk_to(re.compile("file", re.IGNORECASE), tag="input")
    at.page.locator("input[type=file]:focus").set_input_files(path)
    expect(at.page.locator("table.uploads tr", has_text=path.name)).to_contain_text("columns to match")
    at.walk_to("Match columns", tag="a")
    at.leave_by()
    at.walk_to("Keep and read", tag="button")
    at.leave_by()
    at.walk_to("Accept 1 session", tag="button")
    at.leave_by()
    expect(at.page.locator(".lede")).to_have_text("It became 1 session.")
    at.walk_to("Open the session", tag="a")
    at.leave_by()
    assert "/sessions/" in at.page.url


def test_leaves_a_throw_out_and_takes_that_back(app, hands):
    at = hands("coach", new_session(app, "Ottoline", "Birdwhistle"))
    at.walk_to(re.compile("^Throws"), tag="summary")
    if at.page.locator("#throws details:not([open])").count():
        at.press()
    at.walk_to("Exclude throw 3", tag="a")
    at.press()
    reasons = at.page.get_by_role("group", name="Leave out throw 3")
    expect(reasons.get_by_role("button").first).to_be_focused()
    at.walk_to(re.compile("."), tag="button")
    at.act()
    expect(at.page.locator("#throw-3")).to_contain_text("left out")
    at.walk_to("Undo leaving out throw 3", tag="button")
    at.act()
    expect(at.page.locator("#throw-3")).not_to_contain_text("left out")


def test_enters_a_screen_and_saves_it(app, hands):
    at = hands("coach", f"/athletes/{new_athlete(app, 'Fennimore', 'Castellanos')}/screens/")
    at.walk_to(re.compile("internal rotation", re.IGNORECASE), tag="input")
    at.type("48")
    at.press("Enter")
    at.look()
    at.type("61")
    at.press("Enter")
    at.look()
    at.walk_to("Save 2 values", tag="button")
    at.leave_by()
    assert "/sessions/" in at.page.url
    expect(at.page.get_by_text("2 screens saved")).to_be_visible()


def test_reports_pain_and_records_the_clearance(app, hands):
    at = hands("coach", f"/athletes/{new_athlete(app, 'Hyacinth', 'Oyelaran')}/")
    at.walk_to(re.compile("^Report pain"), tag="a")
    at.leave_by()
    at.walk_to("Where", tag="input")
    at.type("elbow, inner side")
    at.walk_to("Report, and stop throwing", tag="button")
    at.leave_by()
    banner = at.page.get_by_role("region", name="Pain")
    expect(banner).to_contain_text("elbow, inner side")
    at.walk_to(re.compile("clearance|^Open$", re.IGNORECASE), tag="a")
    at.leave_by()
    at.walk_to("Cleared by", tag="input")
    at.type("Dr. I. Quispe")
    at.walk_to("Record", tag="button")
    at.leave_by()
    expect(at.page.get_by_text("Clearance recorded.")).to_be_visible()
    expect(banner).to_have_count(0)


def test_shares_an_assessment(app, hands):
    at = hands("coach", new_session(app, "Leocadia", "Rasmussen-Pike"))
    at.walk_to(re.compile("^Share"), tag="a")
    at.leave_by()
    at.walk_to(re.compile("."), tag="input")
    at.press("Space")
    assert at.page.evaluate(WHERE) is not None
    at.walk_to("Share it", tag="button")
    at.leave_by()
    expect(at.page.get_by_text(re.compile("shared", re.IGNORECASE)).first).to_be_visible()
    assert (
        app.shell(
            "from metrics.models import Share; print(Share.objects.filter("
            "session__athlete__family_name='Rasmussen-Pike').count())"
        )
        == "1"
    )


def test_answers_the_starting_point(app, hands):
    at = hands("coach", new_session(app, "Barnaby", "Thistlewaite"))
    at.walk_to("Start elsewhere", tag="summary")
    at.press()
    at.walk_to("Put first", tag="select")
    at.type("Shoulder external")
    chosen = at.page.locator("#start-own option:checked").inner_text()
    assert chosen.startswith("Shoulder external")
    at.walk_to(re.compile("^Put first$"), tag="button")
    at.act()
    expect(at.page.locator("#starting-point .answer").first).to_contain_text("Shoulder external")
    at.walk_to("Take back", tag="button", key="Shift+Tab")
    at.act()
    expect(at.page.locator("#starting-point").get_by_role("heading", name="Not known yet")).to_be_visible()


LINKED = """
from athletes.models import Athlete, User
user = User.objects.create_user("{name}", password="{password}", role="athlete", first_name="Peregrine")
Athlete.objects.filter(family_name="{family}").update(account=user)
"""


def test_an_athlete_opens_the_own_page_and_reports_pain(app, open_page):
    new_athlete(app, "Peregrine", "Vandersloot")
    app.shell(LINKED.format(name="peregrine", family="Vandersloot", password="nine-innings-and-no-hurry"))
    page = open_page(size=PHONE)
    page.goto("/sign-in/")
    at = Hands(page)
    at.look()
    at.type("peregrine")
    at.press("Tab")
    at.type("nine-innings-and-no-hurry")
    at.leave_by()
    expect(page.get_by_role("heading", name="Hello, Peregrine")).to_be_visible()
    at.walk_to("Report pain", tag="a")
    at.leave_by()
    at.walk_to("Where", tag="input")
    at.type("shoulder")
    at.walk_to("Report, and stop throwing", tag="button")
    at.leave_by()
    expect(page.get_by_role("region", name="Stopped")).to_be_visible()
