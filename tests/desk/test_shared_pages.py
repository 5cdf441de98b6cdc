"""What was shared, and only that: on the progress page, on pages of its own, and for a visiting coach."""

from __future__ import annotations

import datetime as dt
from uuid import uuid4

import pytest
from django.utils.html import strip_tags

from athletes.models import Athlete, ViewLog
from athletes.services.consent import record_consent
from metrics.models import Finding
from metrics.services.sharing import restore_share, take_back_share
from metrics.sharing import Strip
from sessions.services.captures import withdraw_session
from sessions.services.moving import move_session
from tests import factories
from tests.conftest import CAST
from tests.desk.families import better_point, shared, three_points, withdraw_every_consent, work_point
from tests.desk.people import ago
from tests.factories import DAY, NOON

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

READ = dict.fromkeys(("admin", "coach", "visiting_coach", "athlete_user", "guardian"), 200) | {"clinician": 403}
OWN = dict.fromkeys(("admin", "coach", "athlete_user", "guardian"), 200)
FAMILY = ("athlete_user", "guardian")


def text_of(answer) -> str:
    body = answer.content.decode().split("<main", 1)[1].split("</main>")[0]
    return " ".join(strip_tags("<main" + body.replace("</", " </")).split())


@pytest.fixture
def mine(client_of):
    return lambda user, athlete: text_of(client_of(user).get(f"/mine/{athlete.uuid}/"))


@pytest.fixture
def share(athlete):
    return shared(athlete, look_again_on=ago(-21), summary="We go on to your step.")


# ---- who reads it ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CAST)
def test_who_may_read_a_share(name, cast, client_of):
    share = shared(cast.athlete)
    assert client_of(cast[name]).get(f"/shared/{share.uuid}/").status_code == READ.get(name, 404)


@pytest.mark.parametrize("name", ["other_athlete_user", "stranger", "guardian", "visiting_coach"])
def test_somebody_elses_share_and_a_missing_one_get_the_same_answer(name, cast, client_of):
    theirs = cast.athlete if name == "other_athlete_user" else cast.other_athlete
    share, client = shared(theirs), client_of(cast[name])
    found, missing = client.get(f"/shared/{share.uuid}/"), client.get(f"/shared/{uuid4()}/")
    assert found.status_code == missing.status_code == 404
    assert found.content == missing.content


def test_every_look_at_a_share_by_somebody_else_is_noted(cast, client_of):
    share = shared(cast.athlete)
    for name in READ:
        client_of(cast[name]).get(f"/shared/{share.uuid}/")
    noted = set(ViewLog.objects.filter(athlete_uuid=cast.athlete.uuid).values_list("who", "what"))
    lookers = set(READ) - {"athlete_user", "clinician"}
    assert noted == {(cast[name].uuid, "what was shared") for name in lookers}


# ---- what it says ---------------------------------------------------------------------------------------


def test_the_family_reads_who_shared_what_and_when(share, athlete, athlete_user, guardian, mine):
    own, parents = mine(athlete_user, athlete), mine(guardian, athlete)
    assert "What your coach, Ngaire Abaza, shared with you on 14 April." in own
    assert "What the coach, Ngaire Abaza, shared about Ikaika on 14 April." in parents
    for text in (own, parents):
        assert "We go on to your step." in text
        assert "Got better Your front leg" in text
        assert "Three things to work on first Your step is short" in text
        assert text.index("first Your step") < text.index("then Your elbow") < text.index("last Your front knee")
        assert "Next time we look Tuesday 5 May" in text
        assert "Measured on 12 April 2026 (motion capture)." in text
    assert "These words speak to Ikaika." in parents
    assert "These words speak" not in own


@pytest.mark.parametrize(
    ("points", "head"),
    [
        (("stride_length",), "One thing to work on Your step is short"),
        (("stride_length", "elbow_flexion_fp"), "Two things to work on first Your step"),
    ],
)
def test_the_head_counts_the_things(points, head, athlete, athlete_user, mine):
    shared(athlete, points=tuple(map(work_point, points)), better=())
    text = mine(athlete_user, athlete)
    assert head in text
    assert "Got better" not in text


def test_a_picture_has_words_at_its_ends_and_says_its_verdict_without_colour(share, athlete, athlete_user, client_of):
    page = client_of(athlete_user).get(f"/mine/{athlete.uuid}/").content.decode()
    ends = "<span>too short</span><span>good length</span><span>too long</span>"
    assert ends in page
    assert "<b>too short,</b> <i>flag low, likely, about 8 in 10</i>" in page
    name = "Your step is short. A line from “too short” over “good length” to “too long”. The mark stands past the end"
    assert name in page


