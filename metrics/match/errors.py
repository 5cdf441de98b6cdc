"""Sentences that speak against a recipe, each at its place on the page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from metrics.catalogue import Catalogue
from metrics.match.choices import RowChoice
from metrics.match.rows import Source

# Beginning of a sentence → the field that it speaks of.
FIELD_OF_SENTENCE = (
    ("Give the recipe a name", "name"),
    ("A frame rate", "frame_rate_hz"),
    ("The filter's cut-off", "filter_hz"),
    ("A filter frequency", "filter_hz"),
    ("The number of warm-up", "warm_up_first"),
)


@dataclass(slots=True)
class PlacedErrors:
    """`rows` by the row's part, `fields` by name; `page` stands above everything."""

    rows: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    fields: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    page: list[str] = field(default_factory=list)


def place_errors(
    sentences: Iterable[str], sources: Iterable[Source], choices: Mapping[str, RowChoice], catalogue: Catalogue
) -> PlacedErrors:
    placed, listed = PlacedErrors(), list(sources)
    for sentence in sentences:
        name = next((name for start, name in FIELD_OF_SENTENCE if sentence.startswith(start)), "")
        parts = _rows_of(sentence, listed, choices, catalogue)
        if name:
            placed.fields[name].append(sentence)
        for part, own in parts:
            placed.rows[part].append(own)
        if not name and not parts:
            placed.page.append(sentence)
    return placed


def _rows_of(
    sentence: str, sources: list[Source], choices: Mapping[str, RowChoice], catalogue: Catalogue
) -> list[tuple[str, str]]:
    """(row, sentence there). What names a header stands at it; what names a metric or role twice, at each of them."""
    for source in sources:
        start = f"“{source.key}”: "
        if sentence.startswith(start):
            own = sentence.removeprefix(start)
            return [(source.part, own[:1].upper() + own[1:])]
    return [
        (source.part, sentence)
        for source in sources
        if _is_named(sentence, choices.get(source.part, RowChoice()), catalogue)
    ]


def _is_named(sentence: str, choice: RowChoice, catalogue: Catalogue) -> bool:
    metric = choice.metric(catalogue)
    if metric is not None:
        return f"columns are matched to {metric.name}:" in sentence
    return f"columns are the {choice.what.replace('_', ' ')}:" in sentence
