"""How much of a file the readers take in before they refuse it.

The numbers are our own choice, no source: a season of one facility in one long table is about 100,000 rows,
and each limit leaves room for three times the largest table that we expect while a whole read stays under
512 MB of memory.
"""

from __future__ import annotations

FILE_BYTES = 40_000_000
"""Largest file, in bytes as uploaded."""

FILLED_ROWS = 300_000
"""Most rows of one table that hold anything."""

ALL_ROWS = 1_048_576
"""Most rows counting blank ones: where spreadsheet programs end (ECMA-376 readers share this limit)."""

COLUMNS = 2_000
CELLS = 3_000_000
"""Most filled or empty cells between a table's first and last column, over all its rows."""

WORKBOOK_CELLS = 1_200_000
"""What a workbook's sheets may hold together, counting cells that are written without a value: reading one takes
three times as long as one of text, and an answer should come in two seconds."""

CELL_CHARACTERS = 32_767
"""Longest text in one cell: what a spreadsheet cell can hold."""

SHEETS = 100
ZIP_ENTRIES = 5_000
ZIP_TOTAL_BYTES = 300_000_000
"""What all parts of a workbook may declare together, unpacked."""

SHARED_TEXTS = 1_000_000
OTHER_ELEMENTS = 1_000_000
"""Elements of a workbook's sheets and styles that hold no cell: widths, merged ranges, rules, formatting."""

TAG_BYTES = 1_000_000
"""Longest single tag or remark in a workbook's XML: a cell's own takes under a hundred bytes."""

LIST_BYTES = 2_000_000
"""What each list of a workbook's parts, sheets and relations may take unpacked: real ones stay under 100 kB."""

ZIP_RATIO = 250
"""Most unpacked bytes for one packed byte; sheets of numbers reach 5 to 30, and only large parts are held to it."""

ZIP_RATIO_FROM_BYTES = 20_000_000
"""Parts smaller than this, unpacked, may have any ratio: they cannot hurt."""

REPEATS_SHOWN = 20
"""Problems of one kind that are listed one by one in a sheet; the rest are counted."""

LARGEST_NUMBER = 1e15
"""From here on a float no longer holds every whole number, and nothing measured on a pitcher comes near."""

RECORDING_BYTES = 200_000_000
"""Largest motion capture recording, in bytes: five minutes of 50 markers and two plates at 300 Hz have 110 MB."""

RECORDING_MINUTES = 5
"""Longest recording; a throw takes five seconds, and a file of an outing's throws is cut between them."""

RECORDING_POSITIONS = 12_000_000
"""Most markers × frames of one recording: as metres they take 288 MB."""

PLATE_SAMPLES = 1_500_000
"""Most samples of all force plates together: five minutes of two plates at 2,000 Hz have 1,200,000."""

RATE_HZ = 10_000.0
"""Highest frame rate that a recording may claim; optical motion capture ends near 2,000 Hz."""

FARTHEST_M = 1_000.0
"""A position farther from the origin than this is no position in a room."""
