"""The starting point's own marks and words."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from metrics.drawing.shares import share_bar as draw_share
from metrics.selectors.trace_words import Named
from metrics.templatetags.drawing import verdict_words

register = template.Library()

LIKELIHOODS = ((0.75, "likely"), (0.45, "even odds"), (0.0, "perhaps"))
"""In the simulation of docs/tracing.md 78% of what was said to clear at 80% and more did, 49% at 40 to 60%."""


@register.simple_tag
def share_bar(share: float) -> SafeString:
    """{% share_bar one.share %}: the bar alone."""
    return mark_safe(draw_share(share))  # noqa: S308


@register.simple_tag
def likelihood(share: float) -> str:
    """{% likelihood one.share %} → likely. Words, since the percent is not calibrated that finely: docs/tracing.md."""
    return next(word for least, word in LIKELIHOODS if share >= least)


@register.simple_tag
def named_verdict(one: Named) -> SafeString:
    """{% named_verdict panel.start %}: mark and words of its finding; "not measured" where there is none."""
    return verdict_words(one) if one.zone else format_html('<span class="v none">{}</span>', "not measured")
