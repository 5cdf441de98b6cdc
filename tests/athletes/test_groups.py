"""Training groups: many athletes in one act with one undo, season phases, availability for all."""

from __future__ import annotations

import datetime as dt
from uuid import uuid4

import pytest
from django.contrib.messages import get_messages
from django.core.exceptions import ValidationError

from athletes.facts import season_phase_on
from athletes.models import Athlete, ChangeLog, SeasonPhase, TrainingGroup
from athletes.services.group_acts import undo_group_act
from athletes.services.groups import assign_group, assign_group_to_many, create_group, set_season_phase
from athletes.undo import CannotUndo
from tests import factories
from tests.conftest import CAST

DAY = factories.DAY
STAFF = {"admin", "coach"}

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


def later(days: int) -> dt.date:
    return DAY + dt.timedelta(days=days)


def members(group) -> list[str]:
    return [athlete.given_name for athlete in group.athletes.all()]


# ---- many at once


def test_many_are_put_in_by_one_act_that_one_undo_takes_back(group, three, coach):
    group.athletes.add(three[0])
    act = assign_group_to_many(athletes=three, group=group, by=coach)
    assert (members(group), act.changed) == (["Ann", "Ben", "Cem"], 2)
    joined = ChangeLog.objects.filter(action="group.joined").values_list("athlete_uuid", flat=True)
    assert set(joined) == {three[1].uuid, three[2].uuid}
    undone = undo_group_act(group=group, act=act.uuid, by=coach)
    assert (members(group), undone.sentence) == (["Ann"], "Undone.")


def test_many_are_taken_out_and_come_back(group, three, coach):
    group.athletes.set(three)
    act = assign_group_to_many(athletes=three[:2], group=group, by=coach, member=False)
    assert members(group) == ["Cem"]
    undo_group_act(group=group, act=act.uuid, by=coach)
    assert members(group) == ["Ann", "Ben", "Cem"]


def test_whoever_was_moved_again_since_stays_and_is_named(group, three, coach):
    act = assign_group_to_many(athletes=three, group=group, by=coach)
    assign_group(athlete=three[1], group=group, by=coach, member=False)
    assign_group(athlete=three[1], group=group, by=coach)
    undone = undo_group_act(group=group, act=act.uuid, by=coach)
    assert members(group) == ["Ben"]
    assert undone.sentence == "Undone for 2. Changed again since, and left as they are: Ben Okonjo."


def test_an_act_is_undone_once_and_only_in_its_own_group(group, three, coach):
    act = assign_group_to_many(athletes=three, group=group, by=coach)
    with pytest.raises(CannotUndo, match="nothing of that kind"):
        undo_group_act(group=factories.TrainingGroupFactory(), act=act.uuid, by=coach)
    undo_group_act(group=group, act=act.uuid, by=coach)
    with pytest.raises(CannotUndo, match="undone already"):
        undo_group_act(group=group, act=act.uuid, by=coach)


def test_a_new_group_is_made_by_its_name_and_is_gone_after_the_undo(three, coach):
    act = assign_group_to_many(athletes=three, name=" Winter  arms ", by=coach)
    assert (act.group.name, members(act.group)) == ("Winter arms", ["Ann", "Ben", "Cem"])
    assert undo_group_act(group=act.group, act=act.uuid, by=coach).sentence == "Undone."
    assert not TrainingGroup.objects.exists()
    assert assign_group_to_many(athletes=three, name="Winter arms", by=coach).changed == 3


USES = {
    "a season phase": lambda group, one, by: set_season_phase(group=group, phase="rest", valid_from=DAY, by=by),
    "another act": lambda group, one, by: assign_group_to_many(athletes=[one], group=group, by=by),
    "somebody else": lambda group, one, by: assign_group(athlete=one, group=group, by=by),
    "somebody who left": lambda group, one, by: [
        assign_group(athlete=one, group=group, by=by, member=member) for member in (True, False)
    ],
    "a visiting coach": lambda group, one, by: group.visiting_coaches.add(by),
    "a withdrawn member": lambda group, one, by: (
        group.athletes.add(one),
        Athlete.everything.filter(pk=one.pk).update(withdrawn_at=factories.NOON),
    ),
}


