"""What changed between two versions, as sentences."""

from __future__ import annotations

from dataclasses import fields, replace
from types import MappingProxyType

import pytest

from plans.library import Intervention, end_words, load_library, tell_differences
from plans.library.differences import SWITCH_WORDS

ONE = next(one for one in load_library() if one.key == "hip_turns_seated")


def changed(**values) -> list[str]:
    return tell_differences(ONE, replace(ONE, **values))


def test_the_same_differs_in_nothing():
    assert [tell_differences(one, one) for one in load_library()] == [[]] * len(load_library())


def test_each_kind_of_change_is_one_sentence():
    assert changed(name="Hip turns") == [f"Name: “Hip turns”, before “{ONE.name}”."]
    assert changed(kind="strength") == ["Kind: “strength”, before “mobility”."]
    assert changed(recheck_weeks=(1, 1)) == ["Looked at again after: “1 week”, before “4 weeks”."]
    assert changed(status="published") == ["Status: “published”, before “common practice”."]


def test_added_and_taken_away_lines_are_named():
    lines = (*ONE.instructions[1:], "Breathe out.")
    assert changed(instructions=lines) == [
        "Instruction added: Breathe out.",
        f"Instruction taken away: {ONE.instructions[0]}",
    ]


def test_another_order_alone_is_said():
    assert changed(instructions=ONE.instructions[::-1]) == ["Instructions: in another order."]


def test_what_it_is_for_is_told_in_words():
    assert changed(answers=(*ONE.answers, ("stride_length", "low"))) == [
        f"For added: {end_words(('stride_length', 'low'))}."
    ]


def test_a_metric_that_is_gone_is_told_by_its_key():
    assert end_words(("of_old", "low")) == "of_old (low)"


@pytest.mark.parametrize("name", SWITCH_WORDS)
def test_every_switch_is_told(name):
    (sentence,) = changed(**{name: not getattr(ONE, name)})
    assert sentence.endswith((": yes.", ": no."))


def test_a_dose_is_told_whole_and_so_is_its_loss():
    doses = dict(ONE.doses)
    doses["adult"] = replace(doses["adult"], sets=(3, 4))
    (sentence,) = changed(doses=MappingProxyType(doses))
    assert sentence.startswith("Dose 19 and older: “3 to 4 × 8, each side, every day, alone, taken from the reference")
    del doses["under_13"]
    assert any("“not for this age”" in one for one in changed(doses=MappingProxyType(doses)))


OTHER = {
    "name": "Another",
    "kind": "strength",
    "answers": (("stride_length", "low"),),
    "instructions": ("Sit down.",),
    "cautions": ("Stop when it hurts.",),
    "effort": "full",
    "load": "band",
    "has_throws": True,
    "doses": MappingProxyType({}),
    "recheck_weeks": (1, 2),
    "source": "A book",
    "status": "published",
    "is_restraint": True,
    "is_return": True,
    "has_impact": True,
    "needs_pain": True,
    "not_in": MappingProxyType({"in_season": "Too much then"}),
}


@pytest.mark.parametrize("field", [one.name for one in fields(Intervention) if one.name != "key"])
def test_every_field_of_an_intervention_is_compared(field):
    """A field that is added to the library later has no value here, and so is not forgotten."""
    assert changed(**{field: OTHER[field]}) != []
