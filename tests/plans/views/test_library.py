"""The library's list and one intervention, as staff and clinicians read them."""

from __future__ import annotations

import csv
import io

import pytest
from django.urls import reverse

from plans.library import load_library, tell_dose
from plans.library.words import KINDS
from plans.models import Intervention
from plans.services.library import install_starting_library, withdraw_intervention, write_version
from tests.factories import AthleteFactory, ReferralFactory
from tests.factories.plans import InterventionVersionFactory, PrescriptionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
URL = "/library/"
KEY = "hip_turns_seated"
SHIPPED = {one.key: one for one in sorted(load_library(), key=lambda one: KINDS.index(one.kind))}


@pytest.fixture
def stored():
    install_starting_library()


def listed(client, **asked) -> list[str]:
    return [row.key for _, rows in client.get(URL, asked).context["kinds"] for row in rows]


def table(client, **asked) -> list[list[str]]:
    answer = client.get(reverse("plans:library-csv"), asked)
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


@pytest.mark.usefixtures("stored")
def test_the_whole_library_kind_by_kind_in_its_order(client_of, coach):
    assert listed(client_of(coach)) == list(SHIPPED)


@pytest.mark.usefixtures("stored")
@pytest.mark.parametrize(
    ("asked", "fits"),
    [
        ({"kind": "referral"}, lambda one: one.kind == "referral"),
        ({"for": "stride_length"}, lambda one: any(metric == "stride_length" for metric, _ in one.answers)),
        ({"age": "under_13"}, lambda one: "under_13" in one.doses),
        ({"throws": "yes"}, lambda one: one.has_throws),
        ({"throws": "no"}, lambda one: not one.has_throws),
        ({"throws": "no", "kind": "drill"}, lambda one: one.kind == "drill" and not one.has_throws),
        ({"q": "GROIN pinches"}, lambda one: False),
        ({"q": "towel FOLDED"}, lambda one: "folded towel" in " ".join(one.instructions).lower()),
        ({"kind": "<script>", "age": "200", "throws": "perhaps"}, lambda one: True),
    ],
)
def test_it_is_narrowed_to_what_is_asked_for(client_of, coach, asked, fits):
    wanted = [key for key, one in SHIPPED.items() if fits(one)]
    assert listed(client_of(coach), **asked) == wanted


@pytest.mark.usefixtures("stored")
def test_where_nothing_fits_the_page_says_so(client_of, coach):
    assert "Nothing of this kind" in client_of(coach).get(URL, {"q": "zzz"}).content.decode()


@pytest.mark.usefixtures("stored")
def test_the_list_alone_is_answered_to_a_change_of_the_choice(client_of, coach):
    answer = client_of(coach).get(URL, {"kind": "drill"}, headers={"HX-Request": "true"})
    assert next(one.name for one in answer.templates) == "plans/_library_list.html"


@pytest.mark.usefixtures("stored")
def test_the_saved_table_has_the_rows_and_doses_of_the_choice(client_of, coach):
    head, *rows = table(client_of(coach), kind="mobility")
    mobility = [one for one in load_library() if one.kind == "mobility"]
    assert [row[1] for row in rows] == [one.name for one in mobility]
    youngest = rows[0][head.index("Dose, under 13")]
    assert youngest.startswith(tell_dose(mobility[0].doses["under_13"]))


@pytest.mark.usefixtures("stored")
def test_as_many_queries_with_work_as_without(client_of, coach, django_assert_max_num_queries):
    client = client_of(coach)
    for _ in range(6):
        PrescriptionFactory(version=InterventionVersionFactory(intervention__key=KEY))
    with django_assert_max_num_queries(9):
        client.get(URL)


def test_one_that_an_older_release_wrote_otherwise_breaks_no_list(client_of, coach):
    InterventionVersionFactory(intervention__key="slow_step_down", fields={"name": "of long ago"})
    InterventionVersionFactory()
    assert listed(client_of(coach)) == [KEY]


def test_it_counts_athletes_who_have_it_now(client_of, coach):
    version = InterventionVersionFactory()
    for ended in ({}, {}, {"ended_on": "2026-01-01", "ending": "closed"}):
        PrescriptionFactory(version=version, **ended)
    assert table(client_of(coach))[1][-1] == "2"


