"""docs/causes.md counts what the tables hold."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from metrics.catalogue.causes import load_unanswered
from metrics.catalogue.causes.directions import starting_sides
from tests.source import CHECKOUT


@pytest.fixture(scope="module")
def page():
    return " ".join((CHECKOUT / "docs/causes.md").read_text(encoding="utf-8").split())


def test_links_by_status(page, links):
    stated = dict(re.findall(r"\| (published|common practice|from memory) \|[^|]*\| (\d+) \|", page))
    counted = Counter(one.status.replace("_", " ") for one in links)
    assert {status: int(number) for status, number in stated.items()} == counted


def test_links_by_strength(page, links):
    counted = Counter(one.strength for one in links)
    assert f"{counted['weak']} links are weak, {counted['moderate']} moderate, {counted['strong']} strong." in page


def test_links_and_ends(page, links):
    ends = {one.effect_end for one in links} | {one.cause_end for one in links}
    assert f"That is {len(links)} links over {len(ends)} ends" in page


def test_rows_of_the_raw_table(page, published):
    assert f"The raw material has {len(published('cause_links'))} rows." in page


def test_interventions(page, interventions):
    counted = Counter(one.status for one in interventions)
    words = f"Interventions: {len(interventions)}, of which {counted['published']} are published"
    assert words in page
    assert f"and {counted['common_practice']} common practice" in page
    assert f"with the reason ({len(load_unanswered())} do)" in page


def test_causes_without_a_starting_range(links):
    """The list of the page under "before leaning on it", in the catalogue's keys."""
    without = {key for one in links for key in (one.effect, one.cause)} - set(starting_sides())
    assert without == {
        "age", "ball_speed", "bmi", "humeral_retrotorsion_difference", "workload_7_days",
        "lumbopelvic_step_down_back", "lumbopelvic_step_down_front", "er_strength_prone",
        "supraspinatus_strength_throwing", "hip_abductor_strength_back", "hip_extensor_strength_back",
        "hip_extension_active_back", "hip_abduction_active_front",
    }  # fmt: skip
