"""Keep docs/ranges.md's tables in step with the data.

Run it as ``python -m tests.metrics.catalogue.profiles.build_ranges_page``.
"""

import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from metrics.catalogue import load_catalogue
from metrics.catalogue.profiles import load_starting_profile
from metrics.catalogue.profiles.loading import RuleValues

PAGE = Path(__file__).parents[4] / "docs" / "ranges.md"
START, END = "<!-- tables: start -->", "<!-- tables: end -->"

METHOD_WORDS = {"motion_capture": "motion capture", "video": "video", "hands_on": "hands-on"}
LEVEL_WORDS = {
    "youth": "youth",
    "high_school": "high school",
    "college": "college",
    "professional": "professional",
    None: "any",
}
LANDING_WORDS = {"fc": "foot contact", "fp": "foot plant", None: "-"}
STATUS_WORDS = {
    "published": "published",
    "from_memory": "from memory",
    "common_practice": "common practice",
    "house_opinion": "house opinion",
}


def limits_text(low: object, high: object) -> str:
    """Return two limits as words; a missing one is an open side."""
    if low is None:
        return f"up to {high:g}"
    if high is None:
        return f"from {low:g}"
    return f"{low:g} to {high:g}"


def flag_text(low: object, high: object) -> str:
    """Return flag limits as words; a missing one never flags."""
    parts = ([f"below {low:g}"] if low is not None else []) + ([f"above {high:g}"] if high is not None else [])
    return ", ".join(parts)


def rule_line(rule: RuleValues) -> str:
    """Return one rule as a row of a Markdown table."""
    written_for = [LANDING_WORDS[rule["landing"]]]
    if rule["filter_hz"]:
        written_for.append(f"{rule['filter_hz']:g} Hz filter")
    if rule["size_basis"] != "none":
        written_for.append(f"{rule['size_basis']} {rule['size_ref']:g}, moves with it")
    cells = (
        METHOD_WORDS[rule["method"]],
        LEVEL_WORDS[rule["level"]],
        ", ".join(word for word in written_for if word != "-") or "-",
        limits_text(rule["target_low"], rule["target_high"]),
        flag_text(rule["flag_low"], rule["flag_high"]),
        STATUS_WORDS[rule["status"]],
    )
    return f"| {' | '.join(cells)} |"


def metric_tables(rules: Iterable[RuleValues]) -> list[str]:
    """Return the lines of one table a first-look metric."""
    lines = []
    for metric in load_catalogue().first_look:
        own = [rule for rule in rules if rule["metric"] == metric.key]
        lines += ["", f"### {metric.name} ({metric.unit})", ""]
        lines += ["| method | level | written for | target | flag | status |", "|---|---|---|---|---|---|"]
        lines += [rule_line(rule) for rule in own]
    return lines


def count_table(rules: Iterable[RuleValues]) -> list[str]:
    """Return the lines of the table that counts rules by status and method."""
    counts = Counter((rule["status"], rule["method"]) for rule in rules)
    lines = ["", "| status | motion capture | video | hands-on |", "|---|---|---|---|"]
    for status, word in STATUS_WORDS.items():
        cells = " | ".join(str(counts[status, method]) for method in METHOD_WORDS)
        lines.append(f"| {word} | {cells} |")
    return lines


def build_tables() -> str:
    """Return everything that stands between the two marks on the page."""
    rules = load_starting_profile("house_starting").rules
    return "\n".join([START, *count_table(rules), *metric_tables(rules), "", END])


def tables_on_page() -> str:
    """Return what the page holds now, marks included."""
    text = PAGE.read_text(encoding="utf-8")
    return text[text.index(START) : text.index(END) + len(END)]


if __name__ == "__main__":
    text = PAGE.read_text(encoding="utf-8")
    PAGE.write_text(text.replace(tables_on_page(), build_tables()), encoding="utf-8")
    sys.stdout.write(f"{PAGE.name} written\n")
