"""docs/ranges.md says what the data says."""

import re

from metrics.catalogue import load_catalogue
from metrics.catalogue.profiles import load_starting_profile
from tests.metrics.catalogue.profiles.build_ranges_page import PAGE, build_tables, tables_on_page


def test_the_tables_on_the_page_are_those_of_the_data():
    assert tables_on_page() == build_tables()


def test_every_first_look_metric_has_its_table():
    page = tables_on_page()
    assert all(f"### {metric.name} ({metric.unit})" in page for metric in load_catalogue().first_look)


def test_the_page_names_each_screen_that_no_rule_judges_with_a_reason():
    """Age is shown only, like all context that no rule can judge."""
    judged = {rule["metric"] for rule in load_starting_profile("house_starting").rules}
    without = {screen.key for screen in load_catalogue().screens if screen.key not in judged} - {"age"}
    text = PAGE.read_text(encoding="utf-8")
    section = text[text.index("## Screens without a range") : text.index("## What a coach should know")]
    rows = re.findall(r"^\| (`.+`) \| (\S.*) \|$", section, re.MULTILINE)
    named = [key for keys, _ in rows for key in re.findall(r"`(\w+)`", keys)]
    assert sorted(named) == sorted(without)
