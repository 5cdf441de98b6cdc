"""15:40, eight boys walk in: found by three letters or their group, one tap each, and the place on the page is kept."""

import re

from playwright.sync_api import expect

from tests.flows.conftest import DESK, PHONE

ATHLETES = """
import datetime as dt
from athletes.models import TrainingGroup, User
from athletes.services.groups import assign_group_to_many
from athletes.services.people import create_athlete
by = User.objects.get(username="coach")
made = [create_athlete(given_name=name, family_name="{family}", birth_date=dt.date(2011, 5, 4), throws="right",
    level="high_school", level_from=dt.date(2020, 1, 1), by=by) for name in ("Aoife", "Bertil", "Ciro")]
assign_group_to_many(athletes=made, name="{family} group", by=by)
print(*[row.uuid for row in made])
"""


def three(app, family: str) -> list[str]:
    return app.shell(ATHLETES.format(family=family)).split()


def test_three_letters_one_tap_and_on_to_the_next_by_keyboard_alone(app, sign_in, check_accessible):
    first, second, _ = three(app, "Xylander")
    page = sign_in("coach", size=DESK)
    page.locator("#here-name").press_sequentially("xyl")
    expect(page.locator(".check-ins > li")).to_have_count(3)
    page.locator(f"#fine-{first}").focus()
    page.keyboard.press("Enter")
    expect(page.locator(f"#fine-{first}")).to_have_attribute("aria-pressed", "true")
    expect(page.locator(f"#fine-{first}")).to_be_focused()
    expect(page.locator("#notices[aria-live]")).to_contain_text("Aoife Xylander: fine.")
    expect(page.locator("#here-now")).to_contain_text("Aoife Xylander")
    check_accessible(page)
    # sore muscles of the next: its word is the next thing that Tab reaches behind the answers
    page.locator(f"#sore-{second}").focus()
    page.keyboard.press("Enter")
    expect(page.locator(f"#words-{second}")).to_be_visible()
    expect(page.locator(f"#sore-{second}")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.locator(f"#words-{second}")).to_be_focused()
    page.keyboard.type("forearm")
    page.keyboard.press("Enter")
    here = page.locator("#here-now li", has_text="Bertil Xylander")
    expect(here).to_contain_text("forearm")
    page.locator("#notices").get_by_role("button", name="Undo").click()
    expect(page.locator("#here-now li", has_text="Bertil Xylander")).not_to_contain_text("forearm")


def test_on_a_phone_a_group_is_checked_in_measured_and_somebody_in_pain_is_stopped(
    app, sign_in, check_accessible, complaints
):
    first, _, third = three(app, "Ombersley")
    page = sign_in("coach", size=PHONE)
    page.locator("#here-group").select_option(label="Ombersley group")
    expect(page.locator(".check-ins > li")).to_have_count(3)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for target in page.locator(".check-ins button, .check-ins a, .check-ins input:not([type=hidden])").all():
        assert (target.bounding_box() or {})["height"] >= 44, target.evaluate("one => one.outerHTML")
    # each of them is under 18 and was never measured: the height stands in the same line
    page.locator(f"#height-{first}").fill("7'13\"")
    page.locator(f"#tall-{first}").click()
    expect(page.locator(f"#asked-{first} [role=alert]")).to_be_visible()
    assert all("422" in line for line in complaints.heard), complaints.heard
    complaints.heard.clear()  # the browser reports the refusal that was provoked
    page.locator(f"#height-{first}").fill("5'9\"")
    page.locator(f"#tall-{first}").click()
    expect(page.locator(f"#height-{first}")).to_have_count(0)
    expect(page.locator(f"#fine-{first}")).to_be_focused()
    page.locator(f"#pain-{third}").click()
    expect(page.get_by_role("heading", name="Report pain")).to_be_visible()
    page.get_by_label("Where").fill("elbow")
    page.get_by_role("button", name="Report, and stop throwing").click()
    page.wait_for_url(re.compile("here_group="))
    expect(page.locator(f"#asked-{third}")).to_contain_text("stopped")
    expect(page.locator(".needs")).to_contain_text("Pain: Ciro Ombersley, elbow.")
    check_accessible(page)
    page.locator("#here-now").get_by_role("link", name="Ciro Ombersley", exact=True).click()
    expect(page.locator(".stop-block").first).to_contain_text("Pain: elbow.")


def test_many_are_chosen_in_the_roster_by_one_box_and_put_back_by_one_undo(app, sign_in, check_accessible):
    three(app, "Trevanion")
    page = sign_in("coach", "/roster/?who=everyone&q=trevanion", size=DESK)
    page.get_by_label("Choose all on this page").check()
    expect(page.locator("[data-chosen]")).to_have_text("3 chosen.")
    check_accessible(page)
    page.get_by_label("Or the name of a new group").fill("Trevanion winter")
    page.get_by_role("button", name="Put in").click()
    expect(page.locator("#notices")).to_contain_text("3 athletes put into Trevanion winter.")
    page.locator("#notices").get_by_role("button", name="Undo").click()
    expect(page.locator("#notices")).to_contain_text("Undone.")
    page.goto("/groups/")
    expect(page.locator("li", has_text="Trevanion winter")).to_have_count(0)  # it was made by what was undone
    check_accessible(page)


def test_who_was_chosen_stays_so_while_the_list_is_searched(app, sign_in):
    three(app, "Kerensa")
    page = sign_in("coach", "/roster/?who=everyone&q=kerensa", size=DESK)
    rows, told = page.locator("table.roster tbody tr"), page.locator("[data-chosen]")
    expect(rows).to_have_count(3)
    first, second = (rows.nth(place).locator("th").inner_text() for place in (0, 1))
    page.get_by_label(f"Choose {first}").check()
    page.get_by_label("Name", exact=True).fill(second)
    expect(rows).to_have_count(1)
    expect(told).to_have_text("1 chosen, 1 of them not in this list.")
    page.get_by_label(f"Choose {second}").check()
    expect(told).to_have_text("2 chosen, 1 of them not in this list.")
    page.get_by_label("Or the name of a new group").fill("Kerensa pair")
    page.get_by_role("button", name="Put in").click()
    expect(page.locator("#notices")).to_contain_text("2 athletes put into Kerensa pair.")


def test_a_group_page_fits_a_phone_and_sets_away_for_all(app, sign_in, check_accessible):
    three(app, "Penhaligon")
    page = sign_in("coach", "/groups/", size=PHONE)
    check_accessible(page)
    page.get_by_role("link", name="Penhaligon group").click()
    page.wait_for_url("**/groups/*-*/")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    check_accessible(page)
    page.locator("#can-valid_from").fill("2026-12-20")
    page.locator("#can-until").fill("2027-01-03")
    page.get_by_role("button", name="Set for all").click()
    expect(page.locator("#notices")).to_contain_text("Availability set for 3 athletes of Penhaligon group.")


def test_an_answer_from_an_earlier_sign_in_is_refused_in_words_on_the_page(app, sign_in, complaints):
    first, *_ = three(app, "Penrose")
    page = sign_in("coach", size=DESK)
    page.locator("#here-name").press_sequentially("penrose")
    expect(page.locator(".check-ins > li")).to_have_count(3)
    page.context.clear_cookies(name="csrftoken")
    page.locator(f"#fine-{first}").click()
    expect(page.locator("#notices")).to_contain_text("Nothing was saved. This page had stood open too long")
    expect(page.locator("#here-name")).to_have_value("penrose")
    complaints.heard.clear()  # the browser itself tells of the refused request
