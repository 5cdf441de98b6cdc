"""Reading an exported table, against the least that reading its numbers takes."""

from __future__ import annotations

import csv
import io
import random

from bench.ratios import Ratio, compare
from sessions.formats import read_table_file, understand_layout

THROWS = 2_000
METRICS = 60


def exported_table() -> bytes:
    """A capture room's export: a header, a row of units, one row a throw."""
    chance = random.Random(11)
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(["Athlete", "Date", "Throw", *(f"Metric {number}" for number in range(METRICS))])
    writer.writerow(["", "", "", *(["deg"] * METRICS)])
    for throw in range(THROWS):
        values = [f"{chance.gauss(90, 12):.3f}" for _ in range(METRICS)]
        writer.writerow([f"A{throw // 20:03d}", "2026-03-02", throw % 20 + 1, *values])
    return text.getvalue().encode()


def measure() -> list[Ratio]:
    data = exported_table()

    def numbers_only() -> int:
        rows = list(csv.reader(io.StringIO(data.decode())))
        return len([[float(cell) for cell in row[3:]] for row in rows[2:]])

    def understood() -> int:
        (table,) = read_table_file(data, "export.csv").tables
        return len(understand_layout(table).columns)

    assert numbers_only() == THROWS
    assert understood() == METRICS + 3
    return [compare(f"read a table of {THROWS} × {METRICS} numbers", floor=numbers_only, work=understood, goal=10.0)]
