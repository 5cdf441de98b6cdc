"""The formulas of a finding with its numbers filled in (docs/numbers.md has them with their sources)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from athletes.quantities import MINUS
from metrics.judging.findings import PRIOR_DEGREES
from metrics.judging.sides import face, unit_on_side
from metrics.judging.values import Limits, Thresholds
from metrics.models import Finding

TIMES, ROOT = "×", "√"


@dataclass(frozen=True, slots=True)
class Formula:
    """One step: what it gives, the formula in letters, and with the numbers."""

    name: str
    letters: str
    numbers: str


def written(number: float | None, digits: int = 4) -> str:
    if number is None:
        return "not known"
    if math.isinf(number):
        return "∞"
    return f"{number:.{digits}g}".replace("-", MINUS)


def bracketed(number: float) -> str:
    return f"({written(number)})" if number < 0 else written(number)


def chance_words(chance: float | None) -> str:
    """Three decimals, and never a certainty."""
    if chance is None:
        return "not known"
    return "over 0.999" if chance > 0.9995 else "under 0.001" if chance < 0.0005 else f"{chance:.3f}"


def formulas_of(row: Finding, thresholds: Thresholds) -> tuple[Formula, ...]:
    """Spread, uncertainty, degrees of freedom, chances, severity, priority; those that this finding has."""
    steps: list[Formula] = []
    if row.mean is not None and row.u is not None:
        steps += [*_spread(row), *_uncertainty(row)]
    if row.zone != Finding.Zone.NOT_SCORED:
        steps += [*_chances(row), _verdict(row, thresholds), *_priority(row, thresholds)]
    return tuple(steps)


def _spread(row: Finding) -> list[Formula]:
    record: dict[str, Any] = row.decision
    prior, pooled, n = record.get("prior_sd"), record.get("pooled_sd"), row.n
    if pooled is None:
        return []
    if prior is None:
        return [Formula("Spread", "s_p = s", f"s_p = {written(pooled)}: no typical spread is known")]
    k = int(PRIOR_DEGREES)
    own = f" + {n - 1}·{written(row.sd)}²" if n > 1 and row.sd is not None else ""
    below = f"{k} + {n - 1}" if n > 1 else f"{k}"
    numbers = f"s_p² = ({k}·{written(prior)}²{own}) / ({below}) = {written(pooled**2)}, s_p = {written(pooled)}"
    letters = f"s_p² = ({k}·s₀² + (n {MINUS} 1)·s²) / ({k} + n {MINUS} 1)"
    return [Formula("Throw to throw, steadied by the typical spread s₀", letters, numbers)]


def _uncertainty(row: Finding) -> list[Formula]:
    pooled, between, constant = row.decision.get("pooled_sd"), row.u_between or 0.0, row.u_constant or 0.0
    u = row.u or 0.0
    degrees = row.decision.get("spread_degrees")
    unknown = " (session to session not known: left out)" if row.u_between is None else ""
    within = f"{written(pooled)}²/{row.n}"
    numbers = f"u² = {within} + {written(between)}² + {written(constant)}² = {written(u**2)}, u = {written(u)}"
    steps = [
        Formula(
            "Uncertainty of the mean: throws, session to session (u_b), constant (u_c)",
            "u² = s_p²/n + u_b² + u_c²",
            f"{numbers}{unknown}",
        ),
        Formula("95% of means lie within", "± 1.96·u", f"± {written(1.96 * u)}"),
    ]
    if row.nu is not None and row.u_throw and degrees:
        filled = f"ν = {written(u)}⁴ / (({within})² / {written(degrees)}) = {written(row.nu)}"
        steps.append(Formula("Degrees of freedom", "ν = u⁴ / ((s_p²/n)² / ν_s)", filled))
    return steps


def _limits(row: Finding) -> Limits:
    names = ("target_low", "target_high", "flag_low", "flag_high")
    given = {name: getattr(row, name) for name in names if getattr(row, name) is not None}
    units = {f"unit_{side}": getattr(row.rule, f"unit_{side}", None) for side in ("low", "high")} if row.rule else {}
    return Limits(**given, **{name: unit for name, unit in units.items() if unit is not None})


def _near(row: Finding) -> tuple[str, float | None, float | None]:
    """The side of the mean, with its edge of the target and its flag limit."""
    is_low = bool(face(row.mean, _limits(row)).low_side)
    return ("low", row.target_low, row.flag_low) if is_low else ("high", row.target_high, row.flag_high)


def _chances(row: Finding) -> list[Formula]:
    side, edge, flag = _near(row)
    if not row.u or row.mean is None:
        return []
    nu = written(row.nu) if row.nu is not None else "∞"
    steps = []
    for name, limit, chance in (("p_out", edge, row.p_out), ("p_flag", flag, row.p_flag)):
        if limit is None or chance is None:
            continue
        first, second = (limit, row.mean) if side == "low" else (row.mean, limit)
        t = (first - second) / row.u
        difference = f"{written(first)} {MINUS} {bracketed(second)}"
        numbers = f"t = ({difference}) / {written(row.u)} = {written(t)}: {name} = {chance_words(chance)}"
        what = "target’s edge" if name == "p_out" else "flag limit"
        letters = f"{name} = P(T ≤ t), Student’s t, ν = {nu}"
        steps.append(Formula(f"Chance beyond the {what}", letters, numbers))
    return steps


def _verdict(row: Finding, thresholds: Thresholds) -> Formula:
    letters = (
        f"flag when p_flag ≥ {thresholds.flag:g}; else in range when p_in ≥ {thresholds.in_range:g}; "
        f"else watch when p_out ≥ {thresholds.watch:g}; else can’t tell. Sure from {thresholds.sure:g}."
    )
    chances = ", ".join(f"{name} {chance_words(getattr(row, name))}" for name in ("p_flag", "p_in", "p_out"))
    sure = "can’t tell" if row.sure == Finding.Sure.CANT_TELL else f"{row.get_zone_display()}, {row.get_sure_display()}"
    return Formula("Where it stands", letters, f"{chances}: {sure}")


def _priority(row: Finding, thresholds: Thresholds) -> list[Formula]:
    if not row.severity:
        return [Formula("Severity", "0 inside the target", "0, so priority 0")]
    limits = _limits(row)
    faced = face(row.mean, limits)
    beyond, unit, watch = float(faced.beyond_target), float(unit_on_side(faced, limits)), float(faced.watch_width)
    start = "1 + " if watch == 0 else ""
    cap = thresholds.open_side_cap if math.isinf(watch) else thresholds.severity_cap
    letters = f"{start}distance beyond the target’s edge / {_unit_words(watch, float(faced.width))}, at most {cap:g}"
    is_held = (1.0 if watch == 0 else 0.0) + beyond / unit > cap
    result = f", held at {written(row.severity)}" if is_held else f" = {written(row.severity)}"
    numbers = f"{start}{written(beyond)} / {written(unit)}{result}"
    product = f"{row.weight:g} {TIMES} {written(row.severity)} = {written(row.priority)}"
    return [
        Formula("Severity", letters, numbers),
        Formula("Priority", f"weight {TIMES} severity", product if row.priority else "none: outcomes never count"),
    ]


def _unit_words(watch: float, width: float) -> str:
    """What one unit of severity is, as judging.sides.severity_unit has it."""
    if math.isfinite(watch) and watch > 0:
        return "width of the watch zone"
    return "half the target’s width" if math.isfinite(width) else "the unit that the rule states"
