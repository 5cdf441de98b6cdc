"""The files that the reader's own tests know, sent through the door."""

from __future__ import annotations

from dataclasses import replace

from tests.metrics.imports.hostile_files.rows import Fate, Hostile, read, refused
from tests.sessions.formats import hostile

# What the reader's table holds by its code, as the page says it.
TOLD = {
    "": "",
    "other_extension": "it was read as",
    "macros": "The workbook holds macros. They are never run; only the values were read.",
    "no_header": "no row with the names of the columns was found",
    "formula_without_value": "row 2, column B: this cell holds a formula and the file has no result for it",
    "number_as_text": "numbers are stored as text, 2 times; they were read as numbers",
    "infinite_number": "is no number that can be measured; it was left out",
    "number_out_of_reach": "“1e308” is too large to be a measurement; it was left out",
    "missing_words": "“NaN”, once: taken as not measured",
    "row_too_long": "Row 3: the row has 3 cells and there are 2 columns, so it was left out",
    "other_delimiter": "Row 3: the row is divided by another character than the rest of the file",
    "unclosed_quote": "Row 3: a quotation mark opens in this row and never closes",
}

ROWS: dict[str, Hostile] = {
    **{name: refused(make, filename, piece) for name, (make, filename, _, piece) in hostile.REFUSED.items()},
    **{name: read(make, filename, TOLD[code]) for name, (make, filename, code) in hostile.TOLD.items()},
}
ROWS["empty"] = replace(ROWS["empty"], fate=Fate.TURNED_AWAY, sentence="“a.csv” is empty (0 bytes). Export it again")
