"""An admin writes the library: every rule at its field, nobody overwritten, nothing lost."""

from __future__ import annotations

import pytest
from django.urls import reverse

from athletes.models import ChangeLog
from plans.forms_library import FIELD_OF_RULE, InterventionForm, initial_of
from plans.library import from_fields, load_library, problems_of, to_fields
from plans.library.checks import RULES
from plans.models import Intervention, InterventionVersion
from plans.services.library import write_version
from plans.views.library_editing import key_for
from tests.factories.plans import InterventionVersionFactory, PrescriptionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
KEY = "hip_turns_seated"
URL = f"/library/{KEY}/change/"


@pytest.fixture
def version():
    return InterventionVersionFactory()


def typed(version, **changed):
    """What a browser sends for the form as it stands, with some of it changed; None: left out."""
    form = InterventionForm(key=KEY, kept=version.fields, seen=version.number)
    values = {name: form[name].value() for name in form.fields}
    values = {name: value for name, value in values.items() if value not in (None, False, "")}
    values = {name: "on" if value is True else value for name, value in values.items()}
    return {name: value for name, value in {**values, **changed}.items() if value is not None}


def errors(answer) -> dict[str, list[str]]:
    assert answer.status_code == 422
    assert InterventionVersion.objects.count() == 1
    return answer.context["form"].errors


def test_every_rule_of_the_library_has_its_place_in_the_form(version):
    form = InterventionForm(key=KEY, kept=version.fields)
    assert {rule.__name__ for rule in RULES} == set(FIELD_OF_RULE)
    assert set(FIELD_OF_RULE.values()) <= set(form.fields)


@pytest.mark.parametrize("one", load_library(), ids=lambda one: one.key)
def test_the_form_sent_as_it_stands_gives_the_same_intervention(one):
    fields = to_fields(one)
    form = InterventionForm(typed(InterventionVersion(fields=fields, number=1)), key=one.key, kept=fields)
    assert form.is_valid(), form.errors
    assert form.cleaned_data["fields"] == fields


def test_what_is_changed_becomes_the_next_version(client_of, admin, version):
    answer = client_of(admin).post(URL, typed(version, name="Hip turns", reason="shorter", adult_sets="3 to 4"))
    assert answer.status_code == 302
    latest = InterventionVersion.objects.get(number=2)
    assert (latest.name, latest.reason, latest.written_by) == ("Hip turns", "shorter", admin)
    assert latest.value.doses["adult"].sets == (3, 4)
    version.refresh_from_db()
    assert version.fields["name"] != "Hip turns"


def test_running_work_keeps_the_version_it_was_given_in(client_of, admin, version):
    given = PrescriptionFactory(version=version)
    client_of(admin).post(URL, typed(version, name="Hip turns"))
    given.refresh_from_db()
    assert given.version == version


def test_without_a_change_no_version_is_written(client_of, admin, version):
    assert client_of(admin).post(URL, typed(version)).status_code == 302
    assert InterventionVersion.objects.count() == 1


def test_a_change_is_undone_in_one_tap_and_stays_in_the_history(client_of, admin, version):
    client = client_of(admin)
    page = client.post(URL, typed(version, name="Hip turns"), follow=True).content.decode()
    undo = f"/library/{KEY}/versions/1/again/"
    assert undo in page
    client.post(undo)
    names = InterventionVersion.objects.order_by("number").values_list("fields__name", "reason")
    assert list(names) == [(version.name, ""), ("Hip turns", ""), (version.name, "As version 1 again")]
    client.post(f"/library/{KEY}/versions/3/again/")
    assert InterventionVersion.objects.count() == 3


def test_an_older_version_that_the_library_would_not_take_today_stays_old(client_of, admin, version):
    InterventionVersionFactory(intervention=version.intervention, number=2, fields={**version.fields, "answers": []})
    InterventionVersionFactory(intervention=version.intervention, number=3)
    page = client_of(admin).post(f"/library/{KEY}/versions/2/again/", follow=True).content.decode()
    assert "it answers nothing" in page
    assert InterventionVersion.objects.count() == 3


def test_whoever_comes_second_is_told_and_keeps_what_was_typed(client_of, admin, version):
    send = typed(version, name="Mine")
    write_version(intervention=version.intervention, fields={**version.fields, "name": "Theirs"}, seen=1, by=admin)
    answer = client_of(admin).post(URL, send)
    assert answer.status_code == 422
    assert "Somebody else changed this meanwhile." in answer.content.decode()
    assert 'value="Mine"' in answer.content.decode()
    assert InterventionVersion.objects.count() == 2


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"name": ""}, "name", "required"),
        ({"instructions": "One only."}, "instructions", "Write 3 to 6"),
        ({"instructions": "No stop\nNor here\nNor there"}, "instructions", "is not one sentence"),
        ({"cautions": "Mind the floor."}, "cautions", "It does not say when to stop"),
        ({f"answer_{number}": "" for number in range(8)}, "answer_0", "It answers nothing"),
        ({"adult_sets": "0"}, "adult_on", "0 sets is no dose"),
        ({"adult_sets": "many"}, "adult_sets", "“many” is not understood"),
        ({"adult_sets": "2.5"}, "adult_sets", "no whole number"),
        ({"adult_sets": "-3"}, "adult_sets", "not understood"),
        ({"adult_days": "8"}, "adult_on", "A week has 7"),
        ({"adult_load_kg": "5 kg"}, "adult_on", "a load in kg"),
        ({"under_13_supervision": "alone"}, "under_13_on", "nobody of that age does it alone"),
        ({"13_15_on": None}, "adult_on", "between two others"),
        ({"under_13_reps": "60"}, "under_13_on", "60"),
        ({"recheck_first": "9", "recheck_last": "2"}, "recheck_first", "Give 1 to 26 weeks"),
        ({"recheck_first": "soon"}, "recheck_first", "whole number"),
        ({"has_throws": "on"}, "has_throws", "Only a drill has throws"),
        ({"kind": "magic"}, "kind", "not one of the available choices"),
        ({"answer_0": "no_metric low"}, "answer_0", "not one of the available choices"),
        ({"source": " "}, "source", "required"),
    ],
)
def test_what_the_library_would_not_take_stands_at_its_field(client_of, admin, version, changed, field, words):
    found = errors(client_of(admin).post(URL, typed(version, **changed)))
    assert words in " ".join(found.get(field, [])), found


