"""Upstream in a real browser: a flag of unknown cause → check next → a screen → a supported cause, and its arc."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.flows.conftest import PHONE
from tests.flows.test_upload_to_finding import ATHLETE, press

LITTLE_LAYBACK = """
import datetime as dt
from hashlib import sha256
from athletes.models import Athlete
from metrics.catalogue import load_catalogue
from metrics.models import Reading
from metrics.services.scoring import rescore
from sessions.models import CaptureSession, Throw
athlete = Athlete.objects.get(family_name="{family}")
capture = CaptureSession.objects.create(athlete=athlete, date=dt.date.today() - dt.timedelta(days=4), landing="fc",
    method="motion_capture", setup="North room", throwing_side="right", filter_knowledge="known", filter_hz=13.4,
    frame_rate_hz=240)
values = {{load_catalogue().metric(key).reading_key("fc"): {{"value": value}} for key, value in (
    ("shoulder_external_rotation_max", 146.0), ("separation_fp", 49.0), ("trunk_velocity_max", 1200.0))}}
for number in range(1, 9):
    throw = Throw.objects.create(session=capture, number=number, ball_speed_m_s=38.0)
    Reading.objects.create(throw=throw, source="table", values=values, algorithm="by hand",
        checksum=sha256(str(number).encode()).hexdigest())
rescore(capture)
print(capture.uuid)
"""
SCREEN = "shoulder_er_90_throwing"
FLAG = "shoulder_external_rotation_max"


@pytest.fixture
def session_of(app):
    """A session in which the arm lies back too little, of an athlete whose shoulder nobody looked at."""

    def make(family: str) -> str:
        app.shell(ATHLETE.format(given="Odalys", family=family, id=family))
        return f"/sessions/{app.shell(LITTLE_LAYBACK.format(family=family)).strip().splitlines()[-1]}/"

    return make


def test_a_screen_turns_a_guess_into_a_supported_cause(session_of, sign_in, check_accessible):
    page = sign_in("coach")
    session = session_of("Thistlewood")
    page.goto(session)
    start = page.locator("#starting-point")
    expect(start.get_by_role("heading", name="Not known yet")).to_be_visible()
    check = start.locator(".checks li", has_text="Shoulder external rotation at 90° abduction")
    arc = page.locator(f'svg.dl-wide [data-arcs="{FLAG}"] use[data-cause="{SCREEN}"]')
    expect(arc).to_have_class(re.compile("dash"))
    check_accessible(page)

    press(check.get_by_role("link", name="Screen"))
    page.wait_for_url("**/screens/?screen=*")
    page.locator(f'input[data-value="{SCREEN}"]').first.fill("62")
    press(page.get_by_role("button", name="Save 1 value"))
    page.wait_for_url("**/sessions/*/")
    expect(page.get_by_role("heading", name="Hands-on screens")).to_be_visible()

    page.goto(session)
    start = page.locator("#starting-point")
    expect(start.get_by_role("heading", name="Shoulder external rotation at 90°")).to_be_visible()
    expect(start).to_contain_text("It explains the other flag.")
    expect(arc).to_have_class(re.compile("solid"))
    check_accessible(page)


def test_the_start_is_taken_put_aside_and_taken_back_by_keyboard_on_a_phone(session_of, sign_in, check_accessible):
    page = sign_in("coach", session_of("Harbottle"), size=PHONE)
    start = page.locator("#starting-point")
    press(start.get_by_text("Start elsewhere…"))
    start.get_by_label("Put first").select_option(f"{SCREEN}:low")
    start.get_by_label("Why (optional)").fill("Stiff for a year.")
    press(start.get_by_role("button", name="Put first"))
    start = page.locator("#starting-point")
    expect(start.get_by_role("heading", name="Shoulder external rotation at 90°")).to_be_visible()
    expect(start).to_contain_text("“Stiff for a year.”")
    check_accessible(page)
    press(start.get_by_role("button", name="Take back"))
    expect(page.locator("#starting-point").get_by_role("heading", name="Not known yet")).to_be_visible()