@pytest.mark.parametrize("use", USES)
def test_a_new_group_that_was_used_since_stays_after_the_undo(three, coach, use):
    act = assign_group_to_many(athletes=three[:2], name="Winter arms", by=coach)
    USES[use](act.group, three[2], coach)
    undo_group_act(group=act.group, act=act.uuid, by=coach)
    assert TrainingGroup.objects.get().name == "Winter arms"


def test_a_group_that_was_there_before_stays_empty_after_the_undo(group, three, coach):
    undo_group_act(group=group, act=assign_group_to_many(athletes=three, group=group, by=coach).uuid, by=coach)
    assert members(group) == []
    assert TrainingGroup.objects.get() == group


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"athletes": []}, "athletes"),
        ({"group": None}, "group"),
        ({"name": "Another"}, "name"),
        ({"group": None, "name": "relief"}, "name"),
        ({"group": None, "name": "Another", "member": False}, "group"),
    ],
)
def test_an_act_that_is_not_plain_stores_nothing(group, three, coach, given, field):
    with pytest.raises(ValidationError) as refused:
        assign_group_to_many(**{"athletes": three, "group": group, "by": coach, **given})
    assert set(refused.value.message_dict) == {field}
    assert not ChangeLog.objects.exists()
    assert TrainingGroup.objects.count() == 1


def test_a_long_name_is_refused(coach):
    with pytest.raises(ValidationError):
        create_group(name="x" * 81, by=coach)


# ---- season phase


def test_the_phase_in_force_is_the_latest_that_has_not_ended(group, coach, three):
    group.athletes.add(three[0])
    set_season_phase(group=group, phase="off_season", valid_from=later(-60), by=coach)
    set_season_phase(group=group, phase="rest", valid_from=later(-10), until=later(-1), by=coach)
    set_season_phase(group=group, phase="in_season", valid_from=later(5), by=coach)
    told = {on: season_phase_on(three[0], later(on))[0].phase for on in (-60, -10, -1, 0, 4, 5, 99)}
    assert told == {
        **{-60: "off_season", -10: "rest", -1: "rest", 0: "off_season", 4: "off_season"},
        **{5: "in_season", 99: "in_season"},
    }
    assert season_phase_on(three[0], later(-61)) == ()


def test_an_athlete_of_two_groups_has_both_phases_named(group, three, coach):
    other = factories.TrainingGroupFactory(name="Academy", athletes=three[:1])
    group.athletes.add(three[0])
    set_season_phase(group=group, phase="off_season", valid_from=DAY, until=later(20), by=coach)
    set_season_phase(group=other, phase="preseason", valid_from=DAY, by=coach)
    phases = season_phase_on(three[0], DAY)
    assert [(phase.group, phase.words) for phase in phases] == [
        ("Academy", "preseason"),
        ("Relief", "off season, to 4 May"),
    ]


def test_a_phase_of_the_same_date_is_replaced_and_comes_back_by_undo(group, coach):
    first = set_season_phase(group=group, phase="off_season", valid_from=DAY, until=later(9), by=coach)
    second = set_season_phase(group=group, phase="rest", valid_from=DAY, by=coach)
    with pytest.raises(CannotUndo, match="changed again since"):
        undo_group_act(group=group, act=first.uuid, by=coach)
    undo_group_act(group=group, act=second.uuid, by=coach)
    row = SeasonPhase.objects.get()
    assert (row.phase, row.until) == ("off_season", later(9))
    undo_group_act(group=group, act=first.uuid, by=coach)
    assert not SeasonPhase.objects.exists()


@pytest.mark.parametrize("wrong", [{"phase": "playoffs"}, {"until": later(-1)}])
def test_a_wrong_phase_stores_nothing(group, coach, wrong):
    with pytest.raises(ValidationError):
        set_season_phase(**{"group": group, "phase": "rest", "valid_from": DAY, "by": coach, **wrong})
    assert not SeasonPhase.objects.exists()
    assert not ChangeLog.objects.exists()


# ---- the pages


def address(page: str, group) -> str:
    return f"/athletes/groups/{group.uuid}/{page}/"


