"""Cause links as a CSV file: written as they are stored, and read back with every problem by its row."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence

from athletes.saving import FORMULA_STARTS, Cell
from metrics.catalogue.causes import Link
from metrics.causes import LINK_FIELDS, PAIR, pair_of
from metrics.models import CauseKind, CauseLink, Direction, LinkStrength, RuleStatus

MOST_BYTES = 1_000_000
MOST_ROWS = 2_000
"""House opinion: ten times the starting links are far more than anybody reads."""

DELIMITERS = (",", ";", "\t")
CHOICES: Mapping[str, Sequence[str]] = {
    "effect_direction": Direction.values,
    "cause_direction": Direction.values,
    "kind": CauseKind.values,
    "strength": LinkStrength.values,
    "status": RuleStatus.values,
}
LENGTHS: Mapping[str, int] = {field.name: field.max_length or 0 for field in CauseLink._meta.fields}
MAY_BE_EMPTY = frozenset({"both_ways"})
EARLY_AND_LATE = " (early is low, late is high)"


class UnreadableLinks(ValueError):
    """A file that gives no links. ``sentences``: each problem with its row; row 1 is the head."""

    def __init__(self, sentences: Sequence[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__(" ".join(self.sentences))


def links_table(links: Iterable[Link]) -> Iterator[Sequence[Cell]]:
    """The head, then one row a link; `read_links` takes it back."""
    yield LINK_FIELDS
    for link in links:
        yield tuple(getattr(link, name) for name in LINK_FIELDS)


def read_links(data: bytes) -> list[Link]:
    """The links of a CSV file in the columns of `links_table`, in any order. Raises UnreadableLinks."""
    rows = _rows(_text(data))
    if not rows:
        raise UnreadableLinks(["The file is empty. Its first row names the columns: " + ", ".join(LINK_FIELDS) + "."])
    head = [cell.strip().lower() for cell in rows[0]]
    _check_head(head)
    sentences: list[str] = []
    links: list[Link] = []
    first_row: dict[tuple[str, ...], int] = {}
    for number, cells in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in cells):
            continue
        if wrong := _wrong_width(number, cells, head):
            sentences.append(wrong)
            continue
        values = {name: _plain(cell) for name, cell in zip(head, cells, strict=False)}
        sentences += _wrong_cells(number, values)
        link = Link(**{name: values[name] for name in LINK_FIELDS})
        if earlier := first_row.get(pair_of(link)):
            ends = f"{link.cause} {link.cause_direction} → {link.effect} {link.effect_direction}"
            sentences.append(f"Row {number}: {ends} stands in row {earlier} already. Keep one of the two.")
        first_row.setdefault(pair_of(link), number)
        links.append(link)
    if not links and not sentences:
        sentences = ["There is no link below the head."]
    if sentences:
        raise UnreadableLinks(sentences)
    return links


def _text(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        raise UnreadableLinks([f"The file has {len(data):,} bytes; cause links never need more than {MOST_BYTES:,}."])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise UnreadableLinks(
            [f"Line {line} holds characters that are not UTF-8. Save the file as “CSV UTF-8” and send it again."]
        ) from None


def _rows(text: str) -> list[list[str]]:
    head = text.split("\n", 1)[0]
    delimiter = max(DELIMITERS, key=head.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise UnreadableLinks([f"The file is no whole CSV file ({error}). Save it again and send it again."]) from None
    if len(rows) > MOST_ROWS + 1:
        raise UnreadableLinks([f"The file has {len(rows) - 1:,} rows; at most {MOST_ROWS:,} are taken."])
    return rows


def _check_head(head: Sequence[str]) -> None:
    missing = [name for name in LINK_FIELDS if name not in head]
    unknown = [name or "(empty)" for name in head if name not in LINK_FIELDS]
    twice = sorted({name for name in head if head.count(name) > 1})
    sentences = []
    if missing:
        sentences.append(f"Row 1: the column{_s(missing)} {', '.join(missing)} {_are(missing)} missing.")
    if unknown:
        sentences.append(f"Row 1: the column{_s(unknown)} {', '.join(unknown)} {_are(unknown)} not known. Take it out.")
    if twice:
        sentences.append(f"Row 1: {', '.join(twice)} stands there twice. Keep one.")
    if sentences:
        raise UnreadableLinks([*sentences, f"The columns are {', '.join(LINK_FIELDS)}."])


def _s(names: Sequence[str]) -> str:
    return "" if len(names) == 1 else "s"


def _are(names: Sequence[str]) -> str:
    return "is" if len(names) == 1 else "are"


def _wrong_width(number: int, cells: Sequence[str], head: Sequence[str]) -> str:
    if len(cells) == len(head):
        return ""
    return (
        f"Row {number} has {len(cells)} cells where the head has {len(head)}. "
        "Text with a separator in it stands between double quotes."
    )


def _plain(cell: str) -> str:
    """Without the quote that a saved table puts before text that a spreadsheet would run."""
    text = cell.strip()
    return text[1:] if text.startswith("'") and text[1:].startswith(FORMULA_STARTS) else text


def _wrong_cells(number: int, values: Mapping[str, str]) -> Iterator[str]:
    for name in LINK_FIELDS:
        value, most = values[name], LENGTHS[name]
        if not value:
            if name not in MAY_BE_EMPTY:
                yield f"Row {number}: {name} is empty."
        elif name in CHOICES and value not in CHOICES[name]:
            hint = EARLY_AND_LATE if name in PAIR else ""
            yield f"Row {number}: {name} is “{value}”. Write {', '.join(CHOICES[name])}{hint}."
        elif len(value) > most:
            yield f"Row {number}: {name} has {len(value)} characters; at most {most} are kept."
