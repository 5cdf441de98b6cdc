"""docs/ranges.md says what the data says."""

from metrics.catalogue import load_catalogue
from tests.metrics.catalogue.profiles.build_ranges_page import build_tables, tables_on_page


def test_the_tables_on_the_page_are_those_of_the_data():
    assert tables_on_page() == build_tables()


def test_every_first_look_metric_has_its_table():
    page = tables_on_page()
    assert all(f"### {metric.name} ({metric.unit})" in page for metric in load_catalogue().first_look)
