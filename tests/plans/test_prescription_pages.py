"""Work that runs: changed, stopped, gone on with, shown; and the form that comes late."""

from __future__ import annotations

import pytest

from athletes.models import ChangeLog
from plans.models import Prescription, WorkTick
from plans.services.prescribing import dose_of, stop_work
from plans.services.undoing import USED_ALREADY
from tests.conftest import CAST
from tests.factories import DAY, NOON, AthleteFactory, GuardianshipFactory
from tests.factories.plans import PrescriptionFactory
from tests.plans.conftest import METRIC, WEEK
from tests.plans.plan_scenes import TIED, page_url, tie, work_url

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def row(athlete, version, flagged):
    return PrescriptionFactory(
        athlete=athlete, version=version, reason={"metric": METRIC, "session": flagged}, is_shown=False
    )


@pytest.fixture
def client(client_of, coach):
    return client_of(coach)


def text_of(answer) -> str:
    return answer.content.decode()


def sent(**changed) -> dict[str, str]:
    """The form as it was read: two sets of eight, every day, six weeks."""
    return {
        "sets": "2", "reps": "8", "days": "7", "each_side": "on", "supervision": "alone", "moves": "1",
        "start": str(DAY), "due": str(DAY + 6 * WEEK), "revision": "0", **changed,
    }  # fmt: skip


def test_the_form_shows_what_was_given(client, row):
    form = client.get(work_url("prescription", row)).context["form"]
    assert (form["sets"].value(), form["due"].value(), form["revision"].value()) == ("2", DAY + 6 * WEEK, 0)


def test_a_dose_a_note_and_a_date_are_changed(client, row):
    answer = client.post(
        work_url("prescription", row), sent(sets="1", note="Slower.", due=str(DAY + 4 * WEEK), is_shown="on")
    )
    assert answer.status_code == 302
    row.refresh_from_db()
    assert (dose_of(row).sets, row.note, row.is_shown, row.revision) == ((1, 1), "Slower.", True, 1)
    assert row.follow_ups.get().due == DAY + 4 * WEEK


def test_the_same_again_changes_nothing_of_the_dose(client, row):
    before = dose_of(row)
    client.post(work_url("prescription", row), sent())
    row.refresh_from_db()
    assert dose_of(row) == before


