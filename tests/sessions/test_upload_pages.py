"""Uploads: who reaches the pages, what the door takes and says, the original, the list."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from athletes.models import ViewLog
from sessions.models import SessionExtract, Upload
from tests.conftest import CAST
from tests.factories import CaptureSessionFactory, UploadFactory

STAFF = ("admin", "coach")
TABLE = b"Athlete,Throw,Elbow flexion\nTove Marrin,1,92\n"
SCRIPT = {"X-Requested-With": "fetch"}


@pytest.fixture(autouse=True)
def originals(settings, tmp_path):
    settings.ORIGINALS_DIR = tmp_path / "originals"
    return settings.ORIGINALS_DIR


@pytest.fixture
def coach_client(client_of, coach, facility):
    return client_of(coach)


def file(data: bytes = TABLE, name: str = "room.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data)


def send(client, *files, script: bool = True):
    headers = SCRIPT if script else {}
    return client.post(reverse("sessions:upload-receive"), {"table_files": list(files)}, headers=headers)


def said(response) -> list[str]:
    return [str(message) for message in response.context["messages"]]


# ---- who reaches what -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CAST)
def test_only_coaching_staff_open_the_list(cast, client_of, name):
    expected = 200 if name in STAFF else 403
    assert client_of(cast[name]).get(reverse("sessions:uploads")).status_code == expected


@pytest.mark.parametrize("name", CAST)
def test_only_coaching_staff_send_files(cast, client_of, name):
    answer = send(client_of(cast[name]), file())
    assert answer.status_code == (200 if name in STAFF else 403)
    assert Upload.objects.count() == (1 if name in STAFF else 0)


PAGES_OF_ONE = ("upload-row", "original")
ACTS_ON_ONE = ("upload-again", "upload-withdraw", "upload-restore")


@pytest.mark.parametrize("name", sorted(set(CAST) - set(STAFF)))
@pytest.mark.parametrize("page", PAGES_OF_ONE + ACTS_ON_ONE)
def test_others_get_the_404_of_a_missing_upload(cast, client_of, coach, name, page):
    upload = Upload.objects.get(uuid=_uuid_of(send(client_of(coach), file())))
    client = client_of(cast[name])
    call = client.get if page in PAGES_OF_ONE else client.post
    there = call(reverse(f"sessions:{page}", args=[upload.uuid]))
    nowhere = call(reverse(f"sessions:{page}", args=["00000000-0000-4000-8000-000000000000"]))
    assert (there.status_code, nowhere.status_code) == (404, 404)
    assert there.content == nowhere.content


def test_nobody_signed_in_is_led_to_the_door(client, facility):
    assert client.get(reverse("sessions:uploads")).status_code == 302


def _uuid_of(answer) -> str:
    return answer.json()["url"].split("/")[2]


# ---- the door -------------------------------------------------------------------------------------------


def test_a_file_is_received_and_its_page_named(coach_client, coach):
    answer = send(coach_client, file())
    upload = Upload.objects.get()
    assert answer.json() == {
        "sentence": "Received, waiting to be read.",
        "url": reverse("metrics:import", args=[upload.uuid]),
        "known": False,
    }
    assert (upload.filename, upload.uploaded_by, upload.state) == ("room.csv", coach, "received")


def test_the_stored_bytes_are_those_that_were_sent(coach_client, originals):
    send(coach_client, file())
    upload = Upload.objects.select_related("original").get()
    assert (originals / upload.original.stored_name).read_bytes() == TABLE


def test_the_same_bytes_again_point_to_the_first_upload(coach_client):
    first = send(coach_client, file())
    again = send(coach_client, file(name="copy of room.csv"))
    assert again.json()["url"] == first.json()["url"]
    assert again.json()["known"] is True
    assert Upload.objects.count() == 1


def test_the_same_bytes_again_name_the_sessions_that_they_became(coach_client):
    send(coach_client, file())
    upload = Upload.objects.get()
    sessions = CaptureSessionFactory.create_batch(5)
    for session in sessions:
        SessionExtract.objects.create(session=session, upload=upload)
    sentence = send(coach_client, file()).json()["sentence"]
    assert sum(str(session.athlete) in sentence for session in sessions) == 3
    assert "and 2 more" in sentence
    assert "14 April 2026" in sentence


def test_an_empty_file_is_refused_by_name(coach_client):
    answer = send(coach_client, file(b"", "monday.csv"))
    assert answer.status_code == 400
    assert "“monday.csv” is empty" in answer.json()["error"]
    assert not Upload.objects.exists()


def test_a_file_over_the_limit_is_refused_and_leaves_nothing(coach_client, settings, originals):
    settings.UPLOAD_MAX_BYTES = 1024 * 1024
    answer = send(coach_client, file(b"x" * (1024 * 1024 + 1)))
    assert answer.status_code == 400
    assert "larger than 1 MB" in answer.json()["error"]
    assert list(originals.iterdir()) == []


def test_no_file_at_all_is_said(coach_client):
    answer = send(coach_client)
    assert answer.status_code == 400
    assert answer.json()["error"] == "Choose at least one file."


HOSTILE_NAMES = [
    "../../etc/passwd.csv",
    "a<script>alert(1)</script>.csv",
    "evil\u202egpj.csv",
    "x" * 300 + ".csv",
    "semi;colon & more.csv",
]


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_a_hostile_name_is_harmless_in_the_list_and_on_the_way_out(coach_client, name):
    upload = Upload.objects.get(uuid=_uuid_of(send(coach_client, file(name=name))))
    assert "/" not in upload.filename
    assert "\u202e" not in upload.filename
    page = coach_client.get(reverse("sessions:uploads")).content.decode()
    assert "<script>alert" not in page
    header = coach_client.get(reverse("sessions:original", args=[upload.uuid]))["Content-Disposition"]
    assert header.startswith("attachment;")
    assert "\n" not in header


def test_without_a_script_many_files_go_at_once_and_each_is_told(coach_client):
    files = (file(), file(b"other", "other.csv"), file(b"", "hollow.csv"))
    answer = coach_client.post(reverse("sessions:upload-receive"), {"table_files": list(files)}, follow=True)
    assert answer.redirect_chain == [(reverse("sessions:uploads"), 302)]
    assert [line.split("”")[0] for line in said(answer)] == ["“room.csv", "“other.csv", "“hollow.csv"]
    assert Upload.objects.count() == 2


def test_a_file_is_never_held_in_memory_as_a_whole(settings):
    """Every file goes to disk as it arrives; what is stored is copied from there piece by piece."""
    assert settings.FILE_UPLOAD_HANDLERS == ["django.core.files.uploadhandler.TemporaryFileUploadHandler"]


# ---- the original ---------------------------------------------------------------------------------------


def test_the_original_comes_back_as_an_attachment_that_no_browser_opens(coach_client):
    upload = Upload.objects.get(uuid=_uuid_of(send(coach_client, file())))
    answer = coach_client.get(reverse("sessions:original", args=[upload.uuid]))
    assert b"".join(answer.streaming_content) == TABLE
    assert answer["Content-Disposition"] == 'attachment; filename="room.csv"'
    assert answer["Content-Type"] == "text/csv"
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_an_original_of_another_kind_goes_out_as_bytes(coach_client):
    upload = Upload.objects.get(uuid=_uuid_of(send(coach_client, file(b"PK", "page.html"))))
    answer = coach_client.get(reverse("sessions:original", args=[upload.uuid]))
    assert answer["Content-Type"] == "application/octet-stream"


def test_an_original_whose_bytes_are_gone_is_a_404(coach_client, originals):
    upload = Upload.objects.select_related("original").get(uuid=_uuid_of(send(coach_client, file())))
    (originals / upload.original.stored_name).unlink()
    assert coach_client.get(reverse("sessions:original", args=[upload.uuid])).status_code == 404


def test_sending_an_original_is_noted_for_each_of_its_athletes(coach_client, coach):
    upload = Upload.objects.get(uuid=_uuid_of(send(coach_client, file())))
    sessions = CaptureSessionFactory.create_batch(2)
    for session in sessions:
        SessionExtract.objects.create(session=session, upload=upload)
    coach_client.get(reverse("sessions:original", args=[upload.uuid]))
    assert {log.athlete_uuid for log in ViewLog.objects.all()} == {session.athlete.uuid for session in sessions}


# ---- the list -------------------------------------------------------------------------------------------

NEXT_STEPS = {
    "needs_match": "Match columns",
    "needs_answer": "Answer questions",
    "ready": "Look and accept",
    "refused": "Read again with…",
}


@pytest.mark.parametrize("state", NEXT_STEPS)
def test_each_state_names_its_next_step(coach_client, state):
    upload = UploadFactory(state=state)
    page = coach_client.get(reverse("sessions:uploads")).content.decode()
    assert f'<a href="{reverse("metrics:import", args=[upload.uuid])}">{NEXT_STEPS[state]}</a>' in page


def test_a_refused_upload_shows_its_sentence(coach_client):
    UploadFactory(state="refused", error_sentence="This workbook is protected by a password.")
    assert "protected by a password" in coach_client.get(reverse("sessions:uploads")).content.decode()


@pytest.mark.parametrize(
    ("state", "asks"), [("received", True), ("reading", True), ("accepting", True), ("ready", False)]
)
def test_a_row_asks_for_news_only_while_work_goes_on(coach_client, state, asks):
    upload = UploadFactory(state=state, stage="reading the file", step=1, steps=3)
    row = reverse("sessions:upload-row", args=[upload.uuid])
    assert (f'hx-get="{row}"' in coach_client.get(row).content.decode()) is asks


def test_progress_says_what_is_done_and_how_far(coach_client):
    upload = UploadFactory(state="reading", stage="matching columns", step=2, steps=3)
    row = coach_client.get(reverse("sessions:upload-row", args=[upload.uuid])).content.decode()
    assert "matching columns" in row
    assert "2 of 3" in row


def test_an_accepted_upload_counts_what_it_became(coach_client):
    upload = UploadFactory(state="accepted")
    session = CaptureSessionFactory()
    SessionExtract.objects.create(session=session, upload=upload)
    session.throws.model.objects.create(session=session, number=1, source_upload=upload)
    assert "1 session, 1 throw" in coach_client.get(reverse("sessions:uploads")).content.decode()


def test_the_list_says_what_would_stand_there(coach_client):
    page = coach_client.get(reverse("sessions:uploads")).content.decode()
    assert "Send the first one above" in page


def test_the_list_can_be_narrowed_to_a_state(coach_client):
    UploadFactory(state="ready", filename="clean.csv")
    UploadFactory(state="refused", filename="broken.csv")
    page = coach_client.get(reverse("sessions:uploads"), {"show": "refused"}).content.decode()
    assert "broken.csv" in page
    assert "clean.csv" not in page


def test_further_uploads_stand_on_further_pages(coach_client):
    UploadFactory.create_batch(53)
    answer = coach_client.get(reverse("sessions:uploads"), {"page": 2})
    assert len(answer.context["page"].object_list) == 3


def test_fifty_uploads_cost_as_many_queries_as_five(coach_client):
    UploadFactory.create_batch(5)
    coach_client.get(reverse("sessions:uploads"))
    with CaptureQueriesContext(
        connection,
    ) as few:
        coach_client.get(reverse("sessions:uploads"))
    UploadFactory.create_batch(45, state="accepted")
    with CaptureQueriesContext(connection) as many:
        coach_client.get(reverse("sessions:uploads"))
    assert len(many) == len(few)


# ---- read again, take off, bring back -------------------------------------------------------------------


def test_reading_again_keeps_the_choices_and_puts_the_upload_back_to_the_start(coach_client):
    upload = UploadFactory(state="refused", error_code="wrong_encoding", error_sentence="…")
    choices = {"encoding": "cp1252", "delimiter": "tab", "decimal_mark": ","}
    coach_client.post(reverse("sessions:upload-again", args=[upload.uuid]), choices)
    upload.refresh_from_db()
    assert upload.state == "received"
    assert upload.read_options == {"encoding": "cp1252", "delimiter": "\t", "decimal_mark": ","}


def test_a_choice_that_is_not_offered_changes_nothing(coach_client):
    upload = UploadFactory(state="refused")
    coach_client.post(reverse("sessions:upload-again", args=[upload.uuid]), {"encoding": "rot13"})
    upload.refresh_from_db()
    assert (upload.state, upload.read_options) == ("refused", {})


def test_an_upload_is_taken_off_the_list_and_brought_back(coach_client):
    upload = UploadFactory(state="ready", filename="room.csv")
    answer = coach_client.post(reverse("sessions:upload-withdraw", args=[upload.uuid]), follow=True)
    undo = reverse("sessions:upload-restore", args=[upload.uuid])
    assert f'action="{undo}"' in answer.content.decode()
    assert not Upload.objects.exists()
    coach_client.post(undo)
    assert Upload.objects.get() == upload


def test_bytes_that_were_taken_off_can_come_again(coach_client):
    first = Upload.objects.get(uuid=_uuid_of(send(coach_client, file())))
    coach_client.post(reverse("sessions:upload-withdraw", args=[first.uuid]))
    again = send(coach_client, file())
    assert again.json()["known"] is False
    assert _uuid_of(again) != str(first.uuid)
