"""Two sessions beside each other: the page, the band of their curves, and two throws that move in a real browser."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import sync_playwright

from bench.bench_pages import get, queries_of, signed_in
from bench.people import add_athletes, fresh_database
from bench.ratios import Limit, median_ms
from bench.sessions import copy_findings, full_session
from metrics.change.bands import difference_band
from sessions.models import CaptureSession
from tests.flows.application import Application
from tests.flows.conftest import CHROMIUM_FLAGS, demo_accounts, find_chromium

HISTORY, DAYS_BETWEEN, THROWS = 150, 7, 30
PAGE_MS, BAND_MS = 150.0, 100.0
MOST_QUERIES = 20
FRAME_MS = 20.0  # fifty frames a second
POINTS = 400
PLAYED_MS = 5000
RECORDED = """
import json
from sessions.models import CaptureSession
one = CaptureSession.objects.filter(throws__recording__isnull=False).first()
print(json.dumps([str(one.athlete.uuid), str(one.uuid)]))
"""


def measure() -> Iterator[Limit]:
    with override_settings(ROOT_URLCONF="bench.urls"):
        yield from page()
    chance = np.random.default_rng(1)
    bundles = chance.normal(size=(2, THROWS, POINTS))
    name = f"band of the difference, {THROWS} and {THROWS} throws"
    yield Limit(name, median_ms(lambda: difference_band(*bundles)), BAND_MS, "ms")
    yield from moving()


def page() -> Iterator[Limit]:
    """Two long sessions with everything measured, the athlete's years behind them."""
    coach = fresh_database()
    (athlete,) = add_athletes(1, coach=coach)
    today = timezone.localdate()
    first = full_session(athlete, today - dt.timedelta(days=DAYS_BETWEEN), throws=THROWS)
    CaptureSession.objects.bulk_create(
        CaptureSession(
            athlete=athlete,
            date=today - dt.timedelta(days=DAYS_BETWEEN * back),
            method="motion_capture",
            throwing_side="right",
            landing="fc",
        )
        for back in range(2, HISTORY)
    )
    copy_findings(first)
    full_session(athlete, today, throws=THROWS)
    client, url = signed_in(coach), reverse("metrics:compare", args=[athlete.uuid])
    name = f"compare, {THROWS} throws each, {HISTORY} sessions"
    yield Limit(name, median_ms(lambda: get(client, url)), PAGE_MS, "ms")
    yield Limit(name, queries_of(client, url), MOST_QUERIES, "queries")


def moving() -> Iterator[Limit]:
    """Two throws that play in headless Chromium, by its own animation frames; nothing where there is no Chromium."""
    path = find_chromium()
    if path is None:
        print("No Chromium on this machine: frames were not counted.")
        return
    with tempfile.TemporaryDirectory(prefix="moundbook-bench-") as folder:
        app = Application(var_dir=Path(folder) / "var", accounts=demo_accounts())
        try:
            app.start("--size", "tiny")
            for laid, frame_ms in frames_of(app, path):
                yield Limit(f"two throws moving, laid {laid}, a frame", frame_ms, FRAME_MS, "ms")
        finally:
            app.stop()


def frames_of(app: Application, chromium: str) -> Iterator[tuple[str, float]]:
    athlete, session = json.loads(app.shell(RECORDED).splitlines()[-1])
    name, password = app.accounts["coach"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, headless=True, args=list(CHROMIUM_FLAGS))
        page = browser.new_context(base_url=app.address, viewport={"width": 1280, "height": 900}).new_page()
        page.goto("/sign-in/")
        page.locator("input[name=username]").fill(name)
        page.locator("input[name=password]").fill(password)
        page.locator("form:has(input[name=password]) button").click()
        page.wait_for_url(lambda url: "/sign-in/" not in url)
        page.goto(f"/athletes/{athlete}/compare/?a={session}&b={session}")
        page.locator("[data-compare][data-step]").wait_for()
        page.get_by_label("Speed").select_option("0.25")
        for laid in ("side", "over"):
            page.get_by_label("Laid").select_option(laid)
            widget = "document.querySelector('[data-compare]').compare"
            page.evaluate(f"{widget}.show({widget}.clock.first); {widget}.play()")
            page.wait_for_timeout(PLAYED_MS)
            yield laid, 1000.0 / page.evaluate(f"{widget}.framesASecond")
            page.evaluate(f"{widget}.pause()")
        browser.close()