def test_a_real_change_has_its_arrow_and_any_other_says_that_it_cannot_be_told(athlete, athlete_user, client_of):
    shared(athlete, points=(work_point("stride_length"),), better=(better_point(),))
    page = client_of(athlete_user).get(f"/mine/{athlete.uuid}/").content.decode()
    better, work = page.split("Got better")[1].split("One thing to work on")
    assert 'class="pv"' in better
    assert "is where you were on 5 March. The change is real." in better
    assert 'class="pv"' not in work
    assert "We can’t tell a real change since 14 April yet." in work


def test_numbers_that_the_coach_left_out_stand_nowhere_not_even_in_the_name_of_the_picture(
    athlete, athlete_user, client_of
):
    """The value lies off the strip, where other pages write it beside the picture."""
    off = Strip(141.7, 2.0, 70.0, 85.0, 65.0, 95.0)
    shared(athlete, points=(work_point("stride_length", "high", value_words="", good_words="", strip=off),), better=())
    page = client_of(athlete_user).get(f"/mine/{athlete.uuid}/").content.decode()
    picture = page.split("One thing to work on")[1].split("How to read")[0]
    for number in ("141", "142", "70", "85"):
        assert number not in strip_tags(picture)
        assert all(number not in name.split('"')[0] for name in picture.split('aria-label="')[1:])


def test_a_coach_sees_what_the_family_sees_but_not_who_looked(share, athlete, coach, guardian, mine, client_of):
    client_of(guardian).get(f"/mine/{athlete.uuid}/")
    text = mine(coach, athlete)
    assert "This is what the family sees." in text
    assert "Your step is short" in text
    assert str(guardian) not in text
    assert "The family reads here who looked" in text


def test_a_damaged_snapshot_takes_nothing_else_from_the_page(share, athlete, athlete_user, mine):
    type(share).objects.filter(pk=share.pk).update(content={"points": "gone"})
    text = mine(athlete_user, athlete)
    assert "The pictures cannot be shown just now." in text
    assert "We go on to your step." in text
    assert "Report pain" in text


# ---- before, after, and taken back ----------------------------------------------------------------------


@pytest.mark.parametrize("name", FAMILY)
def test_nothing_of_a_session_stands_anywhere_before_it_is_shared(name, cast, client_of):
    athlete = cast.athlete
    session = factories.CaptureSessionFactory(athlete=athlete, date=ago(2))
    factories.FindingFactory(session=session, flag=True, mean=78.43)
    for address in (f"/mine/{athlete.uuid}/", f"/athletes/{athlete.uuid}/", "/"):
        page = client_of(cast[name]).get(address).content.decode()
        assert "78.4" not in page
        assert "<svg" not in page.split("<main", 1)[1]
        assert str(session.uuid) not in page
        assert "We measured" in page


def test_a_session_measured_since_waits_in_words_and_one_before_is_passed_over(athlete, athlete_user, mine):
    shared(athlete, days=10)
    factories.CaptureSessionFactory(athlete=athlete, date=ago(20), method="video")
    assert "We measured" not in mine(athlete_user, athlete)
    factories.CaptureSessionFactory(athlete=athlete, date=ago(1), method="video")
    text = mine(athlete_user, athlete)
    assert "We measured you on 13 April (video). Ngaire Abaza, your coach, will tell you what it means." in text
    assert "25 March" not in text


def test_a_share_that_is_taken_back_is_gone_everywhere_and_comes_back(share, athlete, coach, cast, client_of, mine):
    take_back_share(share=share, by=coach)
    for name in CAST:
        assert client_of(cast[name]).get(f"/shared/{share.uuid}/").status_code == 404
    text = mine(cast["athlete_user"], athlete)
    assert "Your step is short" not in text
    assert "We measured you on 12 April" in text
    restore_share(share=share, by=coach)
    assert "Your step is short" in mine(cast["athlete_user"], athlete)


def test_a_session_that_turns_out_to_be_somebody_elses_takes_its_share_along(
    share, athlete, other_athlete, coach, cast, client_of, mine
):
    move_session(capture=share.session, to=other_athlete, by=coach)
    for name in (*FAMILY, "visiting_coach", "other_athlete_user"):
        assert client_of(cast[name]).get(f"/shared/{share.uuid}/").status_code == 404
    assert "Your step is short" not in mine(cast["athlete_user"], athlete)
    assert "Your step is short" not in mine(cast["other_athlete_user"], other_athlete)