@pytest.mark.parametrize("name", CAST)
def test_groups_are_the_staffs(cast, client_of, group, name):
    group.athletes.add(cast.athlete)
    client, otherwise = client_of(cast[name]), 403
    season = {"phase": "rest", "valid_from": "2026-04-14"}
    absence = {"state": "away", "valid_from": "2026-04-16", "until": "2026-04-20"}
    chosen = {"athletes": [str(cast.athlete.uuid)], "group": str(group.uuid), "act": "take_out"}
    act = set_season_phase(group=group, phase="rest", valid_from=later(30), by=cast["coach"])
    done = [
        client.get(address("season", group)).status_code,
        client.post(address("season", group), season).status_code,
        client.get(address("availability", group)).status_code,
        client.post(address("availability", group), absence).status_code,
        client.post("/athletes/groups/assign/", chosen).status_code,
        client.post(address(f"acts/{act.uuid}/undo", group)).status_code,
    ]
    assert done == ([200, 302, 200, 302, 302, 302] if name in STAFF else [otherwise] * 6)
    assert group.athletes.exists() is (name not in STAFF)
    assert SeasonPhase.objects.filter(valid_from=DAY).exists() is (name in STAFF)
    assert SeasonPhase.objects.filter(valid_from=later(30)).exists() is (name not in STAFF)


def test_a_group_that_is_not_there_is_not_there_for_staff_and_closed_to_others(cast, client_of, group):
    for page in ("season", "availability"):
        missing = f"/athletes/groups/{uuid4()}/{page}/"
        assert client_of(cast["coach"]).get(missing).status_code == 404
        theirs = client_of(cast["visiting_coach"]).get(address(page, group))
        assert theirs.content == client_of(cast["visiting_coach"]).get(missing).content


def test_the_notice_of_an_act_undoes_all_of_it(cast, client_of, group, three):
    client = client_of(cast["coach"])
    sent = {"athletes": [str(row.uuid) for row in three], "group": str(group.uuid), "act": "put_in"}
    answer = client.post("/athletes/groups/assign/?next=/roster/%3Fsort=name", sent)
    (message,) = get_messages(answer.wsgi_request)
    assert (answer["Location"], str(message)) == ("/roster/?sort=name", "3 athletes put into Relief.")
    undo = message.extra_tags.removeprefix("undo:")
    assert client.post(undo)["Location"] == "/roster/?sort=name"
    assert not group.athletes.exists()
    (again,) = [str(one) for one in get_messages(client.post(undo).wsgi_request) if "already" in str(one)]
    assert again == "This was undone already."


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"athletes": []}, "Choose at least one athlete"),
        ({"athletes": ["nonsense"]}, "is not a valid UUID"),
        ({"athletes": [str(uuid4())]}, "Somebody of these is not here any more"),
        ({"group": str(uuid4())}, "That group is not here any more"),
        ({"group": ""}, "Choose a group, or write the name of a new one."),
        ({"name": "x" * 81, "group": ""}, "at most 80 characters"),
    ],
)
def test_a_refused_act_keeps_the_choice_and_says_why(cast, client_of, group, three, change, sentence):
    sent = {"athletes": [str(row.uuid) for row in three], "group": str(group.uuid), "act": "put_in", **change}
    answer = client_of(cast["coach"]).post("/athletes/groups/assign/", sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert page.count("Okonjo") == (0 if "athletes" in change else 3)
    assert cast.other_athlete.name not in page
    assert not group.athletes.exists()


def test_the_undo_of_a_new_group_leads_back_though_the_group_is_gone(cast, client_of, three):
    client = client_of(cast["coach"])
    sent = {"athletes": [str(row.uuid) for row in three], "name": "Winter arms", "act": "put_in"}
    (message,) = get_messages(client.post("/athletes/groups/assign/?next=/roster/", sent).wsgi_request)
    answer = client.post(message.extra_tags.removeprefix("undo:"), follow=True)
    assert answer.redirect_chain == [("/roster/", 302)]
    assert "Undone." in answer.content.decode()


def test_the_notice_names_whose_limits_stay(cast, client_of, group, three):
    group.athletes.set(three)
    factories.AvailabilityFactory(athlete=three[0], state="stopped")
    sent = {"state": "away", "valid_from": "2026-12-20", "until": "2027-01-03"}
    answer = client_of(cast["coach"]).post(address("availability", group), sent)
    (message,) = get_messages(answer.wsgi_request)
    assert str(message) == ("Availability set for 2 athletes of Relief. Left as they are: Ann Okonjo (stopped).")
