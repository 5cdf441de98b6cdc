"""What can be wrong with the rows of a table that is understood: code, severity, sentence, place."""

from __future__ import annotations

from collections import Counter
from typing import Final

from sessions.formats.cells import column_letter
from sessions.formats.problems import Problem, place_in_file, quote

REPEATS_SHOWN: Final = 20
"""Of one kind in one column the first are listed one by one, the rest counted."""

# Each sentence follows "Sheet “…”, row 12, column D: " and says what was found, then what to do.
SENTENCES: Final[dict[str, tuple[str, str]]] = {
    "wrong_shape": (
        "error",
        "this table has {found}, and the recipe is for {expected}. Match its columns anew.",
    ),
    "column_missing": (
        "warning",
        "the column {header} of the recipe is not in this table, so its values are not imported. "
        "Match the columns anew if it was renamed.",
    ),
    "column_new": ("note", "the recipe does not know the column {header}; it was left out."),
    "metric_unknown": ("error", "the recipe names the metric {metric}, which is not known. Match the column anew."),
    "unit_does_not_fit": ("error", "{sentence} The values were left out."),
    "from_person": (
        "note",
        "{name} is worked out from the athlete’s record and never taken from a file; its values were left out.",
    ),
    "differs_from_parts": (
        "warning",
        "{name} is {given} here, and its parts come to {computed}. What its parts come to is used. "
        "Check the parts, and whether each stands on its side.",
    ),
    "name_unmatched": (
        "warning",
        "{name} is matched to no metric; {count} values were left out. Match it if it is needed.",
    ),
    "throws_not_told_apart": (
        "error",
        "no column says which throw a value belongs to. Match the column with the throw's number.",
    ),
    "no_athlete": ("error", "the row names no athlete and was left out. Fill in the id or the name."),
    "no_date": ("error", "the row has no date and was left out. Fill in the day of the session."),
    "no_throw": ("error", "the row has no throw number and was left out. Fill in which throw it is."),
    "no_metric": ("error", "the row names no metric and was left out. Fill in which metric the value is of."),
    "not_a_date": (
        "error",
        "{cell} is no date; {rows} left out. Write dates as 2026-03-25.",
    ),
    "ambiguous_date": (
        "error",
        "{cell} can be read in two ways; {rows} left out. Choose whether the day or the month comes first.",
    ),
    "day_number": ("note", "{cell} is a spreadsheet's day number and was read as {date}."),
    "date_in_future": (
        "error",
        "{cell} lies in the future; {rows} left out. Correct the date, or the order of day and month.",
    ),
    "date_too_old": ("error", "{cell} is too long ago for a session; {rows} left out. Correct the date."),
    "birth_date_unreadable": (
        "warning",
        "{cell} is no date of birth that can be used; the athlete is sought without it. Correct it.",
    ),
    "two_names": (
        "warning",
        "athlete {id} is called {name} here and {other} before. Check that they are one person.",
    ),
    "not_a_number": ("error", "{cell} is no number; it was left out. Correct or clear it."),
    "not_finite": ("error", "{cell} is no finite number; it was left out. Correct or clear it."),
    "date_in_place_of_number": (
        "error",
        "{cell} is a date where a number belongs: a spreadsheet may have changed it. Export the column as numbers.",
    ),
    "implausible": (
        "warning",
        "{sentence} It was kept out. Check unit and sign of the column, correct it, or accept it in the preview.",
    ),
    "absurd": (
        "error",
        "{sentence} It is too far off to be accepted. Check unit and sign of the column, or correct it.",
    ),
    "column_implausible": (
        "error",
        "{count} of {total} values of {name} are not plausible. Check the column's unit, sign and metric.",
    ),
    "throw_twice_same": (
        "note",
        "{count} rows repeat a throw with the same values; each throw was taken once.",
    ),
    "throw_twice_different": (
        "error",
        "throw {throw} has {name} twice, {first} in {other} and {second} here; the first was kept. "
        "Correct the throw's number or remove one of the rows.",
    ),
    "conditions_differ": (
        "warning",
        "throw {throw} has other conditions here than in {other}; the first were kept. Correct one of them.",
    ),
    "unknown_word": (
        "warning",
        "{cell} is no {field} that is known here; the default of this upload is used. "
        "Correct it or set it in the preview.",
    ),
    "numbered_in_order": (
        "note",
        "the throws of {who} have no distinct numbers ({example}), so they are numbered in the order of the rows.",
    ),
    "more_like_it": ("{severity}", "and {count} more of the same kind in this column."),
}


class ImportProblems:
    """Collects the problems of one sheet; counts what repeats.

    Rows and columns are the layout's; of a `turned` table they are said as they stand in the file.
    """

    def __init__(self, sheet: str = "", *, turned: bool = False) -> None:
        self.sheet = sheet
        self.turned = turned
        self._found: list[Problem] = []
        self._counts: Counter[tuple[str, str | None]] = Counter()

    def add(self, code: str, *, row: int | None = None, column: str | None = None, **facts: object) -> None:
        """Note a problem. KeyError when the code has no sentence."""
        self._counts[code, column] += 1
        if self._counts[code, column] <= REPEATS_SHOWN:
            severity, template = SENTENCES[code]
            self._found.append(self._problem(code, severity, template.format(**facts), row, column))

    def count(self, code: str, column: str | None) -> int:
        """How often this happened in this column, shown or not."""
        return self._counts[code, column]

    def result(self) -> tuple[Problem, ...]:
        """All problems in the order of the file, errors of the whole sheet first."""
        listed = sorted(self._found, key=lambda problem: problem.row or 0)
        template = SENTENCES["more_like_it"][1]
        rest = [
            self._problem(
                "more_like_it", SENTENCES[code][0], template.format(count=count - REPEATS_SHOWN), None, column
            )
            for (code, column), count in self._counts.items()
            if count > REPEATS_SHOWN
        ]
        return (*listed, *rest)

    def words_of_row(self, row: int) -> str:
        """A row of the layout as a sentence names it."""
        return f"column {column_letter(row - 1)}" if self.turned else f"row {row}"

    def _problem(self, code: str, severity: str, sentence: str, row: int | None, column: str | None) -> Problem:
        row, column = place_in_file(row, column, turned=self.turned)
        parts = (
            f"sheet {quote(self.sheet)}" if self.sheet else "",
            f"row {row}" if row is not None else "",
            f"column {column}" if column else "",
        )
        place = ", ".join(part for part in parts if part)
        whole = f"{place}: {sentence}" if place else sentence
        return Problem(code, whole[:1].upper() + whole[1:], severity, self.sheet, row, column)
