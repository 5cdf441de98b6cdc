"""Two throws beside each other in a real browser: one key moves both, and a link brings the view back."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import Page, expect

from tests.flows.conftest import PHONE
from tests.flows.test_upload_to_finding import press

RECORDED = """
import json
from sessions.models import CaptureSession
found = CaptureSession.objects.filter(throws__recording__isnull=False).distinct().order_by("athlete__pk", "-date")
print(json.dumps([[str(one.athlete.uuid), str(one.uuid), one.athlete.name] for one in found]))
"""
STEP_MS = 1000 / 60


@pytest.fixture(scope="module")
def recorded(app) -> list[list[str]]:
    """[athlete, session, name] of every session of the demonstration that has recordings."""
    return json.loads(app.shell(RECORDED).strip().splitlines()[-1])


@pytest.fixture
def two_throws(sign_in, recorded) -> Page:
    """Two throws of one session beside each other."""
    page = sign_in("coach")
    athlete, session, _ = recorded[0]
    page.goto(f"/athletes/{athlete}/compare/?a={session}&b={session}")
    wait_for(page)
    return page


def wait_for(page: Page) -> None:
    expect(page.locator("[data-compare][data-step]")).to_be_visible()


def frames(page: Page) -> list[float]:
    return [float(one.get_attribute("data-frame")) for one in page.locator("[data-compare] [data-place]").all()]


def step(page: Page) -> float:
    return float(page.locator("[data-compare]").get_attribute("data-step"))


def test_an_arrow_moves_both_figures_by_one_frame(two_throws):
    page = two_throws
    before, at = frames(page), step(page)
    page.locator("[data-place='0'] canvas").focus()
    page.keyboard.press("ArrowRight")
    assert step(page) == at + 1
    assert frames(page) == pytest.approx([one + 1 for one in before], abs=0.011)
    page.locator("[data-place='1'] canvas").focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    assert frames(page) == pytest.approx([one - 1 for one in before], abs=0.011)


def test_both_stand_at_the_chosen_moment_between_frames_too(two_throws):
    """Each throw's own frame at step 0 is its event's time, to a hundredth of a frame."""
    page = two_throws
    for event in ("fp", "br"):
        page.get_by_label("From", exact=True).select_option(event)
        wanted = page.evaluate(
            """event => document.querySelector("[data-compare]").compare.motions.map((one) =>
            (one.events.find((each) => each.key === event).time_s - one.start_s) * one.rate_hz)""",
            event,
        )
        assert step(page) == 0
        assert frames(page) == pytest.approx(wanted, abs=0.011)


def test_shift_and_an_arrow_go_from_event_to_event_of_either_throw(two_throws):
    page = two_throws
    page.locator("[data-place='0'] canvas").focus()
    expect(page.locator(".figure-said")).to_contain_text("Both at foot plant")
    page.keyboard.press("Shift+ArrowLeft")
    expect(page.locator(".figure-said")).to_contain_text("foot contact")
    steps = page.evaluate("document.querySelector('[data-compare]').compare.clock.eventSteps")
    assert step(page) in steps
    press(page.get_by_role("button", name="Next event"), "Enter")
    assert step(page) == min(one for one in steps if one > -1)


def test_space_plays_both_and_stops_them(two_throws):
    page = two_throws
    page.get_by_label("Speed").select_option("0.5")
    before = frames(page)
    page.locator("[data-place='0'] canvas").focus()
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    page.wait_for_function(
        """before => [...document.querySelectorAll("[data-compare] [data-place]")].every((one, place) =>
        Number(one.dataset.frame) > before[place] + 2)""",
        arg=before,
    )
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    moved = [now - then for now, then in zip(frames(page), before, strict=True)]
    assert moved[0] == pytest.approx(moved[1], abs=0.011)


def test_whoever_asked_for_little_motion_sees_the_events_one_by_one(sign_in, recorded):
    page = sign_in("coach", reduced_motion="reduce")
    athlete, session, _ = recorded[0]
    page.goto(f"/athletes/{athlete}/compare/?a={session}&b={session}")
    wait_for(page)
    steps = page.evaluate("document.querySelector('[data-compare]').compare.clock.eventSteps")
    page.locator("[data-place='0'] canvas").focus()
    page.keyboard.press("Space")
    first = min(one for one in steps if one > 0)
    assert step(page) == first
    page.wait_for_function("first => document.querySelector('[data-compare]').dataset.step > first", arg=first)
    assert step(page) in steps


def test_a_link_brings_the_view_back(two_throws, sign_in):
    page = two_throws
    throws = page.get_by_label("Second throw")
    other = throws.locator("option:not(:checked)").last.get_attribute("value")
    throws.select_option(other)
    page.get_by_label("From", exact=True).select_option("br")
    page.get_by_label("Laid").select_option("over")
    page.get_by_label("Curve", exact=True).scroll_into_view_if_needed()
    page.get_by_label("Curve", exact=True).select_option("pelvis_rotation")
    expect(page.locator("[data-compare-curves][data-shown='pelvis_rotation']")).to_be_visible()
    shown = frames(page)

    again = sign_in("coach", page.url)
    wait_for(again)
    assert frames(again) == pytest.approx(shown, abs=0.011)
    expect(again.get_by_label("Second throw")).to_have_value(other)
    expect(again.locator("[data-compare]")).to_have_attribute("data-laid", "over")
    expect(again.get_by_label("From", exact=True)).to_have_value("br")
    expect(again.get_by_label("Curve", exact=True)).to_have_value("pelvis_rotation")
    assert again.locator("h1").inner_text() == page.locator("h1").inner_text()


def test_the_cursor_of_the_curves_goes_with_the_figures_and_a_press_on_a_curve_moves_them(two_throws):
    page = two_throws
    page.locator("[data-compare-curves]").scroll_into_view_if_needed()
    shown = page.locator("[data-compare-curves][data-shown]")
    expect(shown).to_be_visible()
    page.get_by_label("From", exact=True).select_option("br")
    release = page.evaluate("document.querySelector('[data-compare-curves]').curves.data.release_ms")
    expect(shown).to_have_attribute("data-cursor-ms", f"{release:.1f}")
    page.evaluate("document.querySelector('[data-compare-curves]').curves.seek(0)")  # as a press on its point does
    expect(page.locator(".figure-said")).to_contain_text("foot contact")
    assert float(shown.get_attribute("data-cursor-ms")) == pytest.approx(0, abs=STEP_MS / 2)


def test_an_address_that_names_nothing_names_everything_once_it_is_open(sign_in, recorded):
    page = sign_in("coach", f"/athletes/{recorded[0][0]}/compare/")
    expect(page.get_by_role("heading", name=re.compile("Compare"))).to_be_visible()
    page.wait_for_function("new URLSearchParams(location.search).has('a') && location.search.includes('b=')")


def hips(page: Page) -> list[list[float]]:
    """Of the middle of the hips of both, metres, as they are drawn."""
    return page.evaluate(
        """() => { const { pair, clock, step } = document.querySelector("[data-compare]").compare;
        return pair.map((one, place) => one.at(clock.frameOf(place, step), one.points.indexOf("mid_hips"))); }"""
    )


def test_laid_over_each_other_the_pelvises_meet_at_every_step_and_lengths_go_by_height(sign_in, recorded):
    page = sign_in("coach")
    athlete, session, _ = recorded[0]
    _, theirs, name = next(one for one in recorded if one[0] != athlete)
    page.goto(f"/athletes/{athlete}/compare/?a={session}&b={theirs}&laid=over")
    wait_for(page)
    expect(page.locator(".lede")).to_contain_text("Two people")
    expect(page.locator("h1")).to_contain_text(name)
    for event in ("fp", "mer", "br"):
        page.get_by_label("From", exact=True).select_option(event)
        first, second = hips(page)
        assert first == pytest.approx(second, abs=1e-9)
    heights = [float(one.get_attribute("data-height-cm")) for one in page.locator("[data-place]").all()]
    scale = page.evaluate("document.querySelector('[data-compare]').compare.pair[0].scale")
    assert scale == pytest.approx(heights[1] / heights[0], rel=1e-9)


def test_a_left_hander_beside_a_right_hander_is_mirrored(two_throws):
    """The same throw once as it is and once told to be mirrored: across goes the other way, nothing else does."""
    plain, mirrored = two_throws.evaluate(
        """async () => { const { Placed } = await import(document.querySelector('script[src*="compare-figures"]').src
            .replace("compare-figures", "compare-motion"));
        const motion = document.querySelector("[data-compare]").compare.motions[0];
        return [false, true].map((isMirrored) => new Placed(motion, { isMirrored }).at(20.5, 5)); }"""
    )
    assert mirrored == pytest.approx([plain[0], -plain[1], plain[2]], abs=1e-9)


def test_the_page_is_readable_by_everybody_and_fits_a_phone(two_throws, check_accessible):
    page = two_throws
    page.evaluate("for (const one of document.querySelectorAll('main details')) one.open = true")
    check_accessible(page)
    page.set_viewport_size(PHONE)
    page.get_by_label("Laid").select_option("over")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_one_way_from_a_session_to_the_comparison(sign_in, recorded):
    page = sign_in("coach", f"/sessions/{recorded[0][1]}/")
    press(page.get_by_role("link", name="Compare with last time"))
    page.wait_for_url("**/compare/**")
    assert recorded[0][1] in page.url
    expect(page.get_by_role("heading", name="How each was measured")).to_be_visible()