def test_several_sentences_stand_at_once(client_of, admin, version):
    changed = {"cautions": "Mind the floor.", "adult_days": "8", "recheck_last": "99"}
    assert {"cautions", "adult_on", "recheck_first"} <= set(
        errors(client_of(admin).post(URL, typed(version, **changed)))
    )


def test_a_load_may_be_typed_in_pounds():
    """1 lb is 0.45359237 kg by definition."""
    fields = to_fields(next(one for one in load_library() if one.load == "medicine ball"))
    sent = typed(InterventionVersion(fields=fields, number=1), adult_load_kg="4 to 8 lb")
    form = InterventionForm(sent, key=fields["key"], kept=fields)
    assert form.is_valid(), form.errors
    assert form.cleaned_data["fields"]["doses"]["adult"]["load_kg"] == [1.81, 3.63]


def test_a_metric_that_is_gone_stays_choosable_and_the_rule_says_what_to_do(client_of, admin):
    first = InterventionVersionFactory()
    fields = {**first.fields, "answers": [["of_old", "low"]]}
    Intervention.everything.filter(pk=first.intervention_id).update(key="of_old_times")
    row = Intervention.objects.get()
    InterventionVersionFactory(intervention=row, number=2, fields={**fields, "key": "of_old_times"})
    form = InterventionForm(
        typed(row.versions.get(number=2)), key="of_old_times", kept=row.versions.get(number=2).fields
    )
    assert not form.is_valid()
    assert "no metric or screen" in " ".join(form.errors["answer_0"])


# ---- adding, withdrawing --------------------------------------------------------------------------------


def test_an_intervention_of_ones_own_is_added(client_of, admin, version):
    client_of(admin).post(reverse("plans:library-add"), typed(version, name="Our own hip turns"))
    row = Intervention.objects.get(key="our_own_hip_turns")
    assert problems_of(row.versions.get().value) == []
    assert row.versions.get().shipped_version == ""


def test_a_name_that_is_there_already_is_refused_at_the_name(client_of, admin, version):
    answer = client_of(admin).post(reverse("plans:library-add"), typed(version, name="Hip turns seated"))
    assert "has one of this name already" in " ".join(errors(answer)["name"])


@pytest.mark.parametrize(
    ("name", "key"),
    [("Towel, no ball", "towel_no_ball"), ("90/90 hips", "own_9090_hips"), ("Add", "own_add"), ("a" * 99, "a" * 60)],
)
def test_the_address_is_made_of_the_name(name, key):
    assert key_for(name) == key


def test_a_name_in_other_letters_gets_an_address_too():
    assert key_for("投球") != key_for("投球")
    assert key_for("投球")[0].isalpha()


def test_withdrawing_is_undone_in_one_tap_and_work_goes_on(client_of, admin, version):
    given, client = PrescriptionFactory(version=version), client_of(admin)
    answer = client.post(f"/library/{KEY}/withdraw/", follow=True)
    assert f"/library/{KEY}/restore/" in answer.content.decode()
    assert Intervention.objects.count() == 0
    given.refresh_from_db()
    assert (given.ended_on, given.withdrawn_at) == (None, None)
    client.post(f"/library/{KEY}/restore/")
    assert Intervention.objects.count() == 1
    actions = ChangeLog.objects.filter(object_uuid=version.intervention.uuid).values_list("action", flat=True)
    assert list(actions.order_by("pk")) == ["intervention.withdrawn", "intervention.restored"]


@pytest.mark.parametrize("act", ["change", "withdraw", "restore", "versions/1/again"])
@pytest.mark.parametrize("name", ["coach", "clinician", "athlete_user", "visiting_coach"])
def test_only_an_admin_changes_it(client_of, cast, version, act, name):
    client = client_of(cast[name])
    assert client.post(f"/library/{KEY}/{act}/", typed(version, name="Hacked")).status_code == 403
    assert client.post("/library/nothing/change/").status_code == 403
    assert client.post("/library/add/", typed(version, name="Hacked")).status_code == 403
    assert InterventionVersion.objects.count() == 1


def test_the_form_begins_with_what_is_kept(version):
    fields = from_fields(version.fields, "here")
    assert initial_of(version.fields)["instructions"].splitlines() == list(fields.instructions)