def test_a_withdrawn_session_takes_its_share_along(share, athlete, athlete_user, coach, mine):
    withdraw_session(capture=share.session, by=coach, reason="wrong file")
    assert "Your step is short" not in mine(athlete_user, athlete)


def test_while_consent_is_withdrawn_nothing_measured_stands_here_for_anybody(share, athlete, cast, client_of, mine):
    withdraw_every_consent(athlete, cast["guardian"])
    for name in OWN:
        text = mine(cast[name], Athlete.objects.get(pk=athlete.pk))
        for hidden in ("Your step is short", "We go on to your step", "We measured", "5 May"):
            assert hidden not in text
        assert "What we measured is locked away" in text
        assert "Report pain" in text
    for name in (*FAMILY, "visiting_coach", "coach"):
        assert client_of(cast[name]).get(f"/shared/{share.uuid}/").status_code == 404
    record_consent(athlete=athlete, given_by_name="Ana", relation="mother", given_on=DAY, by=cast["coach"])
    assert "Your step is short" in mine(cast["athlete_user"], athlete)


def test_a_later_scoring_changes_not_one_byte_of_what_was_shared(share, athlete, athlete_user, client_of):
    finding = factories.FindingFactory(session=share.session, metric="stride_length", flag=True)
    own, alone = f"/mine/{athlete.uuid}/", f"/shared/{share.uuid}/"

    def seen(address: str) -> str:
        page = client_of(athlete_user).get(address).content.decode()
        return page.split("What your coach says")[1].split("Height and weight")[0].split("</main>")[0]

    before = seen(own), seen(alone)
    Finding.objects.filter(pk=finding.pk).update(zone="in_range", side="", mean=99.0)
    factories.ScoringFactory(session=share.session, throws=9, scored_throws=9)
    assert (seen(own), seen(alone)) == before


def test_earlier_shares_stand_each_on_its_own_page(athlete, athlete_user, client_of, mine):
    first = shared(athlete, days=60, at=NOON - dt.timedelta(days=58), summary="The first time.")
    shared(athlete, summary="The second time.")
    page = client_of(athlete_user).get(f"/mine/{athlete.uuid}/").content.decode()
    assert "The second time." in page
    assert "The first time." not in page
    assert f'href="/shared/{first.uuid}/"' in page
    text = text_of(client_of(athlete_user).get(f"/shared/{first.uuid}/"))
    assert "The first time." in text
    assert "It stands here as it was said then." in text
    assert "The second time." not in text


# ---- the visiting coach ---------------------------------------------------------------------------------


def test_a_visiting_coach_goes_from_the_group_to_the_word_and_to_what_was_shared(
    share, athlete, visiting_coach, client_of
):
    client = client_of(visiting_coach)
    assert f'href="/athletes/{athlete.uuid}/"' in client.get("/").content.decode()
    page = client.get(f"/athletes/{athlete.uuid}/").content.decode()
    assert f'href="/shared/{share.uuid}/"' in page
    assert "Your step is short" in client.get(f"/shared/{share.uuid}/").content.decode()


def test_a_visiting_coach_reads_no_pain_no_body_size_no_feeling_and_not_who_looked(
    share, athlete, guardian, visiting_coach, client_of
):
    factories.PainReportFactory(athlete=athlete, where="left elbow")
    factories.CheckInFactory(athlete=athlete, feeling="sore", words="forearm")
    client_of(guardian).get(f"/mine/{athlete.uuid}/")
    client = client_of(visiting_coach)
    for address in ("/", f"/athletes/{athlete.uuid}/", f"/shared/{share.uuid}/"):
        text = text_of(client.get(address))
        for hidden in ("left elbow", "Pain", "forearm", "sore", "6′1″", "176 lb", str(guardian)):
            assert hidden not in text, address
    assert "stopped" in text_of(client.get(f"/athletes/{athlete.uuid}/"))


def test_before_anything_is_shared_a_visiting_coach_is_told_so(athlete, visiting_coach, client_of):
    assert "Nothing yet." in text_of(client_of(visiting_coach).get(f"/athletes/{athlete.uuid}/"))


def test_words_of_a_coach_are_text_and_nothing_else(athlete, athlete_user, client_of):
    attack = "<script>alert(1)</script>"
    point = work_point("stride_length", headline=attack, sentence=attack, ends=(attack,) * 3, value_words=attack)
    share = shared(athlete, summary=attack, points=(point, *three_points()[1:]))
    for address in (f"/mine/{athlete.uuid}/", f"/shared/{share.uuid}/"):
        assert attack not in client_of(athlete_user).get(address).content.decode()
