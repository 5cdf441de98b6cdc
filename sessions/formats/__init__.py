"""Bytes of a file → cells, and how they lie: pure, without Django. `reader.Reader` runs it in a limited process.

Recordings are read by `sessions.formats.c3d`, which is not imported here: the process that reads tables has no numpy.
"""

from sessions.formats.cells import Cell, cell_text
from sessions.formats.grid import FileFacts, Table, TableFile
from sessions.formats.layout import Column, Layout
from sessions.formats.problems import Problem, ReaderDied, UnreadableFile
from sessions.formats.results import ReadResult, read_layouts
from sessions.formats.tables import read_table_file
from sessions.formats.understanding import understand_layout

__all__ = [
    "Cell",
    "Column",
    "FileFacts",
    "Layout",
    "Problem",
    "ReadResult",
    "ReaderDied",
    "Table",
    "TableFile",
    "UnreadableFile",
    "cell_text",
    "read_layouts",
    "read_table_file",
    "understand_layout",
]
