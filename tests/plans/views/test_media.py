"""Pictures and videos of the library: who adds them, who sees them, and how a browser steps in a video."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from athletes.models import ChangeLog
from plans.models import InterventionMedia
from plans.services.media import MEGABYTE, MOST_OF_ONE, media_folder, media_path
from tests.factories import AthleteFactory, GuardianshipFactory, TrainingGroupFactory
from tests.factories.plans import InterventionVersionFactory, PrescriptionFactory
from tests.plans.media_files.files import PLACE, exif, jpeg, mp4, png, segment

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
KEY = "hip_turns_seated"
ADD = f"/library/{KEY}/media/add/"
FILM = mp4()


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return tmp_path


@pytest.fixture
def version():
    return InterventionVersionFactory()


def send(client, data: bytes, name: str = "how.png", told: str = "Seated, both knees turn to one side"):
    return client.post(ADD, {"file": SimpleUploadedFile(name, data), "told": told})


@pytest.fixture
def film(client_of, admin, version):
    send(client_of(admin), FILM, "how.mp4")
    return InterventionMedia.objects.get()


def address(media) -> str:
    return f"/library/media/{media.uuid}/"


def body(answer) -> bytes:
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


# ---- adding ---------------------------------------------------------------------------------------------


def test_a_picture_stands_on_the_page_with_its_words(client_of, admin, coach, version):
    send(client_of(admin), png())
    media = InterventionMedia.objects.get()
    page = client_of(coach).get(f"/library/{KEY}/").content.decode()
    assert f'<img src="{address(media)}" alt="Seated, both knees turn to one side"' in page
    assert (media.kind, media.content_type, media.added_by) == ("picture", "image/png", admin)


def test_it_is_kept_by_its_content_and_without_its_place(client_of, admin, version):
    send(client_of(admin), jpeg(segment(0xE1, exif())), "IMG_1.JPG")
    media = InterventionMedia.objects.get()
    kept = media_path(media).read_bytes()
    assert PLACE not in kept
    assert (len(kept), media.content_type) == (media.size_bytes, "image/jpeg")
    assert [one.name for one in media_folder().iterdir()] == [media.sha256]


@pytest.mark.parametrize(
    "name", ["../../etc/passwd.png", "..\\..\\evil.png", "a\x00b.png", "x" * 300 + ".png", "page.html"]
)
def test_the_name_of_the_file_means_nothing(client_of, admin, coach, version, folder, name):
    send(client_of(admin), png(), name)
    media = InterventionMedia.objects.get()
    assert [one.name for one in media_folder().iterdir()] == [media.sha256]
    answer = client_of(coach).get(address(media))
    assert answer["Content-Disposition"] == f'inline; filename="{media.uuid}.png"'


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"<!doctype html><script>alert(1)</script>", "whatever its name says"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "SVG"),
        (png()[:-14], "damaged or not complete"),
        (jpeg()[:60], "damaged or not complete"),
        (png(width=16_000, height=16_000), "pixels"),
        (b"", "empty"),
        (bytes(50 * MEGABYTE + 1), "50 MB are the most"),
        (png() + bytes(15 * MEGABYTE), "15 MB are the most"),
    ],
)
def test_what_is_no_picture_is_refused_at_the_file_and_nothing_is_kept(client_of, admin, version, data, words):
    answer = send(client_of(admin), data)
    assert answer.status_code == 422
    assert words in " ".join(answer.context["form"].errors["file"])
    assert InterventionMedia.everything.count() == 0
    assert not media_folder().exists()


def test_without_words_it_is_refused(client_of, admin, version):
    assert "told" in send(client_of(admin), png(), told="  ").context["form"].errors
    assert InterventionMedia.everything.count() == 0


def test_the_same_file_twice_is_said(client_of, admin, version):
    send(client_of(admin), png())
    assert "there already" in send(client_of(admin), png()).content.decode()
    assert InterventionMedia.objects.count() == 1


def test_there_is_an_end_to_it(client_of, admin, version):
    client = client_of(admin)
    for number in range(MOST_OF_ONE):
        assert (
            send(client, mp4(film=b"".join([FILM[-72:], bytes(0)]), brand=f"iso{number:x}".encode())).status_code == 302
        )
    assert "Take one away first" in send(client, png()).content.decode()


def test_a_full_disk_is_said_and_nothing_is_stored(client_of, admin, version, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("plans.services.media.store_bytes", full)
    assert "The disk would not take the file" in send(client_of(admin), png()).content.decode()
    assert InterventionMedia.everything.count() == 0


def test_it_is_taken_away_and_brought_back(client_of, admin, film):
    client = client_of(admin)
    answer = client.post(f"{address(film)}withdraw/", follow=True)
    assert f"{address(film)}restore/" in answer.content.decode()
    assert client.get(address(film)).status_code == 404
    client.post(f"{address(film)}restore/")
    assert client.get(address(film)).status_code == 200
    actions = ChangeLog.objects.filter(object_uuid=film.uuid).order_by("pk").values_list("action", flat=True)
    assert [action.partition(".")[2] for action in actions] == ["added", "withdrawn", "restored"]


@pytest.mark.parametrize("name", ["coach", "clinician", "athlete_user", "guardian"])
def test_only_an_admin_adds_and_takes_away(client_of, cast, film, name):
    client = client_of(cast[name])
    assert send(client, png()).status_code == 403
    assert client.post(f"{address(film)}withdraw/").status_code == 403
    assert InterventionMedia.objects.count() == 1


# ---- who sees it ----------------------------------------------------------------------------------------


@pytest.fixture
def family(athlete_user, guardian, visiting_coach):
    """The athlete whom these three are tied to."""
    athlete = AthleteFactory(account=athlete_user)
    GuardianshipFactory(guardian=guardian, athlete=athlete)
    TrainingGroupFactory(athletes=[athlete], visiting_coaches=[visiting_coach])
    return athlete


FAMILY = ("athlete_user", "guardian", "visiting_coach")


def statuses(client_of, request, media) -> set[int]:
    return {client_of(request.getfixturevalue(name)).get(address(media)).status_code for name in FAMILY}


def test_staff_and_clinicians_see_it(client_of, cast, film):
    seen = [client_of(cast[name]).get(address(film)).status_code for name in ("admin", "coach", "clinician")]
    assert seen == [200] * 3


def test_whoever_has_it_as_shown_work_sees_it(client_of, request, film, version, family):
    PrescriptionFactory(athlete=family, version=version)
    assert statuses(client_of, request, film) == {200}


@pytest.mark.parametrize(
    "changed",
    [{"is_shown": False}, {"ended_on": "2026-01-01", "ending": "closed"}, {"withdrawn_at": "2026-01-01T00:00Z"}],
)
def test_work_that_is_not_shown_or_over_shows_nothing(client_of, request, film, version, family, changed):
    PrescriptionFactory(athlete=family, version=version, **changed)
    assert statuses(client_of, request, film) == {404}


def test_other_work_or_the_work_of_others_shows_nothing(client_of, request, film, version, family):
    PrescriptionFactory(athlete=family, version=InterventionVersionFactory(intervention__key="slow_step_down"))
    PrescriptionFactory(version=version)
    assert statuses(client_of, request, film) == {404}


def test_a_later_version_shows_the_same_pictures(client_of, request, film, version, family):
    PrescriptionFactory(athlete=family, version=InterventionVersionFactory(intervention=version.intervention, number=2))
    assert statuses(client_of, request, film) == {200}


# ---- the bytes ------------------------------------------------------------------------------------------


def test_the_whole_film_is_shown_as_what_it_is_and_as_nothing_else(client_of, coach, film):
    answer = client_of(coach).get(address(film))
    assert (body(answer), answer.status_code) == (FILM, 200)
    assert answer["Content-Type"] == "video/mp4"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Length"] == str(len(FILM))
    assert answer["Accept-Ranges"] == "bytes"
    assert answer["Cache-Control"] == "private, no-cache"


@pytest.mark.parametrize(
    ("asked", "part"), [("bytes=0-9", slice(0, 10)), ("bytes=20-", slice(20, None)), ("bytes=-7", slice(-7, None))]
)
def test_a_part_is_given_that_is_asked_for(client_of, coach, film, asked, part):
    answer = client_of(coach).get(address(film), headers={"Range": asked})
    assert (body(answer), answer.status_code) == (FILM[part], 206)
    start = part.indices(len(FILM))[0]
    stop = part.indices(len(FILM))[1] - 1
    assert answer["Content-Range"] == f"bytes {start}-{stop}/{len(FILM)}"
    assert answer["Content-Length"] == str(len(FILM[part]))


def test_behind_the_end_there_is_nothing(client_of, coach, film):
    answer = client_of(coach).get(address(film), headers={"Range": "bytes=99999-"})
    assert (answer.status_code, answer["Content-Range"], body(answer)) == (416, f"bytes */{len(FILM)}", b"")


def test_several_parts_at_once_give_the_whole(client_of, coach, film):
    assert client_of(coach).get(address(film), headers={"Range": "bytes=0-1,5-6"}).status_code == 200


def test_a_part_of_another_film_is_not_mixed_in(client_of, coach, film):
    """RFC 9110, 13.1.5: If-Range of another version asks for the whole."""
    client = client_of(coach)
    assert client.get(address(film), headers={"Range": "bytes=0-1", "If-Range": '"other"'}).status_code == 200
    assert client.get(address(film), headers={"Range": "bytes=0-1", "If-Range": f'"{film.sha256}"'}).status_code == 206


def test_a_browser_that_has_it_asks_whether_it_still_may(client_of, coach, stranger, athlete_user, film):
    kept = {"If-None-Match": f'"{film.sha256}"'}
    assert client_of(coach).get(address(film), headers=kept).status_code == 304
    assert client_of(athlete_user).get(address(film), headers=kept).status_code == 404


def test_the_head_alone(client_of, coach, film):
    answer = client_of(coach).head(address(film))
    assert (answer.status_code, answer["Content-Length"], body(answer)) == (200, str(len(FILM)), b"")


def test_a_file_that_is_gone_from_the_disk_is_not_there(client_of, coach, film):
    media_path(film).unlink()
    assert client_of(coach).get(address(film)).status_code == 404


def test_the_family_sees_it_where_the_work_is_told(client_of, athlete_user, film, version, family):
    PrescriptionFactory(athlete=family, version=version)
    page = client_of(athlete_user).get(f"/mine/{family.uuid}/").content.decode()
    assert f'<video src="{address(film)}"' in page
    assert "Seated, both knees turn to one side" in page
