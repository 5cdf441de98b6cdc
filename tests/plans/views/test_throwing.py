"""The page of throwing load: who reads it, what it takes, and what it never tells."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.models import ViewLog
from athletes.services.care import report_pain
from athletes.services.consent import withdraw_consent
from plans.models import ThrowCount
from tests.conftest import athlete  # noqa: F401 - tied to the whole cast, unlike that of the room
from tests.factories import DAY, AvailabilityFactory
from tests.factories.plans import ThrowCountFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

ONE_DAY = dt.timedelta(days=1)
READERS = ["admin", "coach", "clinician", "visiting_coach", "athlete_user", "guardian"]


@pytest.fixture
def address(cast):
    return f"/athletes/{cast.athlete.uuid}/throwing/"


@pytest.fixture
def read(client_of, cast, address):
    return lambda name, more="": client_of(cast[name]).get(address + more)


@pytest.fixture
def enter(client_of, cast, address):
    def post(name="guardian", more="", **data):
        told = {"date": str(DAY), "what": "game", "pitches": "45", **data}
        return client_of(cast[name]).post(address + more, told)

    return post


def text_of(answer) -> str:
    return answer.content.decode()


@pytest.mark.parametrize("name", READERS)
def test_everybody_tied_reads_it_and_enters_throws(read, enter, name, cast):
    assert read(name).status_code == 200
    assert enter(name).status_code == 302
    assert ThrowCount.objects.get().entered_by == cast[name]
    assert "45 pitches today" in text_of(read(name))


@pytest.mark.parametrize("name", ["other_athlete_user", "stranger"])
def test_a_stranger_gets_404(read, enter, name):
    assert (read(name).status_code, enter(name).status_code) == (404, 404)
    assert not ThrowCount.objects.exists()


def test_the_guardian_of_an_athlete_of_age_is_a_stranger(read, cast):
    cast.athlete.birth_date = dt.date(2008, 4, 15)
    cast.athlete.save()
    assert read("guardian").status_code == 200
    cast.athlete.birth_date = dt.date(2008, 4, 14)
    cast.athlete.save()
    assert read("guardian").status_code == 404
    assert read("athlete_user").status_code == 200


def test_a_visiting_coach_learns_neither_why_somebody_is_stopped_nor_their_limits_nor_who_entered(read, cast):
    cast["guardian"].first_name, cast["guardian"].last_name = "Marguerite", "Thistle"
    cast["guardian"].save()
    ThrowCountFactory(athlete=cast.athlete, entered_by=cast["guardian"])
    AvailabilityFactory(athlete=cast.athlete, valid_from=DAY, state="limited", limits="bandicoot throws")
    report_pain(athlete=cast.athlete, where="wombat side", by=cast["coach"])
    text = text_of(read("visiting_coach"))
    assert "closed until throwing is cleared" in text
    for secret in ("bandicoot", "wombat", "Marguerite", "Thistle", f"{cast.athlete.birth_date}"):
        assert secret not in text, secret


def test_names_of_others_stand_on_nobodys_page_of_the_family(read, cast):
    ThrowCountFactory(athlete=cast.athlete, entered_by=cast["coach"])
    for name in ("athlete_user", "guardian"):
        assert str(cast["coach"]) not in text_of(read(name)), name


def test_an_entry_is_undone_with_one_press_and_comes_back_with_another(enter, read, cast, client_of):
    text = text_of(client_of(cast["guardian"]).get(enter()["Location"]))
    count = ThrowCount.objects.get()
    assert enter(more=f"{count.uuid}/withdraw/").status_code == 302
    assert not ThrowCount.objects.exists()
    assert enter(more=f"{count.uuid}/restore/").status_code == 302
    assert ThrowCount.objects.get() == count
    assert "Game, 45 pitches" in text


def test_the_notice_offers_the_undo(client_of, cast, address):
    client = client_of(cast["guardian"])
    told = {"date": str(DAY), "what": "practice", "pitches": "20"}
    text = text_of(client.post(address, told, follow=True))
    assert "Entered: Practice, 20 pitches, Tuesday 14 April." in text
    assert f'action="{address}{ThrowCount.objects.get().uuid}/withdraw/"' in text


def test_an_entry_is_changed(enter, read):
    enter()
    count = ThrowCount.objects.get()
    form = text_of(read("guardian", f"{count.uuid}/"))
    assert 'value="45"' in form
    assert 'value="2026-04-14"' in form
    assert enter(more=f"{count.uuid}/", pitches="50").status_code == 302
    assert ThrowCount.objects.get().pitches == 50


def test_somebody_else_s_entry_is_theirs_to_change(enter, read, cast):
    count = ThrowCountFactory(athlete=cast.athlete, entered_by=cast["coach"])
    for act in ("", "withdraw/"):
        assert enter("guardian", f"{count.uuid}/{act}").status_code == 403
        assert enter("visiting_coach", f"{count.uuid}/{act}").status_code == 403
    assert f"{count.uuid}" not in text_of(read("guardian"))
    assert enter("clinician", f"{count.uuid}/", pitches="50").status_code == 302


def test_an_entry_of_another_athlete_is_not_found_here(enter, cast):
    count = ThrowCountFactory(athlete=cast.other_athlete, entered_by=cast["coach"])
    assert enter("coach", f"{count.uuid}/").status_code == 404
    assert enter("coach", f"{count.uuid}/withdraw/").status_code == 404


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"pitches": "400"}, "400 pitches in one outing cannot be"),
        ({"pitches": "lots"}, "Write the pitches as a number"),
        ({"pitches": ""}, "or tick that nobody counted"),
        ({"date": str(DAY + ONE_DAY)}, "lies ahead"),
        ({"date": "2026-02-29"}, "Give the day as a date"),
        ({"what": ""}, "Choose game, practice or no throwing."),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_what_was_typed_stays(enter, data, said):
    answer = enter(words="league game", **data)
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert 'value="league game"' in text_of(answer)
    assert not ThrowCount.objects.exists()


def test_the_same_within_a_minute_is_asked_about(enter):
    enter()
    asked = enter()
    assert asked.status_code == 422
    assert "It is another outing" in text_of(asked)
    assert enter(again="on").status_code == 302
    assert ThrowCount.objects.count() == 2


def test_the_question_is_not_on_the_page_before_it_is_asked(read):
    assert "another outing" not in text_of(read("guardian"))


def test_without_consent_what_was_entered_is_read_and_nothing_is_added(enter, read, cast):
    enter()
    for consent in cast.athlete.consents.all():
        withdraw_consent(consent=consent, on=DAY, by=cast["coach"])
    text = text_of(read("guardian"))
    assert "45 pitches today" in text
    assert 'name="pitches"' not in text
    refused = enter(pitches="20")
    assert refused.status_code == 422
    assert "Consent was withdrawn on 14 April 2026" in text_of(refused)
    assert ThrowCount.objects.count() == 1


def test_local_rules_stand_above_the_sentence(read, facility):
    facility.local_pitch_rules = "At most 60 <pitches> a day."
    facility.save()
    text = text_of(read("guardian"))
    assert text.index("At most 60 &lt;pitches&gt; a day.") < text.index("main-words")


def test_the_file_opens_in_a_spreadsheet_and_names_nobody(client_of, cast):
    ThrowCountFactory(athlete=cast.athlete, words="=1+1", entered_by=cast["coach"])
    answer = client_of(cast["guardian"]).get(f"/athletes/{cast.athlete.uuid}/throwing.csv")
    assert answer["Content-Type"].startswith("text/csv")
    lines = text_of(answer).splitlines()
    assert len(lines) == 2
    assert lines[1] == "2026-04-14,40,0,0,40,0,0,,"
    assert "Brandvold" not in text_of(answer) + answer["Content-Disposition"]


def test_each_look_by_somebody_else_is_noted(read):
    read("visiting_coach")
    read("athlete_user")
    assert list(ViewLog.objects.values_list("role", "what")) == [("visiting_coach", "throwing load")]


# ---- where it is reached from -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "page"),
    [("coach", "/athletes/{}/"), ("clinician", "/athletes/{}/"), ("visiting_coach", "/athletes/{}/"),
     ("athlete_user", "/mine/{}/"), ("guardian", "/mine/{}/"), ("coach", "/mine/{}/")],
)  # fmt: skip
def test_every_reader_has_a_way_to_it(client_of, cast, address, name, page):
    text = text_of(client_of(cast[name]).get(page.format(cast.athlete.uuid)))
    assert f'href="{address}"' in text


def test_the_progress_page_does_not_call_a_day_of_rest_a_day_without_limits(client_of, cast, enter):
    page = f"/mine/{cast.athlete.uuid}/"
    assert "No limits today." in text_of(client_of(cast["guardian"]).get(page))
    enter(date=str(DAY - ONE_DAY), pitches="80")
    text = text_of(client_of(cast["guardian"]).get(page))
    assert "No limits today." not in text
    assert "rest from pitching today" in text


def test_the_progress_page_and_the_record_say_the_one_sentence(client_of, cast, enter):
    enter()
    for name, page in (("guardian", "/mine/{}/"), ("coach", "/athletes/{}/")):
        assert "45 pitches today" in text_of(client_of(cast[name]).get(page.format(cast.athlete.uuid)))
