"""Suggests what each column of a layout is: who, when, a condition, a metric with its unit, or nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING, Any

from metrics.importing.cells import Cell, text_of
from metrics.importing.guesses import (
    Offer,
    UnitGuess,
    guess_unit,
    landing_of,
    numbers_of,
    offers_for,
    speaks_of_inner_angle,
    speed_unit,
)
from metrics.importing.languages import in_english
from metrics.importing.ranking import Candidate, MetricIndex
from metrics.importing.recipes import MANY_COLUMNS, ColumnTarget, header_keys, moment_text, name_key
from metrics.importing.roles import RoleGuess, guess_role, guess_role_by_values
from metrics.importing.units import Conversion, UnitDoesNotFit, conversion, parse_unit
from metrics.importing.words import read_header, split_unit

if TYPE_CHECKING:
    from metrics.catalogue import Catalogue
    from sessions.formats.layout import Column, Layout

# Under this a column is ignored until a person says what it is (house opinion, no source).
LEAST_CONFIDENCE = 0.6
# Numbers that no reading of the unit makes plausible halve the trust in the match.
IMPLAUSIBLE_NUMBERS = 0.7
ALTERNATIVES = 2
CELLS_DECIDE = frozenset(("throw_number", "pitch_type"))
# Tables of throws hold a few screens at most, tables of a hands-on session hardly anything else.
MOST_ARE_SCREENS = 0.6
HEADERS_LOOKED_AT = 60
OF_THROWS = frozenset(("throw_number", "ball_speed", "pitch_type"))
# No joint angle in radians is larger than a full turn.
ONE_TURN_RAD = 6.2832


@dataclass(frozen=True)
class ColumnSuggestion:
    """What one column, or one name in the metric column of a long table, most likely is.

    `key` is the header's key in recipes. For role "metric": `metric`, how sure (0 to 1) and why ("name",
    "synonym", "words", "unit", "known"), two `alternatives`, the unit (`unit_guessed` when its size and
    not its text says so), the conversion, or in `misfit` the sentence why there is none. `offers` are
    other signs or zeros. `landing` is what the header says about foot contact ("fc", "fp", "").
    `clashes_with` holds the key of the column that wants the same metric or role with more right to it.
    """

    key: str
    header: str
    letter: str
    role: str
    confidence: float
    why: tuple[str, ...] = ()
    metric: str = ""
    alternatives: tuple[Candidate, ...] = ()
    unit_text: str = ""
    unit_guessed: bool = False
    unit_choices: tuple[str, ...] = ()
    conversion: Conversion | None = None
    misfit: str = ""
    offers: tuple[Offer, ...] = ()
    landing: str = ""
    clashes_with: tuple[str, ...] = ()
    in_metric_column: bool = False

    def target(self, offer: Offer | None = None) -> ColumnTarget:
        """The suggestion as a decision; `offer` takes another sign or zero. A clash becomes "ignore"."""
        if self.clashes_with or (self.role == "metric" and self.conversion is None):
            return ColumnTarget(self.key, "ignore")
        found = offer.conversion if offer else self.conversion
        if self.role != "metric" or found is None:
            return ColumnTarget(self.key, self.role, unit_text=self.unit_text)
        return ColumnTarget(
            self.key, "metric", self.metric, found.factor, found.offset, self.unit_text, found.storage_unit,
            self.landing,
        )  # fmt: skip

    def to_json(self) -> dict[str, Any]:
        return asdict(self)


def suggest_columns(
    layout: Layout, catalogue: Catalogue, *, known: Iterable[ColumnTarget] = ()
) -> tuple[ColumnSuggestion, ...]:
    """One suggestion a column in order; in long shape then one for each name in the metric column.

    `known` are targets of earlier recipes: the same header in the same unit is matched as it was. No
    metric is suggested twice for one landing moment without `clashes_with` on all but the likeliest.
    """
    matcher = _Matcher(catalogue, {target.header: target for target in known})
    matcher.look_at(layout)
    columns = [
        matcher.column(key, column, layout.shape)
        for key, column in zip(header_keys(layout), layout.columns, strict=True)
    ]
    suggestions = columns + (matcher.names(layout, columns) if layout.shape == "long" else [])
    suggestions = matcher.with_common_units(suggestions)
    return tuple(_with_clashes(suggestions))


class _Matcher:
    """One pass over one layout: keeps each metric column's numbers until all units are known."""

    def __init__(self, catalogue: Catalogue, known: Mapping[str, ColumnTarget]) -> None:
        self.catalogue = catalogue
        self.known = known
        self.index = MetricIndex(catalogue)
        self.numbers: dict[str, tuple[float, ...]] = {}
        self.guesses: dict[str, UnitGuess] = {}
        self.opposite: dict[str, bool] = {}
        self.of_screens = False

    def look_at(self, layout: Layout) -> None:
        """Settle from all headers whether this is a table of hands-on screens, in which no throw is counted."""
        roles = [self._role(column, layout.shape) for column in layout.columns]
        if not any(guess and guess.role in OF_THROWS for guess in roles):
            both = zip(layout.columns, roles, strict=True)
            self._settle((column.title or column.header, column.unit_text) for column, guess in both if not guess)

    def _settle(self, named: Iterable[tuple[str, str]]) -> None:
        few = islice(named, HEADERS_LOOKED_AT)
        best = [ranked[0] for header, unit in few if (ranked := self.index.rank(header, unit, screens=True))]
        likely = [each for each in best if each.confidence >= LEAST_CONFIDENCE]
        screens = sum(self.catalogue.metrics[each.metric].is_screen for each in likely)
        self.of_screens = screens > MOST_ARE_SCREENS * len(likely)

    def _role(self, column: Column, shape: str) -> RoleGuess | None:
        """The role that the header speaks for, in its own words or in English ones."""
        header = column.title or column.header
        bare, _ = split_unit(header)
        return guess_role(header, column.values, shape=shape) or guess_role(
            in_english(bare), column.values, shape=shape
        )

    def column(self, key: str, column: Column, shape: str) -> ColumnSuggestion:
        """A column's suggestion; its unit may still change with the table's other columns."""
        header = column.title or column.header
        target = self.known.get(key)
        guess = self._role(column, shape)
        # "Pitch" may hold numbers in one room's tables and types in another's: then the cells decide.
        other = guess and target and guess.role != target.role and {guess.role, target.role} <= CELLS_DECIDE
        if target and column.unit_text in ("", target.unit_text) and not other:
            return self._as_known(key, header, column.letter, target)
        if guess is None and shape == "wide":
            suggestion = self._metric(key, header, column.letter, column.unit_text, column.values)
            guess = guess_role_by_values(column.values) if suggestion.role == "ignore" else None
            if guess is None:
                return suggestion
        role = guess.role if guess else "ignore"
        unit, guessed = column.unit_text, False
        if role == "ball_speed" and not unit:
            unit, guessed = speed_unit(numbers_of(column.values)), True
        sure, why = (guess.confidence, (guess.why,)) if guess else (0.0, ())
        return ColumnSuggestion(key, header, column.letter, role, sure, why, unit_text=unit, unit_guessed=guessed)

    def names(self, layout: Layout, columns: Sequence[ColumnSuggestion]) -> list[ColumnSuggestion]:
        """One suggestion for each distinct text of the metric column (with its moment, if one stands by)."""
        values: dict[str, list[Cell]] = {}
        units: dict[str, Counter[str]] = {}
        texts: dict[str, str] = {}
        at = {suggestion.role: index for index, suggestion in enumerate(columns)}
        if "metric_name" not in at or "metric_value" not in at:
            return []
        blank: tuple[Cell, ...] = (None,) * len(layout.row_numbers)
        parts = ("metric_name", "metric_moment", "metric_value", "metric_unit")
        cells = (layout.columns[at[part]].values if part in at else blank for part in parts)
        for name, moment, value, unit in zip(*cells, strict=True):
            text = moment_text(text_of(name), text_of(moment))
            if not text:
                continue
            key = name_key(text)
            texts.setdefault(key, text)
            values.setdefault(key, []).append(value)
            units.setdefault(key, Counter())[text_of(unit)] += 1
        letter = layout.columns[at["metric_name"]].letter
        if not OF_THROWS & set(at):
            self._settle((text, units[key].most_common(1)[0][0]) for key, text in texts.items())
        found = []
        for key, text in texts.items():
            unit = units[key].most_common(1)[0][0]
            target = self.known.get(key)
            suggestion = (
                self._as_known(key, text, letter, target)
                if target and target.role in ("metric", "ignore")
                else self._metric(key, text, letter, unit, values[key])
            )
            found.append(replace(suggestion, in_metric_column=True))
        return found

    def _as_known(self, key: str, header: str, letter: str, target: ColumnTarget) -> ColumnSuggestion:
        found = None
        if target.role == "metric" and target.metric in self.catalogue.metrics:
            words = f"{target.unit_text or 'as they are'}, as matched before"
            found = Conversion(target.factor, target.offset, target.storage_unit, words)
        return ColumnSuggestion(
            key, header, letter, target.role, 1.0, ("known",), target.metric,
            unit_text=target.unit_text, conversion=found, landing=target.landing,
        )  # fmt: skip

    def _metric(self, key: str, header: str, letter: str, unit_text: str, values: Sequence[Cell]) -> ColumnSuggestion:
        """The likeliest metric, or "ignore" with what it might be."""
        numbers = numbers_of(values)
        only_text = not numbers and any(cell is not None for cell in values)
        ranked = self.index.rank(header, unit_text, screens=self.of_screens)
        if only_text or not ranked or ranked[0].confidence < LEAST_CONFIDENCE:
            might_be = () if only_text else ranked[:ALTERNATIVES]
            return ColumnSuggestion(key, header, letter, "ignore", 0.0, alternatives=might_be, unit_text=unit_text)
        best = ranked[0]
        metric = self.catalogue.metrics[best.metric]
        unit = unit_text or read_header(header).unit_text
        guess = UnitGuess(()) if unit else guess_unit(metric, numbers)
        self.numbers[key], self.opposite[key], self.guesses[key] = numbers, best.opposite, guess
        return ColumnSuggestion(
            key, header, letter, "metric", best.confidence, best.why, best.metric,
            ranked[1 : 1 + ALTERNATIVES], unit or (guess.units[0] if guess.units else ""),
            not unit and bool(guess.units), guess.units, landing=landing_of(header, metric),
        )  # fmt: skip

    def with_common_units(self, suggestions: Sequence[ColumnSuggestion]) -> list[ColumnSuggestion]:
        """Settle guessed units by what the table's clear columns use, then convert and make offers.

        A room exports its angles in one unit: trunk tilts of 0.6 are radians beside elbows of 1.5.
        """
        votes: dict[str, Counter[str]] = {}
        for each in suggestions:
            guess = self.guesses.get(each.key)
            reading = parse_unit(each.unit_text) if guess else None
            if guess is None or reading is None:
                continue
            if not each.unit_guessed or (guess.is_decisive and not self._may_be_radians(each)):
                votes.setdefault(reading.quantity, Counter())[reading.canonical] += 1
        return [self._converted(each, votes) if each.key in self.guesses else each for each in suggestions]

    def _may_be_radians(self, suggestion: ColumnSuggestion) -> bool:
        """Angles in degrees, so small that the same numbers could be radians."""
        numbers = self.numbers[suggestion.key]
        return suggestion.unit_text == "deg" and max(map(abs, numbers), default=0.0) <= ONE_TURN_RAD

    def _likeliest_unit(self, suggestion: ColumnSuggestion, votes: Mapping[str, Counter[str]]) -> str:
        """A guessed unit, by the votes of the columns of the same quantity."""
        counts = {unit: count for counter in votes.values() for unit, count in counter.items()}
        if self._may_be_radians(suggestion) and counts.get("rad", 0) > counts.get("deg", 0):
            return "rad"
        canonical = {choice: parse_unit(choice) for choice in suggestion.unit_choices}
        return max(
            suggestion.unit_choices,
            key=lambda choice: counts.get(reading.canonical, 0) if (reading := canonical[choice]) else 0,
        )

    def _converted(self, suggestion: ColumnSuggestion, votes: Mapping[str, Counter[str]]) -> ColumnSuggestion:
        metric = self.catalogue.metrics[suggestion.metric]
        unit = suggestion.unit_text
        if suggestion.unit_guessed:
            unit = self._likeliest_unit(suggestion, votes)
        found = conversion(unit, metric)
        if isinstance(found, UnitDoesNotFit):
            return replace(suggestion, misfit=found.sentence)
        numbers = self.numbers[suggestion.key]
        inner = speaks_of_inner_angle(suggestion.header)
        offers = offers_for(metric, found, numbers, opposite=self.opposite[suggestion.key], inner=inner)
        doubted = bool(numbers) and not suggestion.unit_text and not suggestion.unit_choices and not offers
        return replace(
            suggestion,
            unit_text=unit,
            conversion=found,
            offers=offers,
            confidence=suggestion.confidence * (IMPLAUSIBLE_NUMBERS if doubted else 1.0),
        )


def _with_clashes(suggestions: Sequence[ColumnSuggestion]) -> Iterable[ColumnSuggestion]:
    """Mark all but the likeliest of the columns that want one role, or one metric at one moment."""
    unsaid = {each.metric for each in suggestions if each.role == "metric" and not each.landing}
    wanted: dict[tuple[str, str], list[int]] = {}
    for index, each in enumerate(suggestions):
        if each.role == "metric":
            # Columns for contact and for plant stand side by side only when each says which it is.
            landing = "" if each.metric in unsaid else each.landing
            wanted.setdefault((each.metric, landing), []).append(index)
        elif each.role not in MANY_COLUMNS:
            wanted.setdefault((each.role, ""), []).append(index)
    rival = {}
    for claimants in wanted.values():
        best = max(claimants, key=lambda index: suggestions[index].confidence)  # the first of equals
        rival.update({index: suggestions[best].key for index in claimants if index != best})
    for index, each in enumerate(suggestions):
        yield replace(each, clashes_with=(rival[index],)) if index in rival else each
