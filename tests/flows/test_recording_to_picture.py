"""Motion capture in a real browser: drop → check → accept → play → move an event → the finding changes → restore."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.flows.conftest import PHONE
from tests.flows.test_upload_to_finding import ATHLETE, press
from tests.metrics.motion.conftest import delivery, renamed_bytes, throw_bytes
from tests.synthesis import c3d_bytes, with_names

STRANGE = {
    "R_EL": "rightElbowOuter", "R_EM": "rightElbowInner", "L_EL": "leftElbowOuter", "L_EM": "leftElbowInner",
    "C7": "neckBone", "R_CA": "heel_r", "L_CA": "heel_l",
}  # fmt: skip


def send(page: Page, *paths: Path) -> Locator:
    page.goto("/uploads/")
    page.locator("input[type=file]").set_input_files(list(paths))
    return page.locator("table.uploads tr", has_text=paths[0].name)


def answer_who_and_when(page: Page, name: str) -> None:
    choice = page.get_by_label("Athlete", exact=True)
    choice.select_option(choice.locator("option", has_text=name).get_attribute("value"))
    press(page.get_by_role("button", name="Choose"))


def figure(page: Page) -> Locator:
    page.locator("#motion").scroll_into_view_if_needed()
    shown = page.locator(".figure[data-frame]")
    expect(shown).to_be_visible()
    return shown


RECORDED = """
from sessions.models import CaptureSession
found = CaptureSession.objects.filter(throws__recording__isnull=False, athlete__family_name="Brandvold")
print(found.first().uuid)
"""


@pytest.fixture
def session_page(app, sign_in) -> Page:
    """A recorded session of the demonstration; tests leave it as it was."""
    return sign_in("coach", f"/sessions/{app.shell(RECORDED).strip().splitlines()[-1]}/")


def accept_and_open(page: Page, path: Path) -> None:
    row = send(page, path)
    expect(row.get_by_role("button", name="Accept")).to_be_visible()
    row.get_by_role("link", name=path.name).click()
    expect(page.get_by_text("Throw 1, right arm")).to_be_visible()
    expect(page.locator("svg.trace")).to_be_visible()
    press(page.get_by_role("button", name="Accept 1 session"))
    expect(page.locator(".lede")).to_have_text("It became 1 session.")
    press(page.get_by_role("link", name="Open the session"))
    page.wait_for_url("**/sessions/*/")


def test_from_a_dropped_recording_to_a_moved_event_and_back(app, sign_in, tmp_path, check_accessible):
    app.shell(ATHLETE.format(given="Severin", family="Quillfeather", id="SQ-7"))
    path = tmp_path / "2026-03-02 throw 1.c3d"
    path.write_bytes(c3d_bytes(with_names(delivery("right", "opens_early"), "SQ-7")))
    page = sign_in("coach")
    accept_and_open(page, path)
    shown = figure(page)
    check_accessible(page)
    expect(page.locator(".curves-said")).to_contain_text("Throw 1")

    before = int(shown.get_attribute("data-frame"))
    page.locator(".figure canvas").focus()
    page.keyboard.press("ArrowRight")
    expect(shown).to_have_attribute("data-frame", str(before + 1))
    page.keyboard.press("Shift+ArrowRight")
    expect(page.locator(".figure-said")).to_contain_text("Foot plant")
    press(page.get_by_role("button", name="Play"), "Enter")
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    page.wait_for_function("old => Number(document.querySelector('.figure').dataset.frame) > old", arg=before + 4)
    press(page.get_by_role("button", name="Pause"), "Enter")

    contact = page.locator('#motion-events tr[data-event="fc"]')
    trunk = page.locator("#session .first-look tr", has_text="Trunk rotation").first.locator("td.mean")
    found = trunk.inner_text()
    contact.get_by_label("New time of foot contact").fill("-20")
    press(contact.get_by_role("button", name="Move"))
    expect(page.locator("#motion-notices")).to_contain_text("Foot contact of throw 1 moved")
    expect(trunk).not_to_have_text(found)
    expect(contact).to_contain_text("moved by a person")
    expect(contact).to_contain_text("20.0")  # as it was found, counted from where it is now

    press(contact.get_by_role("button", name="Take as found"))
    expect(trunk).to_have_text(found)
    expect(contact).not_to_contain_text("moved by a person")


def test_event_is_moved_by_its_line_on_the_curve(session_page):
    page = session_page
    figure(page)
    handle = page.locator('.curves-handle[data-event="fp"]')
    plant = page.locator('#motion-events tr[data-event="fp"]')
    expect(handle).to_be_visible()
    expect(plant).to_be_visible()
    before = float(plant.get_attribute("data-time-ms"))
    page.locator(".curves-plot").scroll_into_view_if_needed()
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + 0.7 * box["height"]
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 4, y)
    page.mouse.move(x + 10, y)
    page.mouse.up()
    expect(page.locator("#motion-notices")).to_contain_text("Foot plant of throw 1 moved")
    assert before + 5 < float(plant.get_attribute("data-time-ms")) < before + 40
    press(plant.get_by_role("button", name="Take as found"))
    expect(plant).to_have_attribute("data-time-ms", str(before))


def test_move_that_cannot_be_is_said_and_changes_nothing(session_page, complaints):
    page = session_page
    figure(page)
    contact = page.locator('#motion-events tr[data-event="fc"]')
    contact.get_by_label("New time of foot contact").fill("400")
    press(contact.get_by_role("button", name="Move"))
    expect(page.locator("#motion-notices")).to_contain_text("order")
    expect(contact).not_to_contain_text("moved by a person")
    complaints.heard.clear()  # the browser writes of every answer of 422


def test_every_frame_shown_is_the_frame_asked_for(session_page):
    page = session_page
    shown = figure(page)
    frames = page.evaluate("document.querySelector('.figure').figure.motion.frames")
    for frame in (0, 1, frames // 2, frames - 1):
        page.evaluate("frame => document.querySelector('.figure').figure.showFrame(frame)", frame)
        expect(shown).to_have_attribute("data-frame", str(frame))
    times = page.evaluate(
        """() => { const f = document.querySelector('.figure').figure; const seen = [];
        for (let k = 0; k < f.motion.frames; k += 7) { f.seek(f.motion.timeOf(k)); seen.push([k, f.frame]); }
        return seen; }"""
    )
    assert all(asked == got for asked, got in times)


def test_pressing_play_again_and_again_plays_once(session_page):
    page = session_page
    figure(page)
    drawn = page.evaluate(
        """async () => { const f = document.querySelector('.figure').figure; f.showFrame(0);
        for (let n = 0; n < 5; n += 1) { f.play(); f.pause(); }
        f.play(); const before = f.drawn; let frames = 0;
        await new Promise((done) => { const count = () => (++frames < 20 ? requestAnimationFrame(count) : done());
            requestAnimationFrame(count); });
        const after = f.drawn; f.pause(); return after - before; }"""
    )
    assert 15 <= drawn <= 22


@pytest.mark.parametrize("view", ["Behind", "Front", "Above", "Open side"])
def test_views_are_one_key_away_and_say_what_they_are(session_page, view):
    page = session_page
    figure(page)
    press(page.get_by_role("button", name=view, exact=True))
    expect(page.get_by_role("button", name=view, exact=True)).to_have_attribute("aria-pressed", "true")


def test_picture_and_curve_stay_in_a_phones_width(session_page):
    page = session_page
    page.set_viewport_size(PHONE)
    figure(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_markers_of_unknown_names_are_matched_once(app, sign_in, tmp_path, check_accessible):
    app.shell(ATHLETE.format(given="Ottoline", family="Breakspear", id="OB-4"))
    first, second = tmp_path / "2026-03-03 take 1.c3d", tmp_path / "2026-03-03 take 2.c3d"
    first.write_bytes(renamed_bytes(STRANGE))
    second.write_bytes(renamed_bytes(STRANGE) + bytes(512))
    page = sign_in("coach")
    row = send(page, first)
    press(row.get_by_role("link", name="Match columns"))
    expect(page.get_by_label("rightElbowOuter")).to_have_value("R_EL")
    check_accessible(page)
    page.get_by_label("Name of the new setup").fill("Upstairs room")
    press(page.get_by_role("button", name="Keep and read"))
    answer_who_and_when(page, "Breakspear")
    press(page.get_by_role("button", name="Accept 1 session"))
    expect(page.locator(".lede")).to_have_text("It became 1 session.")
    row = send(page, second)
    expect(row).to_contain_text("Upstairs room")  # nobody was asked what its markers are
    expect(row.get_by_role("link", name="Match columns")).to_have_count(0)


def test_open_session_takes_its_files_as_they_come(app, sign_in, tmp_path):
    app.shell(ATHLETE.format(given="Peregrine", family="Halvorsen", id="PH-3"))
    page = sign_in("coach", "/roster/?q=Halvorsen")
    page.get_by_role("link", name=re.compile("Halvorsen")).first.click()
    press(page.get_by_role("link", name="Open a session"))
    press(page.get_by_role("button", name="Open", exact=True))
    page.wait_for_url("**/sessions/*/")
    path = tmp_path / "one.c3d"
    path.write_bytes(throw_bytes(number=41))
    page.locator("#recordings").set_input_files(path)
    expect(page.locator("#arrivals")).to_contain_text("1 file taken")
    expect(page.locator("#session table.first-look")).to_be_visible()
    press(page.get_by_role("button", name="Close the session"))
    expect(page.get_by_text("The session is closed")).to_be_visible()
