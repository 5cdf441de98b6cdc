"""Ball speed in the reader's unit, as a ± and as a difference."""

from __future__ import annotations

from typing import Any

from django import template

from athletes.quantities import convert_ball_speed, format_number, with_unit
from athletes.templatetags.quantities import reader_system

register = template.Library()

EXPANSION = 1.96


@register.simple_tag(takes_context=True)
def speed_half_width(context: dict[str, Any], u_m_s: float | None) -> str:
    """{% speed_half_width line.u %} → ± 0.5"""
    if u_m_s is None:
        return ""
    return f"± {format_number(convert_ball_speed(EXPANSION * u_m_s, reader_system(context))[0], 1)}"


@register.simple_tag(takes_context=True)
def speed_difference(context: dict[str, Any], difference_m_s: float) -> str:
    """{% speed_difference line.difference %} → +1.1 mph"""
    value, unit = convert_ball_speed(difference_m_s, reader_system(context))
    return with_unit(format_number(value, 1, signed=True), unit)
