"""Write ``published.csv`` from the published reference tables.

Run it as ``python -m tests.metrics.catalogue.profiles.build_published``.

Every number is a published mean with its SD (target mean ± 1 SD, flag mean ± 2 SD) or a published cut-off. What
is chosen here, in the two selection tables beside this file, is only *which* published row serves a metric at a level.
"""

import csv
import io
import sys
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path

from metrics.catalogue.profiles.loading import COLUMNS, PROFILE_FOLDER

HERE = Path(__file__).parent
REFERENCE_FOLDER = Path(__file__).parents[3] / "reference" / "data"
PUBLISHED_FILE = PROFILE_FOLDER / "published.csv"

STATUS_WORDS = {"verified": "published", "memory": "from_memory", "common practice": "common_practice"}
LIMITS = ("target_low", "target_high", "flag_low", "flag_high", "unit_low", "unit_high")

ELSEWHERE = ("as above", "same position", "difference of sides")
"""How the reference table words a technique that stands on another of its rows: the choice's own note says it."""

Row = dict[str, str]


class SelectionError(ValueError):
    """A selection names no reference row, or more than one."""


def read_rows(path: Path) -> list[Row]:
    """Return the rows of a CSV file with a header row, as text."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def find_one(rows: Iterable[Row], criteria: Mapping[str, str], source: str) -> Row:
    """Return the only row that equals the criteria and whose source starts with ``source``."""
    found = [
        row
        for row in rows
        if row["source"].startswith(source) and all(row[name] == wanted for name, wanted in criteria.items())
    ]
    if len(found) != 1:
        raise SelectionError(f"{dict(criteria)} from {source!r}: expected one row, found {len(found)}")
    return found[0]


def norm_limits(mean: str, sd: str) -> Row:
    """Return target (mean ± 1 SD) and flag limits (mean ± 2 SD), exact in decimals."""
    centre, spread = Decimal(mean), Decimal(sd)
    return {
        "target_low": f"{centre - spread}",
        "target_high": f"{centre + spread}",
        "flag_low": f"{centre - 2 * spread}",
        "flag_high": f"{centre + 2 * spread}",
        "source_mean": mean,
        "source_sd": sd,
    }


def kinematic_rule(selection: Row, reference: Sequence[Row]) -> Row:
    """Return one rule from a published mean and SD of a mechanic or an outcome."""
    criteria = {"metric_key": selection["reference_key"], "level": selection["reference_level"]}
    published = find_one(reference, criteria, selection["reference_source"])
    return {
        "metric": selection["metric"],
        "method": "motion_capture",
        "level": selection["level"],
        **norm_limits(published["mean"], published["sd"]),
        "landing": selection["landing"],
        "definition": selection["definition"],
        "filter_hz": selection["filter_hz"],
        "source": published["source"],
        "status": STATUS_WORDS[published["status"]],
        "note": join_sentences(f"n {published['n']}.", published["note"], selection["note"]),
    }


def screen_rule(selection: Row, reference: Sequence[Row]) -> Row:
    """Return one rule from a published norm (mean and SD) or cut-off of a physical screen."""
    criteria = {name: selection[name] for name in ("screen_key", "screen_name")}
    published = find_one(reference, criteria, selection["reference_source"])
    if published["threshold"] != selection["threshold"]:
        raise SelectionError(f"{criteria}: the cut-off is {published['threshold']!r}")
    chosen = {name: selection[name] for name in LIMITS}
    technique = "" if published["how_measured"].startswith(ELSEWHERE) else f"Technique: {published['how_measured']}."
    limits = norm_limits(published["norm_mean"], published["norm_sd"]) if published["norm_sd"] else chosen
    return {
        "metric": selection["metric"],
        "method": "hands_on",
        "level": selection["level"],
        **limits,
        "definition": selection["definition"],
        "source": published["source"],
        "status": STATUS_WORDS[published["status"]],
        "note": join_sentences(f"{published['population']}.", technique, selection["note"]),
    }


def join_sentences(*parts: str) -> str:
    """Return the parts that hold something, as one line."""
    return " ".join(part.strip() for part in parts if part.strip())


def build_published() -> str:
    """Return the text of ``published.csv``."""
    kinematics = read_rows(REFERENCE_FOLDER / "pitching_kinematics_by_level.csv")
    screens = read_rows(REFERENCE_FOLDER / "physical_screens.csv")
    rules = [kinematic_rule(row, kinematics) for row in read_rows(HERE / "selection.csv")]
    rules += [screen_rule(row, screens) for row in read_rows(HERE / "selection_screens.csv")]
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rules)
    return text.getvalue()


if __name__ == "__main__":
    PUBLISHED_FILE.write_text(build_published(), encoding="utf-8")
    sys.stdout.write(f"{PUBLISHED_FILE.name} written\n")
