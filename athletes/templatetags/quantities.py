"""Quantities in templates. Each tag takes the reader's system from the context (see
`reader_system`) unless `system` is given."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import template

from athletes import quantities as q

register = template.Library()

DEFAULT_SYSTEM = "us"


def reader_system(context: Any, system: str | None = None) -> str:
    """Return "us" or "metric": as asked, else the page's `unit_system`, the reader's choice, the facility's."""
    return (
        system
        or context.get("unit_system")
        or getattr(context.get("user"), "units", "")
        or getattr(context.get("facility"), "units", "")
        or DEFAULT_SYSTEM
    )


@register.simple_tag(takes_context=True)
def quantity(
    context: dict[str, Any],
    value: float | None,
    unit: str,
    system: str | None = None,
    u: float | None = None,
    decimals: int | None = None,
    signed: bool = False,
    full: bool = False,
) -> str:
    """{% quantity finding.mean finding.unit u=finding.u decimals=0 %} → 44°"""
    return q.format_quantity(
        value, unit, reader_system(context, system), u=u, decimals=decimals, signed=signed, full=full
    )


@register.simple_tag(takes_context=True)
def half_width(
    context: dict[str, Any], u: float | None, unit: str, system: str | None = None, decimals: int | None = None
) -> str:
    """{% half_width finding.u finding.unit %} → ± 4, for ± 1.96 u"""
    return q.format_half_width(u, unit, reader_system(context, system), decimals=decimals)


@register.simple_tag(takes_context=True)
def span(
    context: dict[str, Any],
    low: float | None,
    high: float | None,
    unit: str,
    system: str | None = None,
    decimals: int = 0,
) -> str:
    """{% span finding.target_low finding.target_high finding.unit %} → 38 to 54"""
    return q.format_span(low, high, unit, reader_system(context, system), decimals=decimals)


@register.simple_tag(takes_context=True)
def unit_words(context: dict[str, Any], unit: str, system: str | None = None) -> str:
    """{% unit_words metric.unit %} → "% of height", "in" """
    shown = q.unit_for(q.convert(0.0, unit, reader_system(context, system))[1])
    return shown.words or shown.symbol


@register.simple_tag(takes_context=True)
def height(context: dict[str, Any], height_cm: float | None, system: str | None = None) -> str:
    """{% height athlete.height_cm %} → 6′1″"""
    return q.format_height(height_cm, reader_system(context, system))


@register.simple_tag(takes_context=True)
def mass(context: dict[str, Any], mass_kg: float | None, system: str | None = None) -> str:
    """{% mass athlete.mass_kg %} → 178 lb"""
    return q.format_mass(mass_kg, reader_system(context, system))


@register.simple_tag(takes_context=True)
def speed(context: dict[str, Any], speed_m_s: float | None, system: str | None = None, decimals: int = 1) -> str:
    """{% speed throw.ball_speed_m_s %} → 84.6 mph"""
    return q.format_ball_speed(speed_m_s, reader_system(context, system), decimals=decimals)


@register.simple_tag(takes_context=True)
def speed_difference(context: dict[str, Any], difference_m_s: float, system: str | None = None) -> str:
    """{% speed_difference line.difference %} → +1.6 mph"""
    value, unit = q.convert_ball_speed(difference_m_s, reader_system(context, system))
    return q.with_unit(q.format_number(value, 1, signed=True), unit)


@register.simple_tag
def age(birth_date: date | None, on: date) -> str:
    """{% age athlete.birth_date today %} → 16 y 2 m"""
    return q.format_age(birth_date, on)


@register.simple_tag
def days_old(measured_on: date | None, on: date) -> str:
    """{% days_old body_size.measured_on today %} → 12 days old"""
    return q.format_days_old(measured_on, on) if measured_on else ""
