"""From a flag that keeps coming back to work with a date, and from there to proof, in a browser."""

from __future__ import annotations

import datetime as dt
import re
import zoneinfo
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Page, expect

from desk.demo.cast import Off
from tests.flows.conftest import DESK, PHONE
from tests.flows.pitcher import Pitcher

CLEARED, STAYS = "elbow_flexion_fp", "stride_length"
BEGUN, END = 0.0, 1.0
TIME_MOVES_ON = """
import datetime as dt
from django.db.models import F
from athletes.models import Athlete
from plans.models import FollowUp, Prescription
days = dt.timedelta(days={days})
mine = Prescription.objects.filter(athlete__uuid="{uuid}")
FollowUp.objects.filter(prescription__in=mine, decision="").update(due=F("due") - days, begins=F("begins") - days)
mine.update(start=F("start") - days, written_at=F("written_at") - days)
"""
OWN = enumerate(("Fennimore", "Galbraith-Low", "Hathersage"), start=801)
"""Every test has a pitcher of its own."""
DRILL = "Throws from set feet after rocking back"


@pytest.fixture
def today(app) -> dt.date:
    return dt.datetime.now(zoneinfo.ZoneInfo("America/Chicago")).date()


@pytest.fixture
def pitcher(app) -> Pitcher:
    """Lands with a straight elbow and a short stride; the elbow comes right in the end."""
    number, family = next(OWN)
    return Pitcher(app, ("Odalric", family), number, [Off(CLEARED, -2.8, "clears"), Off(STAYS, -2.8, "stays")])


def upload(page: Page, *files: Path) -> None:
    """The room is known: one tap for each file."""
    for path in files:
        page.goto("/uploads/")
        page.locator("input[type=file]").set_input_files(path)
        line = page.locator("table.uploads tr", has_text=path.name)
        line.get_by_role("button", name="Accept").click()
        expect(page.locator("table.uploads tr", has_text=path.name)).to_contain_text("1 session")


def give(page: Page, pitcher: Pitcher, work: str, *, start: dt.date, due: dt.date, shown: bool) -> None:
    """Two taps, with the days of this test between them."""
    page.goto(f"/athletes/{pitcher.uuid}/plan/")
    for summary in page.locator("details.more:not([open]) > summary").all():
        summary.click()
    alone = page.locator(".proposal", has_text=work).get_by_role("link", name="Use this", exact=True)
    page.get_by_role("link", name=f"Use {work}", exact=True).or_(alone).first.click()
    page.get_by_label("From", exact=True).fill(start.isoformat())
    page.get_by_label("Look again on").fill(due.isoformat())
    if shown:
        page.get_by_label("Show it to the family").check()
    page.get_by_role("button", name="Give it").first.click()
    expect(page.locator(".given", has_text=work)).to_be_visible()


def follow_up_of(page: Page, name: str, work: str) -> None:
    page.goto("/follow-ups/")
    page.locator("tr", has_text=name).filter(has_text=work).get_by_role("link", name=re.compile("Decide|Open")).click()
    page.wait_for_url("**/follow-ups/*-*/")


def test_from_recurring_flags_to_work_and_from_there_to_proof(app, sign_in, pitcher, today, tmp_path, check_accessible):
    def day(days: int) -> dt.date:
        return today - dt.timedelta(days=days)

    page = sign_in("coach", size=DESK)
    upload(page, *(pitcher.file_of(tmp_path, day(ago), n, progress=BEGUN) for n, ago in enumerate((60, 53, 46))))

    page.goto(f"/athletes/{pitcher.uuid}/plan/")
    expect(page.locator(".needs")).to_contain_text("Recurring: 3 of the last 3 comparable sessions")
    check_accessible(page)
    ahead = {"start": today + dt.timedelta(days=7), "due": today + dt.timedelta(days=42)}
    give(page, pitcher, DRILL, **ahead, shown=True)
    give(page, pitcher, "Rocking back over an outstretched leg", **ahead, shown=False)

    # Time moves on: the work was written 44 days ago. Once more measured before it began, and again today.
    app.shell(TIME_MOVES_ON.format(days=44, uuid=pitcher.uuid))
    upload(
        page,
        pitcher.file_of(tmp_path, day(40), 3, progress=BEGUN),
        pitcher.file_of(tmp_path, day(0), 4, progress=END),
    )

    follow_up_of(page, pitcher.story.name[1], DRILL)
    response = page.get_by_role("region", name="Response")
    expect(response.get_by_text("Better", exact=True)).to_be_visible()
    expect(response).to_contain_text(re.compile(r"Elbow flexion at foot plant \d+° → \d+° \(\+\d+° ± \d+\)"))
    check_accessible(page)
    page.get_by_role("button", name="Close", exact=True).click()
    expect(page.locator("body")).to_contain_text(re.compile("closed", re.IGNORECASE))
    expect(page.locator("tr", has_text=pitcher.story.name[1]).filter(has_text=DRILL)).to_have_count(0)

    follow_up_of(page, pitcher.story.name[1], "Rocking back over an outstretched leg")
    expect(response.get_by_text("No real change", exact=True)).to_be_visible()
    page.get_by_role("heading", name="Change: other work in its place").click()
    other = page.get_by_label("Other work").locator("option", has_text="Side lunge with a push off").first
    page.get_by_label("Other work").select_option(value=other.get_attribute("value"))
    page.get_by_role("button", name="Change", exact=True).click()
    page.goto(f"/athletes/{pitcher.uuid}/plan/")
    expect(page.locator(".given")).to_contain_text("Side lunge with a push off")
    expect(page.locator(".given details", has_text="ended")).to_be_visible()


