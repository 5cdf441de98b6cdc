"""The preview's choices over an imported table."""

import datetime as dt
import json

from metrics.importing.answers import Answers, answer_table, answered_recipe, name_athlete
from metrics.importing.conditions import Conditions
from metrics.importing.rows import apply_recipe
from metrics.importing.throws import AthleteReference
from tests.metrics.importing.tables import CATALOGUE, drafted, layout_of

LAYOUT = layout_of(
    ("Throw", "Intent", "Elbow flexion FC"), (1, None, 92), (2, "max", 160), (3, None, 95), (4, None, 90)
)


def answered(answers):
    recipe = answered_recipe(drafted(LAYOUT), answers)
    return answer_table(apply_recipe(LAYOUT, recipe, CATALOGUE), answers).groups[0]


def test_without_answers_nothing_changes():
    assert answered(Answers()) == apply_recipe(LAYOUT, drafted(LAYOUT), CATALOGUE).groups[0]


def test_the_first_throws_become_warm_ups_and_the_files_word_stands():
    throws = answered(Answers(warm_up_first=2)).throws
    assert [t.conditions.intent for t in throws] == ["warm_up", "full_effort", "full_effort", "full_effort"]


def test_conditions_for_all_do_not_undo_the_warm_ups():
    answers = Answers(Conditions(intent="controlled", intent_percent=80.0, surface="flat_ground"), warm_up_first=1)
    throws = answered(answers).throws
    assert [(t.conditions.intent, t.conditions.intent_percent) for t in throws] == [
        ("warm_up", None),
        ("controlled", 80.0),
        ("controlled", 80.0),
        ("controlled", 80.0),
    ]
    assert {t.conditions.surface for t in throws} == {"flat_ground"}
    assert {t.conditions.pitch_type for t in throws} == {"fastball"}


def test_implausible_values_are_taken_for_this_upload_alone():
    key = "elbow_flexion_fp@fc"
    assert answered(Answers(accept_implausible=True)).throws[1].values[key] == {"value": 160.0}
    assert answered(Answers()).throws[1].values[key] == {"reason": "implausible"}


def test_a_date_and_an_athlete_are_given_only_where_the_file_has_none():
    group = answered(Answers(date=dt.date(2026, 3, 25)))
    assert group.date == dt.date(2026, 3, 25)
    named = name_athlete(group, AthleteReference("P-1"))
    assert named.athlete.external_id == "P-1"
    assert name_athlete(named, AthleteReference("P-2")) == named


def test_answers_come_back_equal_from_json_text():
    answers = Answers(Conditions(surface="mound"), 3, True, dt.date(2026, 3, 25))
    assert Answers.from_json(json.loads(json.dumps(answers.to_json()))) == answers
