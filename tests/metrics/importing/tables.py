"""Small tables for these tests, read by the real table reader and matched by the real catalogue."""

from metrics.catalogue import load_catalogue
from metrics.importing.drafts import draft_recipe
from metrics.importing.matching import suggest_columns
from sessions.formats.grid import Table
from sessions.formats.understanding import understand_layout

CATALOGUE = load_catalogue()


def layout_of(*rows):
    """A layout from rows of cells; whole numbers become floats, as the reader gives them."""
    cells = [tuple(float(c) if type(c) is int else c for c in row) for row in rows]
    return understand_layout(Table("", tuple(cells)))


def suggested(*rows, known=()):
    """Suggestions by header (or by name in the metric column)."""
    return {each.header: each for each in suggest_columns(layout_of(*rows), CATALOGUE, known=known)}


def drafted(layout, **options):
    return draft_recipe(layout, suggest_columns(layout, CATALOGUE), **options)
