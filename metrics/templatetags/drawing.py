"""Verdict marks, words and range strips in templates.

`finding` is any object with the attributes zone, side, sure, probability, mean, u, target_low, target_high,
flag_low, flag_high, unit, reason; optional: other_zone, perhaps_flag, previous_mean, label, decimals.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from athletes.quantities import format_quantity
from athletes.templatetags.quantities import reader_system
from metrics.drawing import marks, rows, strip
from metrics.drawing.marks import CANT_TELL, FLAG, Verdict
from metrics.drawing.words import SURE_WORDS, either_words, percent, spoken_verdict, zone_words

register = template.Library()

DRAWN_REMEMBERED = 4096
"""Pictures of a roster's rows: each is drawn from a few plain values, which come again with every look at it."""

NUMBER_BESIDE = ("report", "progress")  # in lists the mean stands beside the strip anyway


def _verdict(finding: Any) -> Verdict:
    return Verdict(finding.zone or "", finding.side or "", finding.sure or marks.SURE)


def _svg(text: str) -> SafeString:
    """Trust a picture of metrics.drawing: it escapes every text that it is given."""
    return mark_safe(text)  # noqa: S308


@register.simple_tag
def verdict_mark(finding: Any, size: float = 12, named: bool = False) -> SafeString:
    """{% verdict_mark finding %}: the mark alone; named=True where no word stands beside it."""
    verdict = _verdict(finding)
    name = spoken_verdict(verdict, other_zone=getattr(finding, "other_zone", "")) if named else ""
    return _svg(marks.verdict_mark(verdict, size=size, name=name))


@register.simple_tag
def plain_mark(zone: str, side: str = "", sure: str = marks.SURE, size: float = 12, name: str = "") -> SafeString:
    """{% plain_mark "flag" "low" %}: a mark without a finding, for legends and lists."""
    return _svg(marks.verdict_mark(Verdict(zone, side, sure), size=size, name=name))


@register.simple_tag
def verdict_words(finding: Any, chance: bool = True, sure: bool = True) -> SafeString:
    """{% verdict_words finding %}: mark, word, how sure and its chance, as <span class="v flag">…</span>.

    chance=False leaves the percent out, sure=False both (the mark still shows it, filled or hollow)."""
    verdict = _verdict(finding)
    other = getattr(finding, "other_zone", "") or ""
    mark = _svg(marks.verdict_mark(verdict))
    kind = marks.shape_of(verdict).name
    if not verdict.is_scored:
        return format_html('<span class="v none">{}<span>{}</span></span>', mark, zone_words(verdict))
    if verdict.sure == CANT_TELL:
        words = format_html("{} <i>{}</i>", SURE_WORDS[CANT_TELL], either_words(verdict, other))
        return format_html('<span class="v {} either">{}<span>{}</span></span>', kind, mark, words)
    zone = format_html("<b>{}</b>" if verdict.zone == FLAG else "{}", zone_words(verdict))
    if verdict.zone == marks.WATCH and verdict.side:
        zone = format_html('{}<span class="vh"> {}</span>', zone, verdict.side)
    if not sure:
        return format_html('<span class="v {}">{}<span>{}</span></span>', kind, mark, zone)
    tail = " ".join((SURE_WORDS.get(verdict.sure, ""), percent(getattr(finding, "probability", None)) * chance))
    if getattr(finding, "perhaps_flag", False) and verdict.zone == marks.WATCH:
        tail = f"{tail.strip()}, perhaps flag"
    return format_html('<span class="v {}">{}<span>{} <i>{}</i></span></span>', kind, mark, zone, tail.strip())


