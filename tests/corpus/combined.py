"""Every shape in every dialect in every language: what no list of single files would cover."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from tests.corpus.block_files import head_lines
from tests.corpus.columns import columns_named, with_headers
from tests.corpus.made import SHORT, CorpusFile, Size, expected_of, sessions_of
from tests.corpus.shapes import long, plain_label, transposed, wide
from tests.corpus.tables import Grid, Told
from tests.corpus.texts import FRENCH, GERMAN, SPANISH, UNICODE_TEXT, Typing, english_words, month_first

SHAPES = ("wide", "long", "block")
LANGUAGES = ("en", "short", "snake", "de", "es", "fr")
DIALECTS = {
    "plain": Typing(),
    "german": GERMAN,
    "spanish": SPANISH,
    "french": FRENCH,
    "unicode text": UNICODE_TEXT,
    "big endian": replace(UNICODE_TEXT, encoding="utf-16-be", mark=b"\xfe\xff"),
    "pipes": Typing(delimiter="|", line_end="\n"),
    "american": Typing(thousands=",", dates=month_first, encoding="cp1252"),
    "old line ends": Typing(delimiter=";", line_end="\r", dates=english_words),
}
DAY_FIRST = {"german": True, "spanish": True, "french": True, "american": False}
COMBINATIONS = tuple(product(SHAPES, LANGUAGES, DIALECTS))


def combined(shape: str, language: str, dialect: str, size: Size) -> CorpusFile:
    """A short table of one of the combinations; of one athlete when it is a block."""
    columns = columns_named(language, "stride_length", *SHORT)
    if shape != "long":
        columns = tuple(with_headers(columns, form="{name} ({unit})"))
    size = replace(size, athletes=1) if shape == "block" else size
    told = Told(sessions_of(size, columns, 80), columns)
    data = DIALECTS[dialect].file(_grid(shape, told))
    return CorpusFile(f"{shape}.txt", data, expected_of(told), day_first=DAY_FIRST.get(dialect))


def _grid(shape: str, told: Told) -> Grid:
    if shape == "wide":
        return wide(told)
    if shape == "long":
        return long(told, ("Athlete", "Date", "Throw", "Metric", "Value", "Unit"))
    session = told.sessions[0]
    table = transposed(told, session, (), corner="Metric", label=plain_label, summaries=("Mean", "SD", "CV"))
    return head_lines(session) + table
