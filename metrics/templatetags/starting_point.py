"""The starting point's own marks and words."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from metrics.drawing.shares import share_bar as draw_share
from metrics.drawing.words import percent
from metrics.selectors.trace_words import Named
from metrics.templatetags.drawing import verdict_words

register = template.Library()


@register.simple_tag
def share_bar(share: float) -> SafeString:
    """{% share_bar one.share %}: the bar alone."""
    return mark_safe(draw_share(share))  # noqa: S308


@register.simple_tag
def chance_words(share: float) -> str:
    """{% chance_words one.share %} → 82%, rounded down."""
    return percent(share)


@register.simple_tag
def named_verdict(one: Named) -> SafeString:
    """{% named_verdict panel.start %}: mark and words of its finding; "not measured" where there is none."""
    return verdict_words(one) if one.zone else format_html('<span class="v none">{}</span>', "not measured")
