"""A family from the first letter to the first day back: invited, agreed, measured, told, in pain, cleared.

Each person has a browser of their own; the family's are phones.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.flows.application import Application
from tests.flows.conftest import PHONE
from tests.flows.test_upload_to_finding import send, table

PASSWORD = "nine-innings-and-no-hurry"
FAMILY = "Oosterhuis-Vane"
MINOR = """
import datetime as dt
from athletes.models import User
from athletes.services.people import create_athlete
print(create_athlete(given_name="Lorcan", family_name="{family}", birth_date=dt.date(2010, 9, 4), throws="right",
    level="high_school", level_from=dt.date(2024, 1, 1), by=User.objects.get(username="coach"), external_id="LOV-1",
    height_cm=181.0, mass_kg=74.0, measured_on=dt.date(2026, 1, 5),
    responsible_coach=User.objects.get(username="coach")).uuid)
"""
WAITING = "will tell you what it means"


def fits(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], page.url


def invite(coach: Page, uuid: str, role: str, email: str, check_accessible: Callable[[Page], None]) -> str:
    """The coach invites, and shows the link to the person beside them; its path, since no letter box knows our port."""
    coach.goto(f"/athletes/{uuid}/invite/")
    coach.get_by_label(role).check()
    coach.get_by_label("E-mail").fill(email)
    coach.get_by_label("Relation").fill("mother" if role == "a guardian" else "")
    coach.get_by_role("button", name="Invite").click()
    expect(coach.get_by_role("heading", name="Invited")).to_be_visible()
    check_accessible(coach)
    return "/" + coach.get_by_label("Link").input_value().split("/", 3)[3]


def join(person: Page, link: str, name: str) -> None:
    """Opens the link on a phone, and makes an account."""
    person.goto(link)
    fits(person)
    person.get_by_label("Sign-in name").fill(name)
    person.get_by_label("Password", exact=True).fill(PASSWORD)
    person.get_by_label("Password once more").fill(PASSWORD)
    person.get_by_role("button", name="Make my account").click()
    person.wait_for_url(lambda url: "/invitation/" not in url)


def agree(guardian: Page) -> None:
    expect(guardian.get_by_role("heading", name="Consent")).to_be_visible()
    fits(guardian)
    guardian.get_by_label("Your name").fill(f"Sibéal {FAMILY}")
    guardian.get_by_label("You are").fill("mother")
    guardian.get_by_label("I have read the text and agree.").check()
    guardian.get_by_role("button", name="I agree").click()
    guardian.wait_for_load_state()


def little_layback(path: Path) -> Path:
    """A file of eight throws in which the arm lies back far too little."""
    text = table(f"Lorcan {FAMILY}", "LOV-1", ",Walked")
    path.write_text(re.sub(r",17\d,1$", lambda found: f",14{found[0][3]},1", text, flags=re.MULTILINE))
    return path


def read_in(coach: Page, path: Path) -> str:
    """Columns matched; the address of the upload's page."""
    send(coach, path).get_by_role("link", name="Match columns").click()
    coach.get_by_role("button", name="Keep and read").click()
    expect(coach.locator(".lede")).to_contain_text("8 throws")
    return coach.url


def accept(coach: Page, upload: str) -> str:
    """The address of the session."""
    coach.goto(upload)
    coach.get_by_role("button", name="Accept 1 session").click()
    coach.get_by_role("link", name="Open the session").click()
    coach.wait_for_url("**/sessions/*/")
    return coach.url


def pages_of_the_coach(uuid: str, session: str) -> tuple[str, ...]:
    """Every page on which a stop must stand, or be said."""
    return (f"/athletes/{uuid}/", session, f"/athletes/{uuid}/screens/", f"{session}share/", f"/mine/{uuid}/")


@pytest.fixture
def athlete(app: Application) -> str:
    return app.shell(MINOR.format(family=FAMILY))


def test_from_the_invitation_to_the_clearance(app, athlete, sign_in, open_page, tmp_path, check_accessible, complaints):
    coach = sign_in("coach")
    upload = read_in(coach, little_layback(tmp_path / "family walk.csv"))
    expect(coach.get_by_role("link", name="Record the consent")).to_be_visible()
    expect(coach.get_by_role("button", name="Accept 1 session")).to_have_count(0)

    mother, lorcan = open_page(size=PHONE), open_page(size=PHONE)
    join(mother, invite(coach, athlete, "a guardian", "mother@example.org", check_accessible), "sibeal")
    agree(mother)
    join(lorcan, invite(coach, athlete, "the athlete", "lorcan@example.org", check_accessible), "lorcan")
    session = accept(coach, upload)

    # Nothing is shared: the family reads the day, and no word of what was found; the session is not there for them.
    for person in (mother, lorcan):
        person.goto(f"/mine/{athlete}/")
        expect(person.locator("main")).to_contain_text(WAITING)
        expect(person.locator("main")).to_contain_text("2 March")
        expect(person.get_by_text(re.compile("layback|elbow flexion", re.IGNORECASE))).to_have_count(0)
        refused = person.request.get(session)
        assert refused.status in (403, 404)
        fits(person)

    coach.goto(f"{session}share/")
    coach.locator(".offer input[type=checkbox]").first.check()
    told = coach.get_by_label("Headline").first
    headline = coach.locator(".offer .check label").first.inner_text().strip()
    if told.is_visible():
        headline = told.input_value()
    headline = headline.split("\n")[0].replace("the starting point", "").strip()
    coach.get_by_role("button", name="Share it").click()
    coach.wait_for_load_state()

    lorcan.reload()
    expect(lorcan.locator("main")).to_contain_text(headline)
    expect(lorcan.get_by_text(WAITING)).to_have_count(0)
    fits(lorcan)
    check_accessible(lorcan)
    mother.reload()
    expect(mother.locator("main")).to_contain_text(headline)

    lorcan.get_by_role("link", name="Report pain").click()
    fits(lorcan)
    lorcan.get_by_label("Where").fill("elbow, inner side")
    lorcan.get_by_role("button", name="Report, and stop throwing").click()
    expect(lorcan.get_by_role("region", name="Stopped")).to_be_visible()

    pages = pages_of_the_coach(athlete, session)
    for address in pages:
        coach.goto(address)
        expect(coach.locator(".stop-block").first).to_contain_text("elbow, inner side")
    coach.goto(f"/roster/?who=everyone&q={FAMILY}")
    expect(coach.locator("#roster-list")).to_contain_text("stopped")
    coach.goto("/")
    expect(coach.locator(".day-needs")).to_contain_text(f"Lorcan {FAMILY}")

    coach.goto(f"/athletes/{athlete}/")
    coach.get_by_role("link", name=re.compile("[Rr]ecord a clearance|^Open$")).first.click()
    coach.get_by_label("Cleared by").fill("Dr. I. Quispe")
    coach.get_by_role("button", name="Record").click()
    expect(coach.get_by_text("Clearance recorded.")).to_be_visible()
    for address in pages:
        coach.goto(address)
        expect(coach.locator(".stop-block")).to_have_count(0)
    lorcan.goto(f"/mine/{athlete}/")
    expect(lorcan.get_by_role("region", name="Stopped")).to_have_count(0)
    expect(lorcan.locator("main")).to_contain_text("You can throw.")
