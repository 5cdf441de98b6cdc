"""A session as tables to take away: its findings, and the readings of its throws. SI and degrees, as stored."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from athletes.saving import Cell
from metrics.catalogue import Catalogue, load_catalogue
from metrics.selectors.session_rows import SessionRows
from sessions.models import CaptureSession

FINDING_COLUMNS = (
    "n", "mean", "sd", "u", "u_throw", "u_between", "u_constant", "nu", "target_low", "target_high", "flag_low",
    "flag_high", "zone", "side", "sure", "other_zone", "probability", "p_in", "p_out", "p_flag", "reason_code",
    "reason", "weight", "severity", "priority", "confirmation", "size_basis", "size_used", "size_date", "rule_status",
    "condition_set",
)  # fmt: skip
THROW_COLUMNS = ("number", "pitch_type", "intent", "surface", "ball")


def findings_table(rows: SessionRows) -> Iterator[Sequence[Cell]]:
    """The header, then one row a finding in the order of the catalogue; each row names its unit."""
    yield ("metric", "name", "kind", "family", "moment", "unit", *FINDING_COLUMNS, "source", "profile", "catalogue",
           "algorithm")  # fmt: skip
    found = {row.metric: row for row in rows.findings}
    scoring = rows.scoring
    for key, metric in rows.catalogue.metrics.items():
        row = found.get(key)
        if row is None:
            continue
        yield (
            key, metric.name, row.kind, row.family, row.moment, row.unit,
            *(_cell(getattr(row, name)) for name in FINDING_COLUMNS),
            row.rule.source if row.rule else "",
            str(scoring.profile_version) if scoring else "",
            scoring.catalogue_version if scoring else "",
            scoring.algorithm if scoring else "",
        )  # fmt: skip


def throws_table(capture: CaptureSession) -> Iterator[Sequence[Cell]]:
    """The header, then one row a throw; a column a reading, its unit in the header. Not measured is empty."""
    throws = list(capture.throws.prefetch_related("readings").order_by("number"))
    readings = [{key: value for row in throw.readings.all() for key, value in row.values.items()} for throw in throws]
    columns = _columns(readings, load_catalogue())
    yield (*THROW_COLUMNS, "ball speed [m/s]", "excluded", "excluded because",
           *(f"{key} [{unit}]" if unit else key for key, unit in columns))  # fmt: skip
    for throw, values in zip(throws, readings, strict=True):
        yield (
            *(getattr(throw, name) for name in THROW_COLUMNS),
            throw.ball_speed_m_s,
            "yes" if throw.is_excluded else "",
            throw.excluded_reason,
            *(values.get(key, {}).get("value") for key, _ in columns),
        )


def _columns(readings: Iterable[dict], catalogue: Catalogue) -> list[tuple[str, str]]:
    """Reading keys in the order of the catalogue, each with the unit in which it is stored."""
    units: dict[str, str] = {}
    for values in readings:
        for key, value in values.items():
            metric = catalogue.metrics.get(key.partition("@")[0])
            if "value" in value or key not in units:  # a reason without a value says nothing of the unit
                units[key] = str(value.get("unit") or "") or (metric.unit if metric else "")
    order = {key: place for place, key in enumerate(catalogue.metrics)}
    return sorted(units.items(), key=lambda item: (order.get(item[0].partition("@")[0], len(order)), item[0]))


def _cell(value: object) -> Cell:
    return value if value is None or isinstance(value, str | int | float) else str(value)
