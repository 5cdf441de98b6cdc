"""A boy ticks his work in a field without a connection: the tick is kept, sent once, and told when it may not be."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import expect

from tests.flows.conftest import PHONE, go_through_the_door

WORK = """
import datetime as dt, json
from athletes.models import User
from athletes.services.people import create_athlete
from athletes.today import facility_today
from plans.models import InterventionVersion
from plans.services.library import install_starting_library
from plans.services.prescribing import Order, Reason, give_work
install_starting_library()
coach, today = User.objects.get(username="coach"), facility_today()
told = {{}}
for family in {families}:
    boy = create_athlete(given_name="Ebbe", family_name=family, birth_date=dt.date(2007, 5, 4), throws="right",
        level="college", level_from=dt.date(2025, 1, 1), by=coach)
    boy.account = User.objects.create_user(family.lower(), password="{password}", role="athlete", first_name="Ebbe")
    boy.save()
    given = []
    for key in ("hip_turns_seated", "pause_at_landing_throws"):
        version = InterventionVersion.objects.filter(intervention__key=key).first()
        order = Order(version.value.dose_at(19), today - dt.timedelta(days=9), today + dt.timedelta(days=30),
            is_shown=True)
        reasons = [Reason("hip_ir_front", "low")]
        given.append(give_work(athlete=boy, version=version, order=order, reasons=reasons, by=coach))
    told[family] = [str(boy.uuid), *(f"#tick-{{row.uuid}}-{{today}}" for row in given)]
print(json.dumps(told))
"""
TICKS = """
from plans.models import WorkTick
rows = WorkTick.objects.filter(prescription__athlete__family_name="{family}", taken_back_at=None)
print(*sorted(row.prescription.version.intervention.key for row in rows))
"""
PAIN = """
from athletes.models import Athlete, User
from athletes.services.care import report_pain
report_pain(athlete=Athlete.objects.get(family_name="{family}"), where="elbow", by=User.objects.get(username="coach"))
"""
KEPT = "(localStorage.getItem(Object.keys(localStorage).find((name) => name.startsWith('moundbook.ticks.'))) ?? null)"
PASSWORD = "far-from-the-mound"
FAMILIES = ("Fjeldstad", "Gudmundsen", "Haugland", "Isbrandt")


@pytest.fixture(scope="module")
def boys(app):
    """By family name: the uuid of the boy, and where his two boxes of today are."""
    return json.loads(app.shell(WORK.format(families=FAMILIES, password=PASSWORD)).splitlines()[-1])


@pytest.fixture
def opened(boys, open_page):
    """`opened("Fjeldstad")`: his page on his phone, the box of gentle work and that of a drill."""

    def make(family: str):
        boy, gentle, drill = boys[family]
        page = open_page(size=PHONE)
        go_through_the_door(page, family.lower(), PASSWORD)
        page.goto(f"/mine/{boy}/")
        return page, page.locator(gentle), page.locator(drill)

    return make


def ticks(app, family: str) -> list[str]:
    lines = app.shell(TICKS.format(family=family)).splitlines()
    return lines[-1].split() if lines else []


def test_a_tick_without_a_connection_is_kept_and_sent_once_there_is_one(app, opened, check_accessible, complaints):
    page, gentle, drill = opened("Fjeldstad")
    # by keyboard, with a connection: marked, taken back, marked; the focus stays where it was
    gentle.focus()
    for state in ("true", "false", "true"):
        with page.expect_response(re.compile("/tick/")):  # what is tapped is shown at once, and sent in turn
            page.keyboard.press("Enter")
        expect(gentle).to_have_attribute("aria-pressed", state)
        expect(gentle).to_be_focused()
    page.context.set_offline(True)
    drill.click()
    expect(drill).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#work-said")).to_have_text("No connection. The tick is kept on this device and sent later.")
    (kept,) = json.loads(page.evaluate(KEPT))
    assert set(kept) == {"tick", "work", "date"}, "no names"
    # a second tap takes back what was not sent yet, a third keeps it again
    drill.click()
    expect(drill).to_have_attribute("aria-pressed", "false")
    assert page.evaluate(KEPT) is None
    drill.click()
    expect(drill).to_have_attribute("aria-pressed", "true")
    # what was sent is not taken back without a connection
    gentle.click()
    expect(page.locator("#work-said")).to_contain_text("can be taken back when there is one")
    expect(gentle).to_have_attribute("aria-pressed", "true")
    check_accessible(page)
    page.context.set_offline(False)
    expect(drill).not_to_have_attribute("data-kept", "")
    page.wait_for_function(f"{KEPT} === null")
    page.reload()
    for box in (gentle, drill):
        expect(box).to_have_attribute("aria-pressed", "true")
    assert ticks(app, "Fjeldstad") == ["hip_turns_seated", "pause_at_landing_throws"]
    complaints.heard.clear()  # the requests that had no connection


def test_a_tick_of_work_that_pain_stopped_meanwhile_is_dropped_and_told(app, opened, complaints):
    page, _, drill = opened("Gudmundsen")
    page.context.set_offline(True)
    drill.click()
    expect(drill).to_have_attribute("aria-pressed", "true")
    app.shell(PAIN.format(family="Gudmundsen"))
    page.context.set_offline(False)
    said = page.locator("#work-said")
    expect(said).to_contain_text("pain stops throws and loaded work until a clearance is recorded")
    expect(said).to_contain_text("enter your throws")
    expect(drill).to_have_count(0)
    assert page.evaluate(KEPT) is None
    assert ticks(app, "Gudmundsen") == []
    complaints.heard.clear()  # the request without a connection, and the refusal


def test_whoever_signs_out_leaves_no_kept_tick(opened, complaints):
    page, gentle, _ = opened("Haugland")
    page.route(re.compile("/tick/"), lambda route: route.abort())
    gentle.click()
    expect(page.locator("#work-said")).to_contain_text("kept on this device")
    assert page.evaluate(KEPT) is not None
    page.locator("details.me > summary").click()
    page.locator("form[action$='/sign-out/'] button").click()
    page.wait_for_url("**/sign-in/**")
    assert page.evaluate(KEPT) is None
    complaints.heard.clear()  # the request that was cut off


def test_whoever_signs_in_next_on_a_shared_tablet_does_not_send_it(app, opened, complaints):
    """The first sign-in ended by itself, so nothing was forgotten; the coach may tick for this boy, and did not."""
    page, gentle, _ = opened("Isbrandt")
    page.route(re.compile("/tick/"), lambda route: route.abort())
    gentle.click()
    expect(page.locator("#work-said")).to_contain_text("kept on this device")
    page.unroute(re.compile("/tick/"))
    page.context.clear_cookies()
    address = page.url
    go_through_the_door(page, *app.accounts["coach"])
    page.goto(address)
    expect(gentle).to_have_attribute("aria-pressed", "false")
    assert ticks(app, "Isbrandt") == []
    assert page.evaluate(KEPT) is not None
    complaints.heard.clear()  # the request that was cut off