def test_a_form_that_comes_late_keeps_what_was_typed_beside_what_stands_now(client, row):
    client.post(work_url("prescription", row), sent(reps="4"))
    answer = client.post(work_url("prescription", row), sent(sets="1", note="Mine."))
    assert answer.status_code == 409
    text = text_of(answer)
    assert "Somebody else changed this meanwhile" in text
    assert "As it stands now: 2 × 4" in text
    assert "Mine." in text
    assert answer.context["form"]["sets"].value() == "1"
    assert answer.context["form"]["revision"].value() == "1"
    assert client.post(work_url("prescription", row), sent(sets="1", note="Mine.", revision="1")).status_code == 302
    row.refresh_from_db()
    assert (dose_of(row).sets, row.note) == ((1, 1), "Mine.")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"sets": "0"}, "is no dose"),
        ({"due": str(DAY - WEEK)}, "is not after the start"),
        ({"sets": "90"}, "minutes a day"),
        ({"revision": "x"}, "Enter a whole number."),
        ({"note": "n" * 301}, "at most 300 characters"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_nothing_is_stored(client, row, typed, said):
    answer = client.post(work_url("prescription", row), sent(**typed))
    assert answer.status_code == 422
    assert said in text_of(answer)
    row.refresh_from_db()
    assert row.revision == 0


def test_stopped_work_goes_on_by_undo_to_the_date_that_it_had(client, row):
    answer = client.post(work_url("stop", row), {"revision": "0", "note": "Holiday."}, follow=True)
    assert "Stopped early" in text_of(answer)
    assert "Holiday." in text_of(answer)
    client.post(f"{work_url('go-on', row)}?seen=1")
    row.refresh_from_db()
    assert (row.ended_on, row.ending) == (None, "")
    assert row.follow_ups.get(decision="").due == DAY + 6 * WEEK


@pytest.mark.parametrize("page", ["stop", "go-on", "show"])
def test_a_press_on_a_page_that_is_old_does_nothing_and_says_so(client, row, page):
    if page == "go-on":
        stop_work(prescription=row, seen=0, by=client_account(client))
    Prescription.objects.filter(pk=row.pk).update(revision=5)
    before = Prescription.objects.values().get(pk=row.pk)
    answer = client.post(work_url(page, row), {"revision": "1"}, follow=True)
    assert "Somebody else changed this meanwhile" in text_of(answer)
    assert Prescription.objects.values().get(pk=row.pk) == before


def client_account(client):
    from athletes.models import User

    return User.objects.get(pk=client.session["_auth_user_id"])


def test_only_what_was_stopped_goes_on(client, row):
    assert client.post(work_url("go-on", row), {"revision": "0"}, follow=True).status_code == 200
    row.refresh_from_db()
    assert row.revision == 0


def test_stopped_work_does_not_go_on_beside_the_same_given_anew(client, row, coach):
    stop_work(prescription=row, seen=0, by=coach)
    PrescriptionFactory(athlete=row.athlete, version=row.version)
    answer = client.post(work_url("go-on", row), {"revision": "1"}, follow=True)
    assert "is in the plan already" in text_of(answer)


@pytest.mark.parametrize("has_reader", [True, False])
def test_the_notice_of_showing_names_no_reader_where_there_is_none(client, row, has_reader):
    if has_reader:
        GuardianshipFactory(athlete=row.athlete)
    text = text_of(client.post(work_url("show", row), {"revision": "0", "is_shown": "1"}, follow=True))
    assert ("The family reads it now" in text) is has_reader
    assert ("Nobody of the family has an account yet: invite them from the record." in text) is not has_reader


def test_showing_and_hiding_are_logged_and_reach_the_family_only_then(client, row):
    client.post(work_url("show", row), {"revision": "0", "is_shown": "1"})
    row.refresh_from_db()
    assert row.is_shown
    client.post(work_url("show", row), {"revision": "1"})
    row.refresh_from_db()
    assert not row.is_shown
    assert list(ChangeLog.objects.filter(action__startswith="prescription.").values_list("action", flat=True))[-2:] in (
        ["prescription.shown", "prescription.hidden"],
        ["prescription.hidden", "prescription.shown"],
    )


def test_ended_work_has_no_form_to_change_it(client, row, coach):
    stop_work(prescription=row, seen=0, by=coach)
    answer = client.get(work_url("prescription", row), follow=True)
    assert "has ended" in text_of(answer)
    assert client.post(work_url("prescription", row), sent(revision="1")).status_code == 302


def test_work_that_was_used_since_is_not_taken_back(client, row):
    WorkTick.objects.create(prescription=row, date=DAY, ticked_at=NOON)
    answer = client.post(f"{page_url(row.athlete)}take-back/?given={row.uuid}", follow=True)
    assert USED_ALREADY in text_of(answer)
    assert Prescription.objects.filter(pk=row.pk).exists()


def test_another_athletes_work_is_not_there(client, row):
    other = AthleteFactory()
    address = work_url("prescription", row).replace(str(row.athlete.uuid), str(other.uuid))
    assert client.get(address).status_code == 404
    client.post(f"{page_url(other)}take-back/?given={row.uuid}")
    assert Prescription.objects.filter(pk=row.pk).exists()
    assert client.post(f"{page_url(other)}take-back/?given=nothing").status_code == 404


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("page", ["prescription", "stop", "go-on", "show"])
def test_only_staff_change_work(cast, client_of, version, name, page):
    tie(cast)
    row = PrescriptionFactory(athlete=cast.athlete, version=version)
    expected = 302 if name in {"admin", "coach"} else 403 if name in TIED else 404
    answer = client_of(cast[name]).post(work_url(page, row), sent())
    assert answer.status_code == expected
