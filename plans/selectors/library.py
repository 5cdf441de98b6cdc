"""The library as pages show it: the list with its choices, and one intervention with everything known of it."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery

from athletes.models import User
from metrics.catalogue import load_catalogue
from plans.library import BadLibrary, Dose, end_words, tell_differences, tell_dose, tell_supervision
from plans.library import Intervention as Value
from plans.library.dose_words import span_words
from plans.library.words import BAND_WORDS, BANDS, BASES, KINDS, PHASES, STATUS_WORDS
from plans.models import Intervention, InterventionMedia, InterventionVersion, Prescription

log = logging.getLogger(__name__)

THROWS = {"yes": "with throws", "no": "without throws"}
STATES = {"": "in use", "withdrawn": "withdrawn"}
OLDEST_FIRST = tuple(BANDS)[::-1]
NOT_READABLE = "An older release wrote this version in a form that is not read any more."


@dataclass(frozen=True, slots=True)
class Choice:
    """What the list is narrowed to; empty: everything. `purpose`: a metric's key; `state`: a key of STATES."""

    words: str = ""
    kind: str = ""
    purpose: str = ""
    band: str = ""
    throws: str = ""
    state: str = ""


@dataclass(frozen=True, slots=True)
class LibraryRow:
    """One line of the list. `running`: athletes who have it in their plan now, of those whom the reader may see."""

    key: str
    value: Value
    is_withdrawn: bool
    is_own: bool
    running: int

    @property
    def purposes(self) -> list[str]:
        return [end_words(end) for end in self.value.answers]

    @property
    def ages(self) -> str:
        return ages_words(self.value)

    @property
    def is_for_all(self) -> bool:
        return len(self.value.doses) == len(BANDS)

    @property
    def dose(self) -> str:
        """Of the oldest whom it is for."""
        return next((tell_dose(self.value.doses[band]) for band in OLDEST_FIRST if band in self.value.doses), "")

    @property
    def weeks(self) -> str:
        return weeks_words(self.value)

    @property
    def status(self) -> str:
        return STATUS_WORDS[self.value.status]


@dataclass(frozen=True, slots=True)
class DoseRow:
    """A line of the table of doses; no words where it is not for that age."""

    ages: str
    words: str
    minutes: int
    supervision: str
    basis: str


@dataclass(frozen=True, slots=True)
class VersionRow:
    """`changes`: sentences, against the version before; empty for the first."""

    version: InterventionVersion
    by: str
    changes: list[str]
    is_first: bool


@dataclass(frozen=True, slots=True)
class LibraryEntry:
    """One intervention. `shown`: the version that the page shows, `latest` the one in force."""

    row: Intervention
    shown: InterventionVersion
    latest: InterventionVersion
    value: Value
    running: int
    media: Sequence[InterventionMedia]
    versions: Sequence[VersionRow]

    @property
    def is_old(self) -> bool:
        return self.shown.number != self.latest.number

    @property
    def purposes(self) -> list[tuple[str, str]]:
        """Metric's key and the words."""
        return [(end[0], end_words(end)) for end in self.value.answers]

    @property
    def doses(self) -> list[DoseRow]:
        return [_dose_row(band, self.value.doses.get(band)) for band in BANDS]

    @property
    def weeks(self) -> str:
        return weeks_words(self.value)

    @property
    def status(self) -> str:
        return STATUS_WORDS[self.value.status]

    @property
    def is_common_practice(self) -> bool:
        return self.value.status == "common_practice"

    @property
    def not_in(self) -> list[tuple[str, str]]:
        return [(PHASES.get(phase, phase), why) for phase, why in self.value.not_in.items()]


# ---- the list -------------------------------------------------------------------------------------------


def latest_versions(rows: QuerySet[Intervention]) -> QuerySet[InterventionVersion]:
    """The version in force of each; one query."""
    newest = InterventionVersion.objects.filter(intervention=OuterRef("intervention")).order_by("-number")
    found = InterventionVersion.objects.filter(intervention__in=rows, number=Subquery(newest.values("number")[:1]))
    return found.select_related("intervention").order_by("intervention_id")


def readable(versions: Iterable[InterventionVersion]) -> Iterator[tuple[Any, Value]]:
    """Each with what it says. One that an older release wrote in another form breaks no page: it is left out."""
    for one in versions:
        value = _read(one)
        if value is None:
            log.warning("Version %s of intervention %s cannot be read.", one.number, one.intervention.key)
        else:
            yield one, value


