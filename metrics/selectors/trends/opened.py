"""The metric that is opened large: its chart for both widths, four answers, numbers as a table and for the browser."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from metrics.drawing.trend import Picture, large_trend
from metrics.drawing.words import spoken_verdict
from metrics.selectors.trends import words
from metrics.selectors.trends.answers import Answered, flags_lately
from metrics.selectors.trends.history import standing_words
from metrics.selectors.trends.pictures import picture_of, verdict_of
from metrics.selectors.trends.ranges import day_words
from metrics.selectors.trends.rows import Found, UsedCue
from metrics.selectors.trends.ruler import Ruler
from metrics.selectors.trends.series import Spot


@dataclass(frozen=True, slots=True)
class NumberRow:
    """One finding of the opened metric; everything written in the reader's unit."""

    date: dt.date
    url: str
    row: Found
    mean: str
    half_width: str
    target: str
    flag_low: str
    flag_high: str
    why_not: str


@dataclass(frozen=True, slots=True)
class Opened:
    """`row`: the latest finding, for its mark and words; `about`: the catalogue's sentence; `data`: for the browser."""

    key: str
    name: str
    moment: str
    unit: str
    about: str
    row: Found
    range_numbers: str
    change_word: str
    change_numbers: str
    change_interval: str
    change_why: str
    is_real: bool
    moved_word: str
    moved_why: str
    flag_words: str
    flag_since: str
    desk: str
    phone: str
    cues: tuple[UsedCue, ...]
    notes: tuple[str, ...]
    numbers: tuple[NumberRow, ...]
    data: dict[str, Any]


def opened_of(one: Answered, cues: Sequence[UsedCue]) -> Opened:
    face, latest = one.series.face, one.series.latest.row
    picture, count = picture_of(one, cues), flags_lately(one.series)
    gap = words.gap_words([spot.session.date for spot in one.series.spots])
    return Opened(
        key=face.key,
        name=face.name,
        moment=face.moment,
        unit=one.ruler.words,
        about=face.metric.why if face.metric else "This metric is no longer in the catalogue; its findings are kept.",
        row=latest,
        range_numbers=words.range_numbers(one),
        change_word=words.change_word(one),
        change_numbers=words.change_numbers(one),
        change_interval=words.change_interval(one),
        change_why=words.change_why(one),
        is_real=one.is_real,
        moved_word=words.moved_word(one),
        moved_why=words.moved_why(one),
        flag_words=words.flag_words(count),
        flag_since=words.flag_since(count, standing_words(latest)),
        desk=large_trend(picture, "desk"),
        phone=large_trend(picture, "phone"),
        cues=tuple(cues),
        notes=tuple(filter(None, (words.not_compared_words(one.series), words.outside_words(one), gap))),
        numbers=tuple(_number_row(spot, one.ruler) for spot in reversed(one.series.spots)),
        data=browser_data(one, picture, cues),
    )


def _number_row(spot: Spot, ruler: Ruler) -> NumberRow:
    row = spot.row
    return NumberRow(
        date=spot.session.date,
        url=reverse("metrics:session", args=[spot.session.uuid]),
        row=row,
        mean=ruler.write(row.mean, u=row.u) if row.mean is not None else "",
        half_width=ruler.half_width(row.u) if row.mean is not None else "",
        target=ruler.span(row.target_low, row.target_high),
        flag_low=ruler.write(row.flag_low) if row.flag_low is not None else "",
        flag_high=ruler.write(row.flag_high) if row.flag_high is not None else "",
        why_not=spot.why_not,
    )


def browser_data(one: Answered, picture: Picture, cues: Sequence[UsedCue]) -> dict[str, Any]:
    """What the chart with pan and zoom is drawn from: dates as text, numbers in the reader's unit, open sides null."""
    spots = one.series.spots
    return {
        "title": one.series.face.label,
        "unit": one.ruler.words,
        "decimals": one.ruler.decimals,
        "points": [_browser_point(spot, one.ruler) for spot in spots],
        "stretches": [
            [str(each.first), str(each.last), each.target_low, each.target_high, each.flag_low, each.flag_high]
            for each in picture.stretches
        ],
        "moved": [[str(each.day), each.words] for each in picture.moved],
        "cues": [[str(cue.first_used), cue.text] for cue in cues],
        "fitted": picture.fitted
        and [
            [str(picture.fitted.first), picture.fitted.first_value],
            [str(picture.fitted.last), picture.fitted.last_value],
        ],
    }


def _browser_point(spot: Spot, ruler: Ruler) -> dict[str, Any]:
    row, half = spot.row, ruler.shown(spot.row.u)
    said = spoken_verdict(verdict_of(row), other_zone=row.other_zone, reason=row.reason)
    value = f"{ruler.write(row.mean, u=row.u)} {ruler.half_width(row.u)}".strip() if row.mean is not None else ""
    return {
        "day": str(spot.session.date),
        "mean": ruler.shown(row.mean),
        "half": None if half is None else 1.96 * half,
        "zone": row.zone,
        "side": row.side,
        "sure": row.sure,
        "apart": bool(spot.why_not),
        "said": ", ".join(part for part in (day_words(spot.session.date), value, said, spot.why_not) if part),
        "url": reverse("metrics:session", args=[spot.session.uuid]),
    }
