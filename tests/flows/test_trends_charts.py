"""Trends in a real browser: from small to large, to the numbers, to the chart with zoom, through the flag history."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.flows.conftest import PHONE

MOST_SESSIONS = """
from django.db.models import Count
from athletes.models import Athlete
found = Athlete.objects.filter(capture_sessions__method="motion_capture").annotate(n=Count("capture_sessions"))
print(found.order_by("-n").first().uuid)
"""
HALF_DISC = re.compile(r"^M-6,-?3A6,6 0 0 [01] 6,-?3Z$")


@pytest.fixture
def address(app) -> str:
    return f"/athletes/{app.shell(MOST_SESSIONS).strip().splitlines()[-1]}/trends/"


@pytest.fixture
def trends(sign_in, address) -> Page:
    return sign_in("coach", address)


def test_a_small_chart_opens_large_with_its_four_answers_and_its_numbers(trends):
    small = trends.locator(".smalls > li").nth(2)
    name = small.locator("b").first.inner_text()
    small.get_by_role("link", name=f"Numbers of {name}").click()
    expect(trends.locator("#opened-title")).to_have_text(name)
    expect(trends.locator(".answers dt")).to_have_text(
        ["In range?", "Really changing?", "Athlete or range?", "Flag history"]
    )
    expect(trends.locator("#numbers tbody tr").first).to_be_visible()
    assert trends.locator("#numbers tbody tr").count() == trends.locator(".on-desk .large-trend g[transform]").count()


def test_the_large_chart_zooms_by_keys_and_comes_back_without_a_complaint(trends):
    assert trends.evaluate("typeof window.Plotly") == "undefined"
    trends.get_by_role("button", name="Pan and zoom").press("Enter")
    plot = trends.locator(".trend-plot")
    expect(plot.locator(".main-svg").first).to_be_visible()
    expect(plot).to_be_focused()
    expect(trends.locator(".trend-still")).to_be_hidden()

    def days() -> list[str]:
        return trends.evaluate("document.querySelector('.trend-plot').layout.xaxis.range")

    first = days()
    plot.press("+")
    trends.wait_for_function(
        "first => document.querySelector('.trend-plot').layout.xaxis.range[0] !== first", arg=first[0]
    )
    assert first[0] < days()[0] < days()[1] < first[1]
    plot.press("0")
    trends.wait_for_function(
        "first => document.querySelector('.trend-plot').layout.xaxis.range[0] === first", arg=first[0]
    )
    trends.get_by_role("button", name="Pan and zoom").click()
    expect(trends.locator(".trend-still")).to_be_visible()


def test_watch_keeps_its_half_disc_in_the_chart_with_zoom(trends, address):
    trends.goto(f"{address}?all=1")
    trends.locator(".smalls li:has(.k-watch) a").first.click()
    trends.get_by_role("button", name="Pan and zoom").click()
    expect(trends.locator(".trend-plot .point").first).to_be_visible()
    drawn = trends.locator(".trend-plot path.point").evaluate_all("all => all.map(one => one.getAttribute('d'))")
    wanted = trends.evaluate(
        "JSON.parse(document.getElementById('trend-data').textContent).points.filter(p => p.zone === 'watch').length"
    )
    assert wanted > 0
    assert sum(bool(HALF_DISC.match(d)) for d in drawn) == wanted


def test_the_flag_history_is_one_stop_and_is_walked_by_arrows(trends):
    history = trends.locator(".flag-history")
    expect(history.locator("td a[tabindex='0']")).to_have_count(1)
    history.locator("td a[tabindex='0']").focus()
    said = trends.locator(".history-said")
    expect(said).to_contain_text(re.compile(r"\d{4}: "))
    at_first = said.inner_text()
    trends.keyboard.press("ArrowDown")
    expect(said).not_to_have_text(at_first)
    trends.keyboard.press("Home")
    expect(history.locator("td a[tabindex='0']")).to_have_count(1)
    named = history.locator("td a[tabindex='0']").get_attribute("href")
    trends.keyboard.press("Enter")
    trends.wait_for_url(f"**{named}")


def test_on_a_phone_nothing_runs_out_of_the_page_and_the_latest_session_is_in_sight(sign_in, address, check_accessible):
    page = sign_in("coach", address, size=PHONE)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    expect(page.locator(".on-phone .large-trend")).to_be_visible()
    expect(page.locator(".on-desk .large-trend")).to_be_hidden()
    latest = page.locator(".flag-history thead .now")
    latest.scroll_into_view_if_needed()
    box = latest.bounding_box()
    assert box is not None
    assert box["x"] >= 124
    assert box["x"] + box["width"] <= PHONE["width"]
    check_accessible(page)


def test_on_paper_the_still_chart_stands_in_place_of_the_one_with_zoom(trends):
    trends.get_by_role("button", name="Pan and zoom").click()
    expect(trends.locator(".trend-plot .main-svg").first).to_be_visible()
    trends.emulate_media(media="print")
    expect(trends.locator(".on-desk .large-trend")).to_be_visible()
    expect(trends.locator(".trend-plot")).to_be_hidden()
    expect(trends.locator(".trend-bar")).to_be_hidden()
