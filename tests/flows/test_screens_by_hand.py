"""Screens typed with one hand on a phone: own keys, a page that is left and comes back, saved, judged, taken back."""

import re

from playwright.sync_api import Locator, Page, expect

from tests.flows.application import wait_until
from tests.flows.conftest import DESK, PHONE

ATHLETE = """
from athletes.models import User
from athletes.services.people import create_athlete
import datetime as dt
by = User.objects.get(username="coach")
made = create_athlete(given_name="{given}", family_name="{family}", birth_date=dt.date(2001, 5, 4), throws="right",
    level="college", level_from=dt.date(2020, 1, 1), by=by, external_id="{id}", height_cm=188.0, mass_kg=88.0,
    measured_on=dt.date(2020, 1, 1), responsible_coach=by)
print(made.uuid)
"""


def new_athlete(app, given: str, family: str) -> str:
    """The address of the form of a new athlete."""
    return f"/athletes/{app.shell(ATHLETE.format(given=given, family=family, id=f'{given}-{family}'))}/screens/"


def value(page: Page, metric: str) -> Locator:
    return page.locator(f"[name=v-{metric}-1]")


def tap(page: Page, keys: str) -> None:
    """`tap(page, "4 2 next")`: the form's own keys."""
    for key in keys.split():
        page.locator(f"[data-key='{key}']").click()


def test_typed_left_found_again_saved_and_judged(app, sign_in, check_accessible):
    address = new_athlete(app, "Ruaridh", "Quispe")
    page = sign_in("coach", address, size=PHONE)
    check_accessible(page)
    value(page, "shoulder_ir_90_throwing").click()
    tap(page, "2 0 next 5 8 next")
    expect(page.locator("[data-worked=shoulder_ir_deficit]")).to_have_text("38°")
    expect(page.locator("#screen-shoulder_ir_90 [data-ask]")).to_contain_text("The sides differ by 38°")
    tap(page, "1 2 0")
    expect(page.locator("[data-worked=shoulder_total_arc_throwing]")).to_have_text("140°")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for key in page.locator("[data-key]").all():
        assert (key.bounding_box() or {})["height"] >= 56
    check_accessible(page)
    expect(page.locator("[data-said]")).to_contain_text("Draft kept")

    page.goto("/roster/")
    page.goto(address)
    expect(page.get_by_text(re.compile(r"Draft from .*, 3 values\."))).to_be_visible()
    page.get_by_role("link", name="Go on").click()
    expect(value(page, "shoulder_ir_90_other")).to_have_value("58")
    value(page, "hip_flexor_thomas_front").evaluate("field => field.closest('details').open = true")
    value(page, "hip_flexor_thomas_front").click()
    tap(page, "minus 5 hide")
    expect(value(page, "hip_flexor_thomas_front")).to_have_value("−5")
    page.get_by_role("button", name="Save 4 values").click()

    page.wait_for_url("**/sessions/*/")
    line = page.locator("#session tr", has_text="Shoulder internal rotation at 90° abduction, throwing side").first
    expect(line.locator("td.mean")).to_contain_text("20°")
    expect(line.locator(".v").first).to_contain_text(re.compile("low|watch|in range"))
    expect(page.get_by_text("4 screens saved")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(value(page, "shoulder_ir_90_throwing")).to_have_value("20")
    expect(page.get_by_text("What was typed is in the form again.")).to_be_visible()


def test_a_page_that_goes_out_of_sight_at_once_loses_nothing(app, sign_in):
    """No second passes between the last key and leaving: what is typed goes along with the leaving itself."""
    address = new_athlete(app, "Sunniva", "Achterberg-Roe")
    page = sign_in("coach", address, size=PHONE)
    value(page, "grip_strength_throwing").click()
    tap(page, "9 1")
    page.goto("/roster/")
    wait_until(lambda: page.goto(address) and page.get_by_text("1 value.").is_visible(), limit_s=15)
    page.get_by_role("link", name="Go on").click()
    expect(value(page, "grip_strength_throwing")).to_have_value("91")


def test_degrees_above_anatomy_are_said_at_once_and_again_by_the_server(app, sign_in, complaints):
    page = sign_in("coach", f"{new_athlete(app, 'Ilse', 'Varma')}?screen=hip_ir_back", size=PHONE)
    expect(value(page, "hip_ir_front")).to_be_focused()
    tap(page, "2 0 0 next")
    wrong = page.locator("#e-v-hip_ir_front-1")
    expect(wrong).to_contain_text("200 is not plausible: 0° to 75° is.")
    tap(page, "pain")
    expect(page.locator("[name=not-hip_ir_back]")).to_have_value("pain")
    page.get_by_role("button", name=re.compile("^Save")).click()
    expect(page.get_by_role("alert")).to_contain_text("Nothing is stored yet: 1 value below cannot be.")
    expect(value(page, "hip_ir_front")).to_have_value("200")
    complaints.heard = [one for one in complaints.heard if "422" not in one]  # that answer is what is tried here
    value(page, "hip_ir_front").fill("40")
    page.locator("[data-key=hide]").click()
    page.get_by_role("button", name=re.compile("^Save")).click()
    expect(page.get_by_role("heading", name="Saved. There was pain.")).to_be_visible()
    expect(page.get_by_role("link", name="Report pain")).to_be_visible()


def test_by_keyboard_alone_at_a_desk(app, sign_in, check_accessible):
    page = sign_in("coach", new_athlete(app, "Noor", "Halvorsen"), size=DESK)
    value(page, "shoulder_ir_90_throwing").focus()
    for text in ("55", "60", "118"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    expect(value(page, "shoulder_er_90_other")).to_be_focused()
    expect(page.locator("[data-worked=shoulder_total_arc_throwing]")).to_have_text("173°")
    check_accessible(page)
    save = page.get_by_role("button", name="Save 3 values")
    save.focus()
    save.press("Enter")
    page.wait_for_url("**/sessions/*/")


def test_a_station_takes_one_tap_to_the_next_athlete(app, sign_in, check_accessible):
    uuids = [new_athlete(app, given, "Station").split("/")[2] for given in ("Abel", "Bram")]
    page = sign_in(
        "coach", f"/screens/station/?only=grip_strength&who=list&athlete={uuids[0]}&athlete={uuids[1]}", size=PHONE
    )
    expect(page.locator("h1")).to_have_text("Abel Station")
    expect(value(page, "grip_strength_throwing")).to_be_focused()
    check_accessible(page)
    tap(page, "8 8 next 8 0")
    expect(page.locator("[data-key=next]")).to_have_text("Save")
    tap(page, "next")
    expect(page.locator("h1")).to_have_text("Bram Station")
    expect(page.get_by_text("1 of 2 done")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("h1")).to_have_text("Abel Station")
    expect(value(page, "grip_strength_throwing")).to_have_value("88")


def test_the_blank_sheet_is_one_page_on_both_papers(app, sign_in, check_accessible):
    address = new_athlete(app, "Paz", "Lindgren-Ortega")
    page = sign_in("coach", f"/screens/blank/?athlete={address.split('/')[2]}", size=DESK)
    check_accessible(page)
    for paper in ("A4", "Letter"):
        assert len(re.findall(rb"/Type\s*/Page[^s]", page.pdf(format=paper))) == 1