def report_pain(page: Page, pitcher: Pitcher) -> None:
    page.goto(f"/athletes/{pitcher.uuid}/pain/")
    page.get_by_label("Where").fill("elbow, inner side")
    page.locator("main form button").last.click()


def clear(page: Page, pitcher: Pitcher) -> None:
    page.goto(f"/athletes/{pitcher.uuid}/")
    page.get_by_role("link", name=re.compile("[Rr]ecord a clearance|^Open$")).first.click()
    page.get_by_label("Cleared by").fill("Dr. O. Marsh")
    page.get_by_role("button", name="Record").click()
    expect(page.get_by_text("Clearance recorded.")).to_be_visible()


@pytest.fixture
def working(app, pitcher, today) -> Pitcher:
    """With a throwing drill and gentle work in the plan, both shown."""
    app.shell(GIVEN.format(uuid=pitcher.uuid))
    return pitcher


GIVEN = """
import datetime as dt
from athletes.models import Athlete, User
from athletes.today import facility_today
from plans.models import InterventionVersion
from plans.services.prescribing import Order, Reason, give_work
coach, today = User.objects.get(username="coach"), facility_today()
athlete = Athlete.objects.get(uuid="{uuid}")
for key in ("rocker_throws", "hip_turns_seated"):
    version = InterventionVersion.objects.filter(intervention__key=key).latest("number")
    order = Order(version.value.dose_at(23), today, today + dt.timedelta(weeks=6), is_shown=True)
    end = version.value.answers[0]
    give_work(athlete=athlete, version=version, order=order, reasons=[Reason(*end)], by=coach)
"""


def test_pain_stops_throwing_work_and_only_a_clearance_starts_it_again(app, sign_in, working):
    page = sign_in("coach", size=PHONE)
    own = f"/mine/{working.uuid}/"
    report_pain(page, working)

    page.goto(f"/athletes/{working.uuid}/plan/")
    drill = page.locator(".given-work", has_text=DRILL)
    expect(drill.locator(".held")).to_contain_text("pain stops throws and loaded work until a clearance")
    expect(page.locator(".given-work", has_text="Hip turns").locator(".held")).to_have_count(0)
    page.goto(own)
    expect(page.locator("#work li", has_text="Throws from set feet")).to_contain_text("Held")

    clear(page, working)
    page.goto(f"/athletes/{working.uuid}/plan/")
    expect(page.locator(".given-work", has_text=DRILL).locator(".held")).to_have_count(0)


LONGEST = ("MaximilianaBartholomea" * 3, "Featherstonehaugh-" * 4)
NAMED = """
from athletes.models import Athlete
Athlete.objects.filter(uuid="{uuid}").update(given_name="{given}", family_name="{family}")
"""


@pytest.fixture
def longest(app, working) -> Iterator[Pitcher]:
    """Named so as long as the test lasts: the tests that follow have lists of their own."""
    for name in (LONGEST, working.story.name):
        app.shell(NAMED.format(uuid=working.uuid, given=name[0], family=name[1]))
        if name is LONGEST:
            yield working


def test_the_longest_name_fits_the_plan_sheet_and_every_page_that_says_it(sign_in, longest):
    page, record = sign_in("coach", size=DESK), f"/athletes/{longest.uuid}/"
    answer = page.request.get(f"{record}plan-sheet.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    sheet = pypdfium2.PdfDocument(answer.body())
    assert len(sheet) == 1
    text = sheet[0].get_textpage().get_text_range()
    assert "Hip turns in and out" in text
    for address, size in product(("/?sort=needs", "/roster/", "/follow-ups/", record, f"{record}plan/"), (DESK, PHONE)):
        page.set_viewport_size(size)
        page.goto(address)
        expect(page.get_by_text("MaximilianaBartholomea").first).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], (address, size)
