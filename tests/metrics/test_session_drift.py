"""Within a session: four numbers over its throws, first against last third."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from scipy import stats

from metrics.models import Finding
from metrics.services.scoring import rescore
from sessions.services.throws import exclude_throw
from tests import factories
from tests.metrics.test_session_page import address, page_of, queries_of

pytestmark = pytest.mark.django_db

KNEE, FORWARD, SIDE = "lead_knee_flexion_br", "trunk_forward_tilt_br", "trunk_lateral_tilt_br"
TIRING = [30.0, 31, 29, 30, 32, 30, 31, 29, 33, 32, 40.0, 41, 39, 42, 40]
STEADY = [25.0, 26, 24, 25, 27, 25, 26, 24, 25, 26, 24, 25, 26, 25, 24]


@pytest.fixture(autouse=True)
def profiles(facility, db):
    factories.starting_profiles()


def thrown(athlete, columns: dict[str, list[float | None]], *, speeds: list[float | None] | None = None, **changes):
    capture = factories.CaptureSessionFactory(athlete=athlete, **changes)
    count = len(next(iter(columns.values())))
    for place in range(count):
        values = {
            f"{key}@br": {"value": column[place]} if column[place] is not None else {"reason": "not_seen"}
            for key, column in columns.items()
        }
        speed = speeds[place] if speeds else None
        factories.ReadingFactory(
            throw=factories.ThrowFactory(session=capture, ball_speed_m_s=speed), values=values
        )  # fmt: skip
    rescore(capture)
    return capture


def followed(page) -> dict[str, object]:
    return {one.key: one for one in page.drift.followed}


def test_first_against_last_third_with_welchs_interval(athlete):
    """By hand: thirds of five throws; the interval by scipy.stats.ttest_ind with unequal variances."""
    page = page_of(thrown(athlete, {KNEE: TIRING, FORWARD: STEADY}))
    knee = followed(page)[KNEE].drift
    assert (knee.first, knee.last, knee.throws) == (pytest.approx(30.4), pytest.approx(40.4), 5)
    expected = stats.ttest_ind(TIRING[-5:], TIRING[:5], equal_var=False).confidence_interval(0.95)
    assert (knee.low, knee.high) == (pytest.approx(expected.low), pytest.approx(expected.high))
    assert followed(page)[KNEE].sentence == "First third 30.4°, last third 40.4°: +10.0° (+8.3° to +11.7°). It rose."
    assert followed(page)[FORWARD].sentence.endswith("No drift is shown.")
    assert page.drift.by_chance == "By chance alone about 0.10 of 2 numbers would seem to drift."


def test_fourteen_scored_throws_are_too_few(athlete):
    capture = thrown(athlete, {KNEE: TIRING[:14]})
    assert page_of(capture).drift is None


def test_a_throw_that_was_left_out_is_not_among_them_and_said(athlete, coach):
    capture = thrown(athlete, {KNEE: [*TIRING, 90.0, 35.0]})
    last_but_one, last = capture.throws.order_by("number")[15:]
    exclude_throw(throw=last_but_one, by=coach, reason="slipped")
    capture.throws.filter(pk=last.pk).update(pitch_type="curveball")
    rescore(capture)
    page = page_of(capture)
    assert followed(page)[KNEE].drift.last == pytest.approx(40.4)
    assert page.drift.numbers == tuple(range(1, 16))
    assert page.drift.left_out == "Left out: 1 excluded and 1 of other conditions."


def test_missing_values_are_counted_and_too_many_make_no_comparison(athlete):
    gaps = [None, *TIRING]
    page = page_of(thrown(athlete, {KNEE: gaps, SIDE: [None, None, *TIRING[:14]]}))
    assert followed(page)[KNEE].sentence.endswith("It rose. Not read in 1 throw.")
    assert followed(page)[SIDE].drift is None
    assert followed(page)[SIDE].sentence == "Read in 14 throws: 15 are needed to compare thirds."
    assert page.drift.table[0] == (1, ["", ""])


def test_what_was_never_read_has_no_picture(athlete):
    assert set(followed(page_of(thrown(athlete, {KNEE: TIRING})))) == {KNEE}
    assert page_of(thrown(athlete, {"elbow_flexion_br": TIRING}, setup="room 2")).drift is None


def test_ball_speed_is_in_the_readers_units(athlete):
    capture = thrown(athlete, {KNEE: TIRING}, speeds=[36.0] * 14 + [37.0])
    assert "80.53 mph" in followed(page_of(capture))["ball_speed"].sentence  # 36.0 m/s / 0.44704
    assert "129.60 km/h" in followed(page_of(capture, system="metric"))["ball_speed"].sentence  # 36.0 × 3.6


def test_hands_on_rounds_do_not_drift(athlete):
    capture = thrown(athlete, {KNEE: TIRING}, method="hands_on", setup="")
    assert page_of(capture).drift is None


def test_the_section_stands_with_pictures_numbers_and_the_csv(athlete, client_of, coach):
    capture = thrown(athlete, {KNEE: TIRING, FORWARD: STEADY}, speeds=[36.0] * 15)
    html = client_of(coach).get(address(capture)).content.decode()
    section = re.search(r'<section class="sec drift-part".*?</section>', html, re.DOTALL).group()
    assert section.count("<svg") == 3
    assert section.count("<tr>") == 16
    assert address(capture, "metrics:session-throws-csv") in section


def test_while_the_screen_is_turned_ball_speed_is_left_out(athlete):
    page = page_of(thrown(athlete, {KNEE: TIRING}, speeds=[36.0] * 15), for_visitor=True)
    assert set(followed(page)) == {KNEE}
    assert page.drift.by_chance.endswith("of 1 number would seem to drift.")
    only_speed = thrown(athlete, {"elbow_flexion_br": TIRING}, speeds=[36.0] * 15, setup="room 2")
    assert page_of(only_speed).drift is not None
    assert page_of(only_speed, for_visitor=True).drift is None


def test_markers_stand_before_a_table_and_it_takes_one_query(athlete, client_of, coach):
    capture = thrown(athlete, {KNEE: TIRING}, date=factories.DAY - dt.timedelta(days=3))
    client = client_of(coach)
    with_drift = queries_of(client, address(capture))
    first = capture.throws.order_by("number").first()
    factories.ReadingFactory(throw=first, source="markers", values={f"{KNEE}@br": {"value": 35.0}})
    assert followed(page_of(capture))[KNEE].drift.first == pytest.approx(31.4)
    exclude_throw(throw=first, by=coach, reason="slipped")
    rescore(capture)
    assert queries_of(client, address(capture)) == with_drift - 1
    assert Finding.objects.filter(session=capture, metric=KNEE).exists()
