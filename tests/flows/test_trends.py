"""Four athletes on their trends pages: what the pages say tells apart who improves, wobbles, grows, changes level."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.flows.conftest import PHONE

ATHLETE = """
from athletes.models import Athlete
print(Athlete.objects.get(family_name="{name}").uuid)
"""

# Family name, the metric that is opened, really changing, athlete or range, and why the range moved.
FOUR = [
    pytest.param("Rasmussen", "elbow_flexion_fp", "better", "The athlete moved.", "", id="improves"),
    pytest.param("Amoah", "trunk_opening_time", "no real change", "Neither moved.", "", id="wobbles"),
    pytest.param("Nakagawa", "stride_offset", "no real change", "The range moved.", "height", id="grows"),
    pytest.param("Aroha", "lead_knee_flexion_fp", "no real change", "The range moved.", "level", id="changes level"),
]


def trends_of(app, name: str) -> str:
    return f"/athletes/{app.shell(ATHLETE.format(name=name)).strip().splitlines()[-1]}/trends/"


def answer(page: Page, question: str):
    """The answer that stands under a question of the metric that is opened large."""
    return page.locator(".opened .answers > div").filter(has=page.get_by_text(question, exact=True)).locator("dd")


@pytest.mark.parametrize(("name", "metric", "changing", "moved", "by"), FOUR)
def test_the_pages_words_tell_the_four_apart(app, sign_in, name, metric, changing, moved, by):
    page = sign_in("coach", f"{trends_of(app, name)}?metric={metric}")
    really, who = answer(page, "Really changing?"), answer(page, "Athlete or range?")
    expect(really).to_contain_text(changing)
    expect(who).to_contain_text(moved)
    if changing == "no real change":
        expect(really).not_to_contain_text("better")
    if by:
        expect(who.locator("small")).to_contain_text(by)
    else:
        expect(who.locator("small")).to_have_count(0)


def test_the_same_number_is_watch_before_the_change_of_level_and_flag_after_it(app, sign_in):
    page = sign_in("coach", f"{trends_of(app, 'Aroha')}?metric=lead_knee_flexion_fp")
    expect(answer(page, "In range?")).to_contain_text("flag high")
    expect(answer(page, "Flag history")).to_contain_text("High in")


@pytest.mark.parametrize("size", [{"width": 1280, "height": 900}, PHONE], ids=["desk", "phone"])
def test_from_the_trend_to_a_session_that_opens_as_a_retest(app, sign_in, size):
    """The improver's second session: what was flagged the first time stands there with then, now and a word."""
    page = sign_in("coach", f"{trends_of(app, 'Rasmussen')}?metric=elbow_flexion_fp", size=size)
    page.locator("#numbers summary, #numbers").first.click()
    numbers = page.locator("#numbers tbody tr")
    numbers.nth(numbers.count() - 2).get_by_role("link").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Re-test")
    opening = page.locator(".opening")
    expect(opening.get_by_role("heading", name="What mattered last time")).to_be_visible()
    elbow = opening.locator(".then-now tbody tr", has_text="Elbow flexion")
    expect(elbow).to_contain_text("flag low")
    expect(elbow.locator(".answer")).to_have_text(
        re.compile("^(better|worse|no real change), (still|now) (flag low|watch|in range)")
    )