@register.simple_tag(takes_context=True)
def range_strip(
    context: dict[str, Any],
    finding: Any,
    size: str = "table",
    label: str = "",
    system: str | None = None,
    decimals: int | None = None,
) -> SafeString:
    """{% range_strip finding %}: the strip; size: table, phone, report, progress, or "both" (table on the
    desk, phone below 760 px). A value off the strip has its number beside it where no list shows it."""
    system = reader_system(context, system)
    if size == "both":
        pair = (strip_input(finding, each, label, system, decimals) for each in ("table", "phone"))
        desk, phone = (_svg(strip.range_strip(each)) for each in pair)
        return format_html('<span class="on-desk">{}</span><span class="on-phone">{}</span>', desk, phone)
    drawn = strip_input(finding, size, label, system, decimals)
    picture = _svg(strip.range_strip(drawn))
    if size in NUMBER_BESIDE and strip.is_off_strip(drawn):
        written = format_quantity(drawn.mean, drawn.unit, system, u=drawn.u, decimals=drawn.decimals)
        return format_html('<span class="rs-off">{}<b class="rs-n num">{}</b></span>', picture, written)
    return picture


def strip_input(finding: Any, size: str, label: str, system: str, decimals: int | None = None) -> strip.StripInput:
    """Return what a strip needs from a finding-like object."""
    return strip.StripInput(
        target_low=finding.target_low,
        target_high=finding.target_high,
        flag_low=finding.flag_low,
        flag_high=finding.flag_high,
        mean=finding.mean,
        u=finding.u,
        zone=finding.zone or "",
        side=finding.side or "",
        sure=finding.sure or marks.SURE,
        previous=getattr(finding, "previous_mean", None),
        size=size,
        label=label or getattr(finding, "label", "") or "",
        reason=finding.reason or "",
        unit=finding.unit,
        system=system,
        decimals=decimals if decimals is not None else getattr(finding, "decimals", 0),
        other_zone=getattr(finding, "other_zone", "") or "",
        step=getattr(finding, "step", None),
    )


@register.simple_tag
def previous_mark() -> SafeString:
    """{% previous_mark %}: the caret of last time, for a legend."""
    return _svg('<svg class="pv-key" width="11" height="8" aria-hidden="true"><path d="M1,7L5.5,1L10,7"/></svg>')


@register.simple_tag
def flag_row(flags: Iterable[Any], most: int = 5) -> SafeString:
    """{% flag_row standing.flags %}: flags side by side. A flag is an object with side and sure, or a row
    [metric, side, sure, …] as a standing keeps it. Empty when there is none."""
    return _flag_row(tuple(_side_and_sure(flag) for flag in flags), most)


@lru_cache(DRAWN_REMEMBERED)
def _flag_row(flags: tuple[tuple[str, str], ...], most: int) -> SafeString:
    return _svg(rows.flag_row([Verdict(FLAG, *flag) for flag in flags], most=most))


def _side_and_sure(flag: Any) -> tuple[str, str]:
    if isinstance(flag, list | tuple):
        return flag[1], flag[2]
    return flag.side, flag.sure


@register.simple_tag
def session_line(sessions: Sequence[tuple[int, str]], follow_up_in: int | None = None) -> SafeString:
    """{% session_line row.sessions %}: (days ago, method) pairs on the roster's common axis."""
    return _session_line(tuple(sessions), follow_up_in)


@lru_cache(DRAWN_REMEMBERED)
def _session_line(sessions: tuple[tuple[int, str], ...], follow_up_in: int | None) -> SafeString:
    return _svg(rows.session_line(sessions, follow_up_in=follow_up_in))


@register.simple_tag
def session_line_head() -> SafeString:
    """{% session_line_head %}: the axis above a column of session lines."""
    return _svg(rows.session_line_head())


@register.simple_tag
def throw_dots(throws: Sequence[rows.ThrowDot], name: str = "Ball speed by throw") -> SafeString:
    """{% throw_dots dots %}: ball speed by throw; objects with speed and state."""
    return _svg(rows.throw_dots(throws, name=name))


@register.filter
def drawn(picture: str) -> SafeString:
    """{{ throw.picture|drawn }}: a picture that a selector has drawn with metrics.drawing."""
    return _svg(picture)


@register.simple_tag
def arc_key(kind: str) -> SafeString:
    """{% arc_key "dash" %}: an arc of the delivery line, for its legend."""
    return format_html(
        '<svg class="dl arc-key" width="30" height="12" aria-hidden="true">'
        '<path class="arc {}" d="M2,10C8,0 22,0 28,5"/></svg>',
        kind,
    )
