"""A shared point in templates: its picture and its verdict in the words of a family."""

from __future__ import annotations

from dataclasses import replace

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from metrics.drawing import marks, strip, told
from metrics.drawing.marks import Verdict
from metrics.sharing import SharedPoint
from metrics.templatetags.drawing import strip_input

register = template.Library()

MARK_PX = 16


@register.simple_tag
def told_strip(point: SharedPoint) -> SafeString:
    """{% told_strip point %}: the range strip without a single number, neither beside it nor in its name."""
    then = point.before if point.before and point.before.is_real else None
    before = Verdict(then.zone, then.side) if then else None
    name = told.picture_words(_verdict(point), point.ends, point.headline, before)
    drawn = strip_input(point.picture, "progress", point.headline, "metric")
    return mark_safe(strip.range_strip(replace(drawn, name=name)))  # noqa: S308  # it escapes every text


@register.simple_tag
def told_words(point: SharedPoint) -> SafeString:
    """{% told_words point %} → mark, "too short, flag low, likely, about 8 in 10"."""
    verdict = _verdict(point)
    mark = mark_safe(marks.verdict_mark(verdict, size=MARK_PX))  # noqa: S308
    place, words = told.place_words(verdict, point.ends), told.verdict_words(verdict, point.probability)
    kind = marks.shape_of(verdict).name
    if not place:
        return format_html('<span class="v {}">{}<span>{}</span></span>', kind, mark, words)
    return format_html('<span class="v {}">{}<span><b>{},</b> <i>{}</i></span></span>', kind, mark, place, words)


def _verdict(point: SharedPoint) -> Verdict:
    return Verdict(point.zone, point.side, point.sure)
