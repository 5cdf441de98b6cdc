"""The page on which a coach decides what the family reads, and what the session's page says of it."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from athletes.models import User
from athletes.pages import NO_READER
from metrics.models import Finding, Share
from metrics.sharing import SharedContent
from tests import factories
from tests.conftest import CAST
from tests.metrics.sharing.test_sharing import ELBOW, FRONT_KNEE, captured

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

STAFF = {"admin", "coach"}
HTMX = {"HX-Request": "true"}


@pytest.fixture
def capture(facility, athlete):
    factories.starting_profiles()
    return captured(athlete, {ELBOW: [92.0] * 5, FRONT_KNEE: [-25.0] * 5})


def address(capture, *more, name="metrics:share"):
    return reverse(name, args=[capture.uuid, *more])


def posted(**changes):
    return {"work": [FRONT_KNEE], "summary": "Your front leg comes first.", "with_numbers": "on", **changes}


def answers(cast, name):
    """404 for whoever cannot see the session, 403 for the clinician who may not share it."""
    return 200 if name in STAFF else 403 if name == "clinician" else 404


@pytest.mark.parametrize("name", CAST)
def test_only_coaching_staff_share(cast, capture, client_of, name):
    wanted = answers(cast, name)
    assert client_of(cast[name]).get(address(capture)).status_code == wanted
    assert client_of(cast[name]).post(address(capture), posted()).status_code == (302 if wanted == 200 else wanted)
    assert Share.objects.count() == (1 if name in STAFF else 0)


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("act", ["share-take-back", "share-restore", "share-leave"])
def test_only_coaching_staff_take_back(cast, client_of, name, act):
    made = factories.ShareFactory(session__athlete=cast.athlete)
    wanted = answers(cast, name)
    answer = client_of(cast[name]).post(address(made.session, made.uuid, name=f"metrics:{act}"))
    assert answer.status_code == (302 if wanted == 200 else wanted)
    theirs = client_of(cast["coach"]).post(address(made.session, uuid4(), name=f"metrics:{act}"))
    assert theirs.status_code == 404


@pytest.mark.parametrize("act", ["share-take-back", "share-restore", "share-leave"])
def test_a_share_of_whose_session_it_was_before_is_not_there(cast, client_of, act):
    """Nobody reads it since the session went to somebody else; bringing it back would say otherwise."""
    made = factories.ShareFactory(session__athlete=cast.other_athlete, athlete=cast.athlete)
    answer = client_of(cast["coach"]).post(address(made.session, made.uuid, name=f"metrics:{act}"))
    assert answer.status_code == 404


def test_a_share_of_another_session_is_not_there(cast, client_of):
    made, other = (factories.ShareFactory(session__athlete=cast.athlete) for _ in range(2))
    answer = client_of(cast["coach"]).post(address(other.session, made.uuid, name="metrics:share-take-back"))
    assert answer.status_code == 404
    assert Share.objects.count() == 2


def test_the_page_offers_points_in_plain_words_with_two_chosen_and_shows_what_will_be_read(capture, coach, client_of):
    page = client_of(coach).get(address(capture)).content.decode()
    assert page.count("Your front leg gives way") > 1  # offered, and in what the family will read
    assert f'value="{FRONT_KNEE}" checked' in page
    assert not Share.objects.exists()


def test_a_preview_shares_nothing(capture, coach, client_of):
    answer = client_of(coach).post(address(capture), posted(preview="1", summary="<b>Bold</b> words"), headers=HTMX)
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "<html" not in text
    assert "&lt;b&gt;Bold&lt;/b&gt; words" in text
    assert not Share.objects.exists()


def said(answer) -> str:
    (message,) = get_messages(answer.wsgi_request)
    return str(message)


def shared_and_again(client, capture) -> list[str]:
    first = said(client.post(address(capture), posted()))
    made = Share.objects.get()
    client.post(address(capture, made.uuid, name="metrics:share-take-back"))
    again = client.post(address(capture, made.uuid, name="metrics:share-restore"))
    return [first, [str(one) for one in get_messages(again.wsgi_request)][-1]]


@pytest.mark.parametrize(
    ("readers", "expected"),
    [
        ("both", ["Shared: Ikaika reads it now.", "The family reads it again."]),
        ("guardian", ["Shared: the family reads it now.", "The family reads it again."]),
        ("closed", [f"Shared. {NO_READER}", f"Shared again. {NO_READER}"]),
        ("nobody", [f"Shared. {NO_READER}", f"Shared again. {NO_READER}"]),
    ],
)
def test_nobody_is_said_to_read_it_who_has_no_account(capture, athlete, coach, client_of, readers, expected):
    if readers != "both":
        athlete.account = None
        athlete.save(update_fields=["account"])
    if readers == "closed":
        User.objects.filter(guardianships__athlete=athlete).update(is_active=False)
    if readers == "nobody":
        athlete.guardianships.all().delete()
    assert shared_and_again(client_of(coach), capture) == expected


def test_the_coachs_own_words_are_what_is_shared(capture, coach, client_of):
    own = {f"headline-{FRONT_KNEE}": "Land firm", f"sentence-{FRONT_KNEE}": "As if on a step."}
    client_of(coach).post(address(capture), posted(**own))
    [point] = SharedContent.from_json(Share.objects.get().content).points
    assert (point.headline, point.sentence) == ("Land firm", "As if on a step.")
    assert point.value_words


def test_numbers_can_be_left_out(capture, coach, client_of):
    data = posted()
    del data["with_numbers"]
    client_of(coach).post(address(capture), data)
    [point] = SharedContent.from_json(Share.objects.get().content).points
    assert (point.value_words, point.good_words) == ("", "")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"work": [], "summary": ""}, "nothing to share yet"),
        ({f"headline-{FRONT_KNEE}": " "}, "no words left"),
        ({f"headline-{FRONT_KNEE}": "a" * 91}, "too long"),
        ({"look_again_on": "2026-04-13"}, "is past"),
        ({"look_again_on": "soon"}, "Enter a valid date"),
        ({"summary": "a" * 2001}, "2000 characters"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(capture, coach, client_of, changes, said):
    answer = client_of(coach).post(address(capture), posted(**changes))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Share.objects.exists()


def test_a_metric_that_was_not_offered_cannot_be_shared(capture, coach, client_of):
    client_of(coach).post(address(capture), posted(work=["elbow_varus_torque_max", FRONT_KNEE, "nonsense"]))
    assert SharedContent.from_json(Share.objects.get().content).metrics == (FRONT_KNEE,)


def test_the_session_says_what_is_shared_and_offers_to_take_it_back(capture, coach, client_of):
    client = client_of(coach)
    assert (
        "Nothing of this session is shared yet" in client.get(address(capture, name="metrics:session")).content.decode()
    )
    client.post(address(capture), posted())
    page = client.get(address(capture, name="metrics:session")).content.decode()
    assert "Shared on 14 April" in page
    assert address(capture, Share.objects.get().uuid, name="metrics:share-take-back") in page


def test_the_session_says_when_its_findings_left_what_was_shared(capture, coach, client_of):
    client = client_of(coach)
    client.post(address(capture), posted())
    Finding.objects.filter(session=capture, metric=FRONT_KNEE).update(zone="watch")
    page = client.get(address(capture, name="metrics:session")).content.decode()
    assert "the findings say something else since" in page
    client.post(address(capture, Share.objects.get().uuid, name="metrics:share-leave"))
    page = client.get(address(capture, name="metrics:session")).content.decode()
    assert "the findings say something else since" not in page


def test_a_clinician_sees_no_button_to_share(capture, clinician, client_of):
    page = client_of(clinician).get(address(capture, name="metrics:session")).content.decode()
    assert address(capture) not in page
