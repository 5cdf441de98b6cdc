"""Words and heads of lists on the desk's pages."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import template
from django.template.context import RequestContext
from django.utils.html import format_html
from django.utils.safestring import SafeString

from athletes import words
from desk.words import days_ago

register = template.Library()

# What a list is sorted by grows or falls down the page.
DIRECTIONS = {"name": "ascending", "last": "descending", "flags": "descending"}


@register.simple_tag
def counted(number: int, one: str, many: str = "") -> str:
    """{% counted files "file is" "files are" %} → 3 files are"""
    return words.counted(number, one, many)


@register.simple_tag
def days_since(date: dt.date, today: dt.date) -> str:
    """{% days_since line.date today %} → today, yesterday, 12 days ago"""
    return days_ago(date, today)


@register.simple_tag(takes_context=True)
def sort_head(context: RequestContext, sort: str, label: str) -> SafeString:
    """{% sort_head "name" "Athlete" %}: a head that sorts the roster, and says whether it does now."""
    choice: Any = context["choice"]
    query = context["request"].GET.copy()
    query["sort"] = sort
    query.pop("page", None)
    state = DIRECTIONS[sort] if choice.sort == sort else "none"
    return format_html(
        '<th scope="col" aria-sort="{}"><a class="sort" href="?{}#roster-title">{}</a></th>',
        state,
        query.urlencode(),
        label,
    )
