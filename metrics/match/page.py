"""The match page of one sheet: what it holds, what was chosen, and saving it as a recipe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from django.core.exceptions import ValidationError
from django.forms import BoundField

from athletes.models import User
from metrics.catalogue import Catalogue, load_catalogue
from metrics.forms_imports import CONDITION_CHOICES, MatchForm, choice_from, match_initial
from metrics.importing.recipes import Recipe
from metrics.match.choices import RowChoice, suggested_choice, target_of
from metrics.match.errors import PlacedErrors, place_errors
from metrics.match.options import options_html
from metrics.match.rows import MatchRow, Source, row_of, sources_of
from metrics.match.words import DEFINITION_WORDS, IGNORE
from metrics.models import ImportDraft, ImportRecipe
from metrics.services.imports.answers import save_recipe
from sessions.models import Method, Upload


@dataclass(frozen=True, slots=True)
class DefinitionQuestion:
    """Metrics of the table that are defined in the same several ways, and the way that was chosen."""

    name: str
    metrics: tuple[str, ...]
    titles: str
    options: tuple[tuple[str, str], ...]
    chosen: str


@dataclass
class MatchPage:
    """`sheet` is one of the draft's layouts. With `data` the page shows what was sent, else what is suggested."""

    upload: Upload
    draft: ImportDraft
    sheet: dict[str, Any]
    data: Mapping[str, Any] | None = None
    errors: PlacedErrors = field(default_factory=PlacedErrors)
    with_screens: bool = False

    def __post_init__(self) -> None:
        self.catalogue: Catalogue = load_catalogue()
        self.in_use = ImportRecipe.objects.filter(fingerprint=self.fingerprint, retired_at=None).first()
        stored = self.in_use.recipe if self.in_use else self.sheet["first_recipe"]
        self.first = Recipe.from_json(stored)
        self.sources: list[Source] = sources_of(self.sheet)
        self.choices = {source.part: self._choice(source) for source in self.sources}
        self.with_screens = self.with_screens or self._may_hold_screens()
        has_dates = any(choice.what in ("date", "birth_date") for choice in self.choices.values())
        initial = match_initial(self.first, self.in_use, self.upload.filename, has_dates=has_dates)
        self.form = MatchForm(self.data, initial=initial)

    @property
    def fingerprint(self) -> str:
        return str(self.sheet["fingerprint"])

    def _choice(self, source: Source) -> RowChoice:
        sent = choice_from(self.data, source) if self.data is not None else None
        return sent or suggested_choice(source.suggestion)

    def column_words(self) -> dict[str, str]:
        return {source.key: source.place for source in self.sources}

    def row(self, part: str) -> MatchRow | None:
        source = next((one for one in self.sources if one.part == part), None)
        return self._row(source, self.column_words()) if source else None

    def _row(self, source: Source, words: Mapping[str, str]) -> MatchRow:
        errors = self.errors.rows.get(source.part, ())
        return row_of(source, self.choices[source.part], self.catalogue, columns=words, errors=errors)

    @cached_property
    def rows(self) -> list[MatchRow]:
        words = self.column_words()
        return [self._row(source, words) for source in self.sources]

    @property
    def condition_fields(self) -> list[BoundField]:
        return [self.form[name] for name in (*CONDITION_CHOICES, "warm_up_first")]

    @property
    def matched_count(self) -> int:
        return sum(choice.what != IGNORE for choice in self.choices.values())

    @property
    def ask_count(self) -> int:
        return sum(row.asks for row in self.rows)

    @property
    def column_options(self) -> str:
        """All that a column can be, as the end of every list; in long shape the metrics stand in rows."""
        which = "roles_of_long" if self.sheet["shape"] == "long" else "all"
        return options_html(which, with_screens=self.with_screens)

    @property
    def name_options(self) -> str:
        return options_html("metrics", with_screens=self.with_screens)

    @property
    def used_rows(self) -> list[MatchRow]:
        return [row for row in self.rows if row.asks or row.choice.what != IGNORE]

    @property
    def unused_rows(self) -> list[MatchRow]:
        return [row for row in self.rows if not row.asks and row.choice.what == IGNORE]

    def _may_hold_screens(self) -> bool:
        if (self.data or {}).get("method", self.first.method) == Method.HANDS_ON:
            return True
        chosen = (choice.metric(self.catalogue) for choice in self.choices.values())
        return any(metric is not None and metric.is_screen for metric in chosen)

    @property
    def definition_questions(self) -> list[DefinitionQuestion]:
        """One question for all metrics of the table that share their definitions."""
        present: dict[tuple[str, ...], list[str]] = {}
        for key in dict.fromkeys(choice.metric_key for choice in self.choices.values()):
            metric = self.catalogue.metrics.get(key)
            if metric and metric.definitions:
                present.setdefault(metric.definitions, []).append(key)
        return [self._question(definitions, keys) for definitions, keys in present.items()]

    def _question(self, definitions: tuple[str, ...], keys: list[str]) -> DefinitionQuestion:
        name = f"definition-{definitions[0]}"
        stored = dict(self.first.definitions)
        sent = (self.data or {}).get(name)
        chosen = sent if sent in definitions else next((stored[key] for key in keys if key in stored), definitions[0])
        titles = ", ".join(self.catalogue.metrics[key].short_name for key in keys)
        options = tuple((one, DEFINITION_WORDS.get(one, one.replace("_", " "))) for one in definitions)
        return DefinitionQuestion(name, tuple(keys), titles, options, str(chosen))

    def recipe(self) -> Recipe:
        """The recipe as chosen. Only for a valid form."""
        sources = {source.part: source for source in self.sources}
        targets = {s.part: target_of(s.key, self.choices[s.part], self.catalogue) for s in self.sources}
        definitions = {key: question.chosen for question in self.definition_questions for key in question.metrics}
        return replace(
            self.form.recipe(self.first, definitions),
            columns=tuple(target for part, target in targets.items() if not sources[part].is_name),
            names=tuple(target for part, target in targets.items() if sources[part].is_name),
        )

    def save(self, by: User) -> bool:
        """Keeps the recipe and reads the upload again; False with every sentence at its place."""
        if not self.form.is_valid():
            return False
        said = self.form.cleaned_data
        try:
            save_recipe(
                upload=self.upload,
                fingerprint=self.fingerprint,
                recipe=self.recipe(),
                name=said["name"],
                setup=said["setup"],
                frame_rate_hz=said["frame_rate_hz"],
                by=by,
            )
        except ValidationError as error:
            self.errors = place_errors(error.messages, self.sources, self.choices, self.catalogue)
            for name, sentences in self.errors.fields.items():
                self.form.add_error(name, sentences)
            return False
        return True


def sheets_to_match(draft: ImportDraft) -> list[dict[str, Any]]:
    """One sheet of each header that has no recipe yet."""
    waiting = {
        sheet["fingerprint"]: sheet
        for sheet in reversed(draft.layouts)
        if sheet["readable"] and not sheet["recipe"] and not sheet.get("left_out")
    }
    return list(reversed(waiting.values()))


def sheet_of_header(draft: ImportDraft, fingerprint: str) -> dict[str, Any] | None:
    return next((s for s in draft.layouts if s["fingerprint"] == fingerprint and s["readable"]), None)