def test_a_clinician_counts_only_athletes_who_were_referred(client_of, clinician):
    version, referred = InterventionVersionFactory(), AthleteFactory()
    ReferralFactory(clinician=clinician, athlete=referred)
    PrescriptionFactory(version=version)
    PrescriptionFactory(version=version, athlete=referred)
    assert table(client_of(clinician))[1][-1] == "1"


def test_withdrawn_ones_stand_apart(client_of, coach, admin):
    version = InterventionVersionFactory()
    withdraw_intervention(intervention=version.intervention, by=admin)
    assert listed(client_of(coach)) == []
    assert listed(client_of(coach), state="withdrawn") == [KEY]


@pytest.mark.parametrize("name", ["visiting_coach", "athlete_user", "guardian", "other_athlete_user"])
def test_families_and_visiting_coaches_are_told_no_whether_it_is_there_or_not(client_of, cast, name):
    InterventionVersionFactory()
    client = client_of(cast[name])
    assert {client.get(url).status_code for url in (URL, f"{URL}list.csv", f"{URL}{KEY}/", f"{URL}nothing/")} == {403}


@pytest.mark.parametrize("name", ["admin", "coach", "clinician", "stranger"])
def test_staff_and_clinicians_read_it(client_of, cast, name):
    InterventionVersionFactory()
    assert client_of(cast[name]).get(f"{URL}{KEY}/").status_code == 200
    assert client_of(cast[name]).get(f"{URL}nothing/").status_code == 404


# ---- one intervention -----------------------------------------------------------------------------------


def page(client, key=KEY, suffix=""):
    return client.get(f"{URL}{key}/{suffix}").content.decode()


def test_everything_that_is_known_of_it_stands_on_its_page(client_of, coach):
    InterventionVersionFactory()
    one, text = SHIPPED[KEY], page(client_of(coach))
    wanted = [one.name, *one.instructions, *one.cautions, one.source, *map(tell_dose, one.doses.values())]
    assert [words for words in wanted if words not in text] == []
    assert "done widely, not proven by a study" in text


def test_an_age_that_it_is_not_for_is_named(client_of, coach):
    version = InterventionVersionFactory(intervention__key="slow_lowering_turn_back")
    assert "Not for this age." in page(client_of(coach), version.intervention.key)


def test_a_version_says_who_wrote_it_why_and_what_changed(client_of, coach, admin):
    first = InterventionVersionFactory()
    fields = {**first.fields, "name": "Hip turns on the floor", "recheck_weeks": [2, 3]}
    write_version(intervention=first.intervention, fields=fields, seen=1, by=admin, reason="Too slow to be seen")
    text = page(client_of(coach))
    assert "Too slow to be seen" in text
    assert f"Name: “Hip turns on the floor”, before “{SHIPPED[KEY].name}”." in text
    assert "Looked at again after: “2 to 3 weeks”, before “4 weeks”." in text
    assert str(admin) in text


def test_an_older_version_is_shown_as_it_was(client_of, coach, admin):
    first = InterventionVersionFactory()
    write_version(intervention=first.intervention, fields={**first.fields, "name": "New"}, seen=1, by=admin)
    text = page(client_of(coach), suffix="versions/1/")
    assert f"<h1>{SHIPPED[KEY].name}</h1>" in text
    assert "The one in force is version 2." in text
    assert client_of(coach).get(f"{URL}{KEY}/versions/3/").status_code == 404


def test_a_version_that_cannot_be_read_any_more_is_not_there_and_breaks_no_other(client_of, coach, admin):
    row = Intervention.objects.create(key=KEY)
    InterventionVersionFactory(intervention=row, number=1, fields={"name": "of long ago"})
    InterventionVersionFactory(intervention=row, number=2)
    assert "is not read any more" in page(client_of(coach))
    assert client_of(coach).get(f"{URL}{KEY}/versions/1/").status_code == 404


def test_what_is_withdrawn_says_how_many_go_on_with_it(client_of, coach, admin):
    version = InterventionVersionFactory()
    PrescriptionFactory(version=version)
    PrescriptionFactory(version=version)
    withdraw_intervention(intervention=version.intervention, by=admin, reason="The band tears")
    text = page(client_of(coach))
    assert "The band tears" in text
    assert "2 athletes go on with it." in text


def test_only_an_admin_is_offered_a_change(client_of, coach, admin):
    InterventionVersionFactory()
    assert "Change it" in page(client_of(admin))
    assert "Change it" not in page(client_of(coach))
