"""The family's pages as they are read: on a phone, at a desk, in the dark, without a script, and on paper."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.flows.conftest import DESK, PHONE

MARGINS = dict.fromkeys(("top", "right", "bottom", "left"), "12mm")  # what a home printer leaves white
PASSWORD = "a-long-walk-to-the-bullpen"
# The longest headline, sentence and summary that the page of sharing takes, three points of each kind.
FAMILY = """
import datetime as dt
from django.utils import timezone
from athletes.models import Guardianship, User, ViewLog
from athletes.services.consent import record_consent
from athletes.services.people import create_athlete
from athletes.today import facility_today
from metrics.models import Share
from metrics.sharing import Before, SharedContent, Strip
from sessions.models import CaptureSession
from tests.factories.shares import shared_point
today = facility_today()
coach = User.objects.get(username="coach")
parent = User.objects.create_user("{name}", password="{password}", role="guardian", first_name="Oddny")
child = create_athlete(given_name="Torvald", family_name="{name}", birth_date=today - dt.timedelta(days=14 * 366),
    throws="left", level="youth", level_from=today - dt.timedelta(days=400), by=coach, height_cm=162.0, mass_kg=50.0,
    measured_on=today - dt.timedelta(days=20), responsible_coach=coach)
Guardianship.objects.create(guardian=parent, athlete=child, relation="mother")
record_consent(athlete=child, given_by_name="Oddny", relation="mother", given_on=today, by=coach)
capture = CaptureSession.objects.create(athlete=child, date=today - dt.timedelta(days=3), method="motion_capture")
words = "Your front foot lands a little short of where your long legs could put it, we think. "
head, sentence, summary = words[:90].strip(), (words * 4)[:300].strip(), (words * 24)[:2000].strip()
day = capture.date - dt.timedelta(days=40)
def point(key, **more):
    told = dict(headline=head, sentence=sentence, before=Before(60.0, day, "flag", "low", True))
    return shared_point(key, **{{**told, **more}})
off = Strip(141.0, 2.0, 70.0, 85.0, 65.0, 95.0)
work = (point("a"), point("b", zone="watch", side="high", sure="sure"), point("c", side="high", strip=off))
good = dict(kind="good", zone="in_range", side="", strip=Strip(77.0, 2.0, 70.0, 85.0, 65.0, 95.0))
better = (point("d", **good), point("e", sure="sure", **good), point("f", sure="cant_tell", **good))
for days in (0, 30):
    share = Share.objects.create(session=capture, athlete=child, shared_by=coach, summary=summary,
        shared_at=timezone.now() - dt.timedelta(days=days), look_again_on=today + dt.timedelta(days=20),
        findings_digest="0" * 64, content=SharedContent(work, better, capture.date, capture.method).to_json())
ViewLog.objects.bulk_create(ViewLog(when=timezone.now(), who=coach.uuid, role="coach", athlete_uuid=child.uuid,
    what=f"page {{number}} with quite a long name in the log") for number in range(60))
print(child.uuid, share.uuid)
"""


@pytest.fixture
def family(app, open_page) -> Callable[..., tuple[Page, str, str]]:
    """`family("rask-one", size=PHONE)`: a guardian who is signed in, the child's uuid, that of an earlier share."""

    def make(name: str, **options: object) -> tuple[Page, str, str]:
        child, share = app.shell(FAMILY.format(name=name, password=PASSWORD)).split()
        page = open_page(**options)
        page.goto("/sign-in/")
        page.locator("input[name=username]").fill(name)
        page.locator("input[name=password]").fill(PASSWORD)
        page.locator("input[name=password]").press("Enter")
        page.wait_for_url("**/")
        return page, child, share

    return make


@pytest.mark.parametrize("look", ["light", "dark"])
def test_every_page_in_its_fullest_state_can_be_read_by_everybody(family, check_accessible, look):
    page, child, share = family(f"rask-{look}", size=PHONE, color_scheme=look)
    for address in (f"/mine/{child}/", f"/shared/{share}/", f"/mine/{child}/looks/", f"/mine/{child}/looks/?page=2"):
        page.goto(address)
        check_accessible(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], address
        for target in page.locator("main button, main a, main input:not([type=hidden])").all():
            assert (target.bounding_box() or {})["height"] >= 44, target.evaluate("it => it.outerHTML")


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_the_family_report_stands_on_two_sheets_at_most_and_has_no_buttons(family, paper):
    page, child, _ = family(f"rask-{paper.lower()}", size=DESK)
    page.goto(f"/mine/{child}/")
    sheets = len(re.findall(rb"/Type\s*/Page[^s]", page.pdf(format=paper, margin=MARGINS)))
    assert 1 <= sheets <= 2
    page.emulate_media(media="print")
    for gone in page.locator("button, .btn, input").all():
        assert not gone.is_visible(), gone.evaluate("it => it.outerHTML")
    expect(page.get_by_text("Torvald rask-", exact=False).first).to_be_visible()
    assert page.locator(".thing:visible").count() == 6


def test_a_phone_without_a_script_answers_how_the_child_feels(family):
    page, child, _ = family("rask-plain", size=PHONE, java_script_enabled=False)
    page.goto(f"/mine/{child}/")
    page.get_by_role("button", name="fine").click()
    expect(page).to_have_url(re.compile(f"/mine/{child}/$"))
    expect(page.get_by_role("button", name="fine")).to_have_attribute("aria-pressed", "true")
    page.get_by_role("link", name="pain", exact=True).click()
    expect(page.get_by_role("heading", name="Report pain")).to_be_visible()


LIMITS = """
import datetime as dt
from athletes.models import Athlete, Availability
from athletes.today import facility_today
from django.utils import timezone
from plans.models import ThrowCount
child, today = Athlete.objects.get(uuid="{child}"), facility_today()
Availability.objects.update_or_create(athlete=child, valid_from=today, defaults=dict(state="return_to_throw",
    limits="stage 3 of 6, at most 40 easy throws on flat ground"))
ThrowCount.objects.create(athlete=child, date=today - dt.timedelta(days=1), pitches=70, entered_at=timezone.now())
"""


def test_limits_and_rest_are_read_one_under_the_other_on_a_phone(app, family):
    page, child, _ = family("rask-limits", size=PHONE)
    app.shell(LIMITS.format(child=child))
    page.goto(f"/mine/{child}/")
    head = page.locator(".can")
    expect(head).to_contain_text("Rest from pitching today")
    parts = [head, *head.locator("b, span").all()]
    assert len(parts) == 4
    assert len({(part.bounding_box() or {})["x"] for part in parts}) == 1
