"""Which screens a person enters, in which order and under which body part; data/screen_form.csv holds the list.

A row is one screen with its one or two sides. `chosen` orders the dozen that stand first on the form and on the
printed sheet; the choice is the house's (common practice, no published source). Screens that are worked out from
others, or from what is known of the person, are not on the list: nobody types them.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from metrics.catalogue.errors import BadCatalogue
from metrics.catalogue.loader import DATA_FOLDER, load_catalogue
from metrics.catalogue.model import Catalogue, Metric

SCREEN_FORM_FILE = "screen_form.csv"
COLUMNS = ("screen", "part", "title", "noun", "keys", "chosen")
PARTS = ("shoulder", "elbow and grip", "trunk", "hip", "knee and ankle", "strength")
CHOSEN_COUNT = 12

CLASS_WORDS = {"scapular_dyskinesis_throwing": ("normal", "subtle", "obvious")}
"""What the classes 0, 1, 2 are called, as the catalogue's way of measuring says them."""


@dataclass(frozen=True, slots=True)
class EnteredScreen:
    """One screen with its sides. `noun`: the body's part of which a side is named; `chosen`: its place, 0 for none."""

    screen: str
    part: str
    title: str
    noun: str
    keys: tuple[str, ...]
    chosen: int


@dataclass(frozen=True, slots=True)
class ScreenForm:
    """All screens that are entered, in their listed order."""

    screens: tuple[EnteredScreen, ...]
    by_key: Mapping[str, EnteredScreen]

    @property
    def chosen(self) -> tuple[EnteredScreen, ...]:
        """The dozen that comes first, in order."""
        return tuple(sorted((one for one in self.screens if one.chosen), key=lambda one: one.chosen))

    def asked(self, names: Iterable[str]) -> tuple[EnteredScreen, ...]:
        """The screens that names or metric keys stand for, each once; a worked-out one stands for its parts."""
        catalogue, found = load_catalogue(), dict[str, EnteredScreen]()
        by_name = {one.screen: one for one in self.screens}
        for name in names:
            for key in _entered_parts(name, catalogue):
                one = by_name.get(key) or self.by_key.get(key)
                if one:
                    found[one.screen] = one
        return tuple(found.values())


def is_entered(metric: Metric) -> bool:
    """Whether a person types it: a screen that follows from nothing else."""
    return metric.is_screen and not metric.derived_from and not metric.is_from_person


def worked_out_from(keys: Iterable[str]) -> tuple[Metric, ...]:
    """The worked-out screens of which every part, at any depth, is among these."""
    given, catalogue = set(keys), load_catalogue()
    return tuple(
        metric
        for metric in catalogue.screens
        if metric.derived_from and set(_entered_parts(metric.key, catalogue)) <= given
    )


def _entered_parts(name: str, catalogue: Catalogue) -> tuple[str, ...]:
    metric = catalogue.metrics.get(name)
    if metric is None or not metric.derived_from:
        return (name,)
    return tuple(key for part in metric.derived_from for key in _entered_parts(part, catalogue))


@cache
def load_screen_form() -> ScreenForm:
    """The shipped list, read once in a process."""
    return read_screen_form(DATA_FOLDER / SCREEN_FORM_FILE, load_catalogue())


def read_screen_form(path: Path, catalogue: Catalogue) -> ScreenForm:
    """Read and check the list. Raises BadCatalogue with the screen and what is wrong with it."""
    with path.open(encoding="utf-8", newline="") as file:
        table = csv.DictReader(file)
        if tuple(table.fieldnames or ()) != COLUMNS:
            raise BadCatalogue(f"{path.name}: its columns are {', '.join(COLUMNS)}")
        screens = tuple(_screen(row, catalogue, path.name) for row in table)
    _check_whole(screens, catalogue, path.name)
    return ScreenForm(screens, {key: one for one in screens for key in one.keys})


def _screen(row: Mapping[str, str], catalogue: Catalogue, where: str) -> EnteredScreen:
    name, keys = row["screen"], tuple(row["keys"].split())
    if row["part"] not in PARTS:
        raise BadCatalogue(f"{where}: {name} has the part {row['part']!r}; known are {', '.join(PARTS)}")
    for key in keys:
        if key not in catalogue.metrics or not is_entered(catalogue.metrics[key]):
            raise BadCatalogue(f"{where}: {name} names {key!r}, which is no screen that a person enters")
    if not keys or len(keys) > 2:
        raise BadCatalogue(f"{where}: {name} has one side or two")
    chosen = int(row["chosen"]) if row["chosen"] else 0
    return EnteredScreen(name, row["part"], row["title"], row["noun"], keys, chosen)


def _check_whole(screens: tuple[EnteredScreen, ...], catalogue: Catalogue, where: str) -> None:
    keys = [key for one in screens for key in one.keys]
    missing = [metric.key for metric in catalogue.screens if is_entered(metric) and metric.key not in keys]
    if missing or len(set(keys)) != len(keys):
        raise BadCatalogue(
            f"{where}: each entered screen stands here once; not so: {', '.join(missing) or 'one twice'}"
        )
    if sorted(one.chosen for one in screens if one.chosen) != list(range(1, CHOSEN_COUNT + 1)):
        raise BadCatalogue(f"{where}: the chosen ones are numbered 1 to {CHOSEN_COUNT}")
