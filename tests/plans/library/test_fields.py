"""An intervention as plain fields, as an installation keeps its own, and back again."""

from __future__ import annotations

import json

import pytest

from plans.library import BadLibrary, from_fields, load_library, to_fields


@pytest.mark.parametrize("one", load_library(), ids=lambda one: one.key)
def test_fields_that_went_through_json_are_the_same_intervention(one):
    assert from_fields(json.loads(json.dumps(to_fields(one))), one.key) == one


FAULTS = {
    "a missing field": ("kind", None, "wall_stretch, kind: the field is missing. Add it."),
    "answers in words": ("answers", "stride_length:low", "answers: pairs of metric and direction are needed"),
    "half an answer": ("answers", [["stride_length"]], "answers: pairs of metric and direction are needed"),
    "a number for a metric": ("answers", [[3, "low"]], "answers: pairs of metric and direction are needed"),
    "one week": ("recheck_weeks", 4, "recheck_weeks: two whole numbers are needed"),
    "a date for weeks": ("recheck_weeks", ["4", "6"], "recheck_weeks: two whole numbers are needed"),
    "an empty name": ("name", "", "name: text is needed"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_fields_of_another_form_are_answered_in_words(sound, fault):
    name, value, expected = FAULTS[fault]
    fields = {**to_fields(sound), name: value}
    if value is None:
        del fields[name]
    with pytest.raises(BadLibrary) as caught:
        from_fields(fields, "wall_stretch")
    assert expected in str(caught.value)
