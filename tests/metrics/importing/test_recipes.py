"""Recipes: what a person decided about a header comes back equal, and mistakes in it are sentences."""

import json
from dataclasses import replace

import pytest

from metrics.importing.conditions import Conditions
from metrics.importing.recipe_checks import check_recipe
from metrics.importing.recipes import (
    SCHEMA_VERSION,
    ColumnTarget,
    Recipe,
    RecipeVersionError,
    header_keys,
    name_key,
)
from tests.metrics.importing.tables import CATALOGUE, drafted, layout_of

ELBOW = ColumnTarget("elbow flexion fc", "metric", "elbow_flexion_fp", 1.0, 0.0, "deg", "deg", "fc")
STRIDE = ColumnTarget("stride length", "metric", "stride_length", 0.0254, 0.0, "in", "m")
NUMBER = ColumnTarget("pitch #", "throw_number")
RECIPE = Recipe(
    shape="wide",
    columns=(NUMBER, ELBOW, STRIDE),
    landing="fc",
    filter_hz=13.4,
    filter_known=True,
    definitions=(("stride_length", CATALOGUE.metrics["stride_length"].definitions[0]),),
    method="motion_capture",
    conditions=Conditions("fastball", "full_effort", "mound", "regulation"),
    warm_up_first=3,
    date_order="mdy",
    decimal_mark=",",
    accept_implausible=("stride_length",),
)
LONG = Recipe(
    shape="long",
    columns=(
        NUMBER,
        ColumnTarget("metric", "metric_name"),
        ColumnTarget("value", "metric_value"),
    ),
    names=(ELBOW,),
)


@pytest.mark.parametrize("recipe", [RECIPE, LONG])
def test_a_recipe_comes_back_equal_from_json_text(recipe):
    assert Recipe.from_json(json.loads(json.dumps(recipe.to_json()))) == recipe
    assert hash(Recipe.from_json(recipe.to_json())) == hash(recipe)


def test_a_recipe_of_a_later_schema_is_refused_with_a_sentence():
    data = RECIPE.to_json() | {"schema_version": SCHEMA_VERSION + 1}
    with pytest.raises(RecipeVersionError, match="match the columns anew"):
        Recipe.from_json(data)


@pytest.mark.parametrize("recipe", [RECIPE, LONG])
def test_a_sound_recipe_has_no_errors(recipe):
    assert check_recipe(recipe, CATALOGUE) == ()


def with_column(target, recipe=RECIPE):
    return replace(recipe, columns=(*recipe.columns, target))


@pytest.mark.parametrize(
    ("recipe", "word"),
    [
        (replace(RECIPE, shape="square"), "Shape"),
        (replace(RECIPE, landing="soon"), "Landing"),
        (replace(RECIPE, method="radar"), "Method"),
        (replace(RECIPE, date_order="mixed"), "Date order"),
        (replace(RECIPE, decimal_mark=";"), "Decimal mark"),
        (replace(RECIPE, conditions=Conditions(surface="ice")), "Surface"),
        (replace(RECIPE, warm_up_first=-1), "warm-up"),
        (replace(RECIPE, filter_hz=1340.0), "cut-off"),
        (replace(RECIPE, filter_known=False), "not known"),
        (replace(RECIPE, columns=(NUMBER,)), "at least one"),
        (replace(RECIPE, definitions=(("stride_length", "by feel"),)), "definitions"),
        (replace(RECIPE, definitions=(("nothing", "x"),)), "no metric"),
        (with_column(ColumnTarget("x", "juggler")), "unknown role"),
        (with_column(ColumnTarget("x", "throw_number")), "throw number"),
        (with_column(ColumnTarget("x", "metric", "no_such")), "no metric here"),
        (with_column(replace(ELBOW, header="again")), "choose one"),
        (with_column(replace(ELBOW, landing="fp")), "matched 2 times"),
        (with_column(replace(ELBOW, header="x", metric="elbow_flexion_br", factor=0.0)), "factor"),
        (with_column(replace(ELBOW, header="x", metric="elbow_flexion_br", unit_text="N")), "does not fit"),
        (with_column(replace(ELBOW, header="x", metric="elbow_flexion_br", unit_text="rad")), "57.2958"),
        (with_column(replace(ELBOW, header="x", metric="elbow_flexion_br", storage_unit="m")), "not in m"),
        (with_column(replace(ELBOW, header="x", metric="hip_ir_front")), "hands-on"),
        (with_column(ColumnTarget("velo", "ball_speed", unit_text="deg")), "no unit of speed"),
        (replace(LONG, names=()), "No name"),
        (replace(LONG, columns=LONG.columns[1:]), "which throw"),
        (replace(LONG, columns=LONG.columns[:2]), "metric value"),
    ],
)
def test_each_mistake_in_a_recipe_is_one_sentence(recipe, word):
    errors = check_recipe(recipe, CATALOGUE)
    assert len(errors) == 1, errors
    assert word in errors[0]


def test_a_flipped_sign_or_inner_angle_is_no_mistake():
    inner = replace(ELBOW, header="x", metric="elbow_flexion_br", factor=-1.0, offset=180.0)
    assert check_recipe(with_column(inner), CATALOGUE) == ()


def test_a_draft_of_a_plain_table_is_sound_and_knows_landing_and_date_order():
    layout = layout_of(
        ("Athlete", "Date", "Throw", "Elbow flexion FC", "Max ER"),
        ("A One", "03/25/2026", 1, 92, 170),
    )
    recipe = drafted(layout)
    assert check_recipe(recipe, CATALOGUE) == ()
    assert (recipe.landing, recipe.date_order, recipe.filter_known) == ("fc", "mdy", False)


def test_headers_that_name_both_contact_and_plant_leave_the_landing_open():
    layout = layout_of(("Throw", "Elbow flexion FC", "Trunk rotation FP"), (1, 92, 100))
    recipe = drafted(layout)
    assert recipe.landing == "unknown"
    assert [target.landing for target in recipe.columns] == ["", "fc", "fp"]


def test_advised_offers_are_taken_only_when_asked():
    layout = layout_of(("Throw", "Lead knee flexion BR"), (1, 150), (2, 148))
    assert drafted(layout).columns[1].offset == 0
    assert drafted(layout, take_advised=True).columns[1].offset == 180


def test_keys_ignore_case_and_punctuation_and_tell_repeated_headers_apart():
    assert name_key("Elbow_Flexion  (FC)") == name_key("elbow flexion fc")
    assert name_key("Pitch #") != name_key("Pitch")
    layout = layout_of(("Throw", "Elbow", "Elbow"), (1, 2, 3))
    assert header_keys(layout) == ("throw", "elbow", "elbow (2)")