def library_rows(reader: User, choice: Choice) -> list[LibraryRow]:
    """Kind by kind, in the library's order. Three queries."""
    interventions = Intervention.everything.visible_to(reader)
    interventions = interventions.filter(withdrawn_at__isnull=choice.state != "withdrawn")
    running = running_counts(reader)
    rows = [
        LibraryRow(
            key=one.intervention.key,
            value=value,
            is_withdrawn=one.intervention.withdrawn_at is not None,
            is_own=not one.shipped_version and not one.comes_shipped,
            running=running.get(one.intervention_id, 0),
        )
        for one, value in readable(latest_versions(interventions).annotate(comes_shipped=_first_shipped()))
    ]
    return sorted((row for row in rows if _is_chosen(row, choice)), key=lambda row: KINDS.index(row.value.kind))


def by_kind(rows: Iterable[LibraryRow]) -> list[tuple[str, list[LibraryRow]]]:
    return [(kind, list(of_kind)) for kind, of_kind in groupby(rows, key=lambda row: row.value.kind)]


def purposes_in_use(reader: User) -> list[tuple[str, str]]:
    """Metric's key and name, by name: what anything of the library is meant for."""
    known = load_catalogue().metrics
    versions = latest_versions(Intervention.objects.visible_to(reader))
    keys = {metric for _, value in readable(versions) for metric, _ in value.answers}
    return sorted(((key, known[key].name) for key in keys if key in known), key=lambda pair: pair[1])


def running_counts(reader: User) -> Mapping[int, int]:
    """Intervention → athletes who have it in their plan now, of those whom the reader may see."""
    rows = Prescription.objects.visible_to(reader).open().order_by().values("version__intervention")
    return dict(rows.annotate(held=Count("athlete", distinct=True)).values_list("version__intervention", "held"))


def _first_shipped() -> Subquery:
    first = InterventionVersion.objects.filter(intervention=OuterRef("intervention"), number=1)
    return Subquery(first.values("shipped_version")[:1])


def _is_chosen(row: LibraryRow, choice: Choice) -> bool:
    value = row.value
    text = " ".join((value.name, *row.purposes, *value.instructions)).casefold()
    return (
        all(word in text for word in choice.words.casefold().split())
        and choice.kind in ("", value.kind)
        and (not choice.purpose or any(metric == choice.purpose for metric, _ in value.answers))
        and (not choice.band or choice.band in value.doses)
        and (not choice.throws or (choice.throws == "yes") == value.has_throws)
    )


# ---- one intervention -----------------------------------------------------------------------------------


def library_entry(row: Intervention, reader: User, number: int | None = None) -> LibraryEntry | None:
    """`number`: of an older version to show. None when it has no such version or none that can be read."""
    versions = list(row.versions.select_related("written_by").order_by("-number"))
    shown = next((one for one in versions if number in (None, one.number)), None)
    value = _read(shown) if shown else None
    if shown is None or value is None:
        return None
    return LibraryEntry(
        row=row,
        shown=shown,
        latest=versions[0],
        value=value,
        running=running_counts(reader).get(row.pk, 0),
        media=list(row.media.order_by("added_at", "pk").filter(withdrawn_at=None)),
        versions=[_version_row(one, before) for one, before in zip(versions, [*versions[1:], None], strict=True)],
    )


def _version_row(one: InterventionVersion, before: InterventionVersion | None) -> VersionRow:
    by = str(one.written_by) if one.written_by else "Moundbook"
    if before is None:
        return VersionRow(one, by, [], is_first=True)
    then, now = _read(before), _read(one)
    return VersionRow(one, by, tell_differences(then, now) if then and now else [NOT_READABLE], is_first=False)


def _read(version: InterventionVersion) -> Value | None:
    try:
        return version.value
    except BadLibrary:
        return None


def _dose_row(band: str, dose: Dose | None) -> DoseRow:
    if dose is None:
        return DoseRow(BAND_WORDS[band], "", 0, "", "")
    return DoseRow(BAND_WORDS[band], tell_dose(dose), dose.minutes, tell_supervision(dose), BASES[dose.basis])


def ages_words(value: Value) -> str:
    """ "every age", or its bands."""
    there = [band for band in BANDS if band in value.doses]
    if len(there) == len(BANDS):
        return "every age"
    return ", ".join(BAND_WORDS[band] for band in there)


def weeks_words(value: Value) -> str:
    return f"{span_words(value.recheck_weeks)} {'week' if value.recheck_weeks == (1, 1) else 'weeks'}"
