"""A follow-up on a phone and by the keyboard alone, the month, and a calendar address that is shown once."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from playwright.sync_api import expect

from tests.flows.conftest import DESK, PHONE

GIVE = """
import datetime as dt
from athletes.models import User
from athletes.services.people import create_athlete
from athletes.today import facility_today
from plans.models import FollowUp, InterventionVersion, Prescription
from plans.services.library import install_starting_library
from plans.services.prescribing import Order, Reason, give_work
install_starting_library()
coach, today = User.objects.get(username="coach"), facility_today()
athlete = create_athlete(given_name="Katalin", family_name="{name}", birth_date=dt.date(today.year - 20, 1, 1),
    throws="right", level="college", level_from=dt.date(2024, 1, 1), by=coach)
work = InterventionVersion.objects.filter(intervention__key="hip_turns_seated").latest("number")
given = give_work(athlete=athlete, version=work, reasons=[Reason("hip_ir_front", "low")], by=coach,
    order=Order(dose=work.value.dose_at(20), start=today - dt.timedelta(days=40), due=today + dt.timedelta(days=1)))
given.follow_ups.update(due=today - dt.timedelta(days=3))
print(given.follow_ups.get().uuid)
"""


@pytest.fixture
def follow_up(app):
    """`follow_up("Closer")`: three days late, of an athlete of that family name."""

    def make(name: str) -> str:
        return app.shell(GIVE.format(name=name)).splitlines()[-1]

    return make


def test_on_a_phone_it_is_closed_from_the_keyboard_and_taken_back(sign_in, check_accessible, follow_up):
    uuid = follow_up("Closer")
    page = sign_in("coach", "/follow-ups/?who=everyone&q=Closer", size=PHONE)
    expect(page.get_by_text("3 days late")).to_be_visible()
    page.get_by_role("link", name=re.compile("Decide.*Katalin Closer")).press("Enter")
    page.wait_for_url(f"**/follow-ups/{uuid}/")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.get_by_label("Note").first.press_sequentially("moves well")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Close", exact=True).first).to_be_focused()
    page.keyboard.press("Enter")
    page.wait_for_url("**/follow-ups/")
    expect(page.get_by_text("Katalin Closer.")).to_be_visible()
    check_accessible(page)
    page.get_by_role("button", name="Undo").press("Enter")
    page.wait_for_url(f"**/follow-ups/{uuid}/")
    expect(page.get_by_text("It is open again, as it was.")).to_be_visible()


def test_every_target_on_a_phone_is_large_enough_to_hit(sign_in, follow_up):
    page = sign_in("coach", f"/follow-ups/{follow_up('Tapper')}/", size=PHONE)
    for button in page.locator("main button, main summary, main input:not([type=hidden]), main a.btn").all():
        if button.is_visible():
            assert button.bounding_box()["height"] >= 44, button.inner_text()


def test_list_and_month_lead_to_each_other_and_choices_change_the_list(sign_in, check_accessible, follow_up):
    follow_up("Monthly")
    page = sign_in("coach", "/follow-ups/?who=everyone", size=DESK)
    page.get_by_label("Name").fill("Monthly")
    expect(page.locator(".follows tbody th.nm")).to_have_count(1)
    page.get_by_label("Show").select_option("coming")
    expect(page.get_by_text("No follow-up fits all of these choices.")).to_be_visible()
    page.get_by_role("link", name="Month", exact=True).click()
    expect(page.locator("table.month tbody td[class*=now]")).to_have_count(1)
    check_accessible(page)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_a_calendar_address_is_shown_once(sign_in, check_accessible, size):
    page = sign_in("admin", "/account/reminders/", size=size)
    page.get_by_role("button", name=re.compile("^Make a")).click()
    address = page.locator("code.address").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    check_accessible(page)
    path = "/calendar/" + address.split("/calendar/")[1]
    assert page.request.get(path).text().startswith("BEGIN:VCALENDAR\r\n")
    page.get_by_role("link", name="I have it").click()
    assert path.split("/")[2] not in page.content()
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("Taken back")).to_be_visible()
    assert page.request.get(path).status == 404


def test_the_day_to_look_again_moves_with_the_first_day_until_it_is_chosen(app, sign_in, follow_up):
    follow_up("Mover")
    athlete = app.shell("from athletes.models import Athlete; print(Athlete.objects.get(family_name='Mover').uuid)")
    page = sign_in("coach", f"/athletes/{athlete}/plan/give/?use=chest_opener")
    start, due = page.get_by_label("From", exact=True), page.get_by_label("Look again on")

    def apart() -> dt.timedelta:
        return dt.date.fromisoformat(due.input_value()) - dt.date.fromisoformat(start.input_value())

    at_first, first_due = apart(), due.input_value()
    later = dt.date.fromisoformat(start.input_value()) + dt.timedelta(days=10)
    start.fill(later.isoformat())
    assert due.input_value() != first_due
    assert apart() == at_first
    due.fill((later + dt.timedelta(days=21)).isoformat())
    start.fill((later + dt.timedelta(days=2)).isoformat())
    assert apart() == dt.timedelta(days=19)
