"""Writes tables as a capture room might export them, and says what a reader must find. Shares no code with it."""

from __future__ import annotations

import io
import random
from dataclasses import dataclass

import openpyxl

METRICS = (
    ("Elbow flexion at foot plant", "deg", 90.0, 8.0),
    ("Stride length", "% height", 82.0, 5.0),
    ("Pelvis velocity", "deg/s", 620.0, 60.0),
    ("Peak torque", "N·m", 71.5, 9.0),
)
ATHLETES = ("Sam Hill", "Zoë Müller", "José Peña")


@dataclass(frozen=True)
class Expected:
    """names, units and rows as typed Python values: text, float or None."""

    shape: str
    names: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[tuple[str | float | None, ...], ...]


def wide(throws: int = 6, seed: int = 7) -> Expected:
    rng = random.Random(seed)
    names = ("Athlete", "Date", "Throw", *(name for name, *_ in METRICS))
    units = ("", "", "", *(unit for _, unit, *_ in METRICS))
    rows = []
    for athlete in ATHLETES:
        for throw in range(1, throws + 1):
            values = [round(rng.gauss(mean, sd), 2) for *_, mean, sd in METRICS]
            rows.append((athlete, "2026-03-14", float(throw), *values))
    rows[1] = (*rows[1][:4], None, *rows[1][5:])
    return Expected("wide", names, units, tuple(rows))


def long(throws: int = 4, seed: int = 11) -> Expected:
    rng = random.Random(seed)
    rows = [
        (athlete, "2026-03-14", float(throw), name, round(rng.gauss(mean, sd), 2), unit)
        for athlete in ATHLETES
        for throw in range(1, throws + 1)
        for name, unit, mean, sd in METRICS
    ]
    names = ("athlete", "date", "throw", "metric", "value", "unit")
    return Expected("long", names, ("",) * 6, tuple(rows))


def as_text(
    table: Expected,
    *,
    delimiter: str = ",",
    decimal_mark: str = ".",
    units: str = "row",
    newline: str = "\r\n",
    preamble: tuple[str, ...] = (),
) -> str:
    """units: "row" below the names, "header" in brackets behind each, or "none"."""

    def cell(value: str | float | None) -> str:
        text = "" if value is None else f"{value:g}" if isinstance(value, float) else value
        if isinstance(value, float) and decimal_mark == ",":
            text = text.replace(".", ",")
        quoted = delimiter in text or '"' in text or "\n" in text
        return '"' + text.replace('"', '""') + '"' if quoted else text

    names = [
        f"{name} ({unit})" if units == "header" and unit else name
        for name, unit in zip(table.names, table.units, strict=True)
    ]
    lines = [*preamble, delimiter.join(map(cell, names))]
    if units == "row" and any(table.units):
        lines.append(delimiter.join(table.units))
    lines += [delimiter.join(map(cell, row)) for row in table.rows]
    return newline.join(lines) + newline


def as_workbook(table: Expected, *, units: bool = True, title: str = "Throws") -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    fill(sheet, table, units=units)
    return saved(book)


def fill(sheet, table: Expected, *, units: bool = True) -> None:
    sheet.append(table.names)
    if units and any(table.units):
        sheet.append([unit or None for unit in table.units])
    for row in table.rows:
        sheet.append(row)


def saved(book: openpyxl.Workbook) -> bytes:
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()
