"""A recording measured whole: every throw that it holds, as plain values that can be sent and printed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final

from metrics.catalogue import Metric, load_catalogue
from metrics.kinematics import MetricValue, NotMeasured, ThrowMeasurement, find_throws, measure_throw
from metrics.kinematics.filters import HIGHEST_SHARE
from metrics.measuring.asked import Asked
from sessions.formats.c3d import read_c3d
from sessions.formats.problems import UnreadableFile
from sessions.formats.recording import Recording

PERCENT: Final = 100.0


@dataclass(frozen=True, slots=True)
class MeasuredValue:
    """One metric of one throw in the catalogue's unit: a value, or a reason.

    ``uncertainty``: standard, None when not known. ``low_by``: how much lower it reads through the default filter.
    """

    value: float | None
    unit: str
    uncertainty: float | None = None
    reason: str | None = None
    low_by: float | None = None


@dataclass(frozen=True, slots=True)
class MeasuredThrow:
    """``events``: key → s from the file's first frame. ``metrics``: key → value, foot plant taken as the landing.

    ``side``: "right" or "left". ``filter_hz``: None for no filter. ``notices``: what to know; ``questions``: what a
    person confirms before it is scored.
    """

    side: str
    rate_hz: float
    filter_hz: float | None
    events: dict[str, float]
    metrics: dict[str, MeasuredValue]
    notices: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MeasuredFile:
    """``refusals``: why the file, or a throw of it, was not measured. ``problems``: oddities of the file itself."""

    file: str
    throws: tuple[MeasuredThrow, ...] = ()
    refusals: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> MeasuredFile:
        throws = tuple(
            MeasuredThrow(
                throw["side"],
                throw["rate_hz"],
                throw["filter_hz"],
                throw["events"],
                {key: MeasuredValue(**value) for key, value in throw["metrics"].items()},
                tuple(throw["notices"]),
                tuple(throw["questions"]),
            )
            for throw in stored["throws"]
        )
        return cls(stored["file"], throws, tuple(stored["refusals"]), tuple(stored["problems"]))


def measure_bytes(data: bytes, filename: str, asked: Asked) -> MeasuredFile:
    """A C3D file's bytes read and measured in this process. What cannot be read comes back as a refusal."""
    try:
        recording = read_c3d(data, filename)
    except UnreadableFile as error:
        return MeasuredFile(filename, refusals=(error.sentence,))
    return measure_recording(recording, asked)


def measure_recording(recording: Recording, asked: Asked) -> MeasuredFile:
    """Every throw of a recording. What cannot be measured comes back as a refusal."""
    problems = tuple(one.sentence for one in recording.problems)
    highest = HIGHEST_SHARE * recording.rate_hz
    if asked.filter_hz is not None and asked.filter_hz >= highest:
        refusal = (
            f"A filter of {asked.filter_hz:g} Hz needs more than the file's {recording.rate_hz:g} frames a second: "
            f"choose one under {highest:g} Hz, or none."
        )
        return MeasuredFile(recording.source, refusals=(refusal,), problems=problems)
    try:
        found = find_throws(recording)
    except NotMeasured as refused:
        return MeasuredFile(recording.source, refusals=(refused.sentence,), problems=problems)
    throws, refusals = [], []
    for throw in found:
        try:
            measured = measure_throw(
                recording, throw=throw, height_m=asked.height_m, mass_kg=asked.mass_kg, side=asked.side,
                filter_hz=asked.filter_hz,
            )  # fmt: skip
        except NotMeasured as refused:
            place = f"Throw at {throw.fastest_s:.2f} s: " if len(found) > 1 else ""
            refusals.append(f"{place}{refused.sentence}")
        else:
            throws.append(_plain(measured, asked.height_m))
    return MeasuredFile(recording.source, tuple(throws), tuple(refusals), problems)


def _plain(measured: ThrowMeasurement, height_m: float) -> MeasuredThrow:
    report = measured.report
    return MeasuredThrow(
        report.side,
        report.rate_hz,
        report.filter_hz,
        {name: float(time) for name, time in measured.events.items()},
        dict(_values(measured.at_landing("fp"), height_m)),
        tuple(one.sentence for one in report.notices),
        tuple(one.sentence for one in report.questions),
    )


def _values(readings: Mapping[str, MetricValue], height_m: float) -> Iterator[tuple[str, MeasuredValue]]:
    """Readings in the catalogue's units and order: lengths that it gives in percent of height are kept in metres."""
    catalogue = load_catalogue()
    for key, reading in readings.items():
        factor = _factor(catalogue.metric(key), reading, height_m)
        numbers = (
            None if number is None else float(number) * factor
            for number in (reading.value, reading.uncertainty, reading.low_by)
        )
        value, uncertainty, low_by = numbers
        yield key, MeasuredValue(value, catalogue.metric(key).unit, uncertainty, reading.reason or None, low_by)


def _factor(metric: Metric, reading: MetricValue, height_m: float) -> float:
    """From the reading's unit to the catalogue's."""
    if reading.unit == metric.unit:
        return 1.0
    if reading.unit == metric.storage_unit == "m":
        return PERCENT / height_m
    raise ValueError(f"{metric.key} is read in {reading.unit} and listed in {metric.unit}")
