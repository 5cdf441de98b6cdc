"""From decided findings to the rows that keep them: a complete record of each decision."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from typing import Any

from metrics.judging.history import FlagStanding, PastFinding, stand_flag
from metrics.judging.values import Thresholds
from metrics.models import Finding
from metrics.scoring import Decided, SessionScore
from sessions.models import CaptureSession

Row = dict[str, Any]
"""A finding by its column attributes, as `insert_rows` takes it."""

PAST_FIELDS = ("mean", "u", "nu", "n", "zone", "side", "sure", "p_flag", "u_constant")
"""What history needs of a finding."""


def finding_rows(
    capture: CaptureSession, score: SessionScore, past: Mapping[str, list[PastFinding]], thresholds: Thresholds
) -> list[Row]:
    return [_row(capture, score, decided, past.get(decided.metric, []), thresholds) for decided in score.findings]


def is_flag(decided: Decided) -> bool:
    """Only a flag asks what earlier sessions found."""
    return bool(decided.is_scored and decided.verdict and decided.verdict.zone == Finding.Zone.FLAG)


def _row(
    capture: CaptureSession, score: SessionScore, decided: Decided, past: list[PastFinding], thresholds: Thresholds
) -> Row:
    row: Row = {
        "session_id": capture.pk,
        "metric": decided.metric,
        "condition_set": score.condition_set,
        "kind": decided.kind,
        "family": decided.family,
        "unit": decided.unit,
        "moment": decided.moment,
        "weight": decided.weight,
        "severity": decided.severity,
        "priority": decided.priority,
        "is_family_head": decided.is_family_head,
        **_measured_fields(decided),
        **_range_fields(decided),
        **_verdict_fields(decided),
    }
    standing = _stand(row, capture, past, decided, thresholds)
    row["confirmation"] = _confirmation(standing)
    row["decision"] = _decision(decided, standing)
    if standing:
        row["decision"]["among_last"] = min(len(past) + 1, thresholds.recurring_n)
    return row


def _measured_fields(decided: Decided) -> dict[str, float | int | None]:
    measured = decided.measured
    return {
        "n": int(measured.n),
        "mean": finite(measured.mean),
        "sd": finite(measured.sd),
        "u": finite(measured.u),
        "u_throw": finite(measured.u_within),
        "u_between": finite(measured.u_between),
        "u_constant": finite(measured.u_constant),
        "nu": finite(measured.nu),
    }


def _range_fields(decided: Decided) -> dict[str, object]:
    applied, limits = decided.applied, decided.limits
    if applied is None or limits is None:
        return {}
    return {
        "rule_id": applied.rule.id,
        "rule_status": applied.rule.status,
        "size_basis": "" if applied.rule.size_basis == "none" else applied.rule.size_basis,
        "size_used": applied.size_used,
        "size_date": applied.size_date,
        **{name: finite(getattr(limits, name)) for name in ("target_low", "target_high", "flag_low", "flag_high")},
    }


def _verdict_fields(decided: Decided) -> dict[str, object]:
    verdict = decided.verdict
    if verdict is None or decided.not_scored:
        reason = decided.not_scored
        return {
            "zone": Finding.Zone.NOT_SCORED,
            "reason_code": reason.code if reason else "unknown",
            "reason": reason.sentence if reason else "",
        }
    return {
        "zone": verdict.zone,
        "side": verdict.side,
        "sure": verdict.sure,
        "other_zone": verdict.other_zone,
        "probability": finite(verdict.probability),
        "p_in": finite(verdict.p_in),
        "p_out": finite(verdict.p_out),
        "p_flag": finite(verdict.p_flag),
        "perhaps_flag": verdict.perhaps_flag,
    }


def _stand(
    row: Row, capture: CaptureSession, past: list[PastFinding], decided: Decided, thresholds: Thresholds
) -> FlagStanding | None:
    if decided.limits is None or not is_flag(decided):
        return None
    return stand_flag(as_past(row, capture.date), past, decided.limits, thresholds)


def _confirmation(standing: FlagStanding | None) -> str:
    if standing is None:
        return Finding.Confirmation.NONE
    if standing.recurring:
        return Finding.Confirmation.RECURRING
    return Finding.Confirmation.CONFIRMED if standing.confirmed else Finding.Confirmation.TO_CONFIRM


def _decision(decided: Decided, standing: FlagStanding | None) -> dict[str, object]:
    """What the narrow columns do not hold of how it was decided."""
    applied, measured = decided.applied, decided.measured
    record: dict[str, object] = {
        "pooled_sd": finite(measured.pooled_sd),
        "spread_degrees": finite(measured.spread_degrees),
        "prior_sd": finite(decided.prior_sd),
        "notes": list(decided.notes),
    }
    if applied:
        record |= {
            "source": applied.rule.source,
            "source_mean": finite(applied.source_mean),
            "source_sd": finite(applied.source_sd),
            "written_for": {
                "landing": applied.rule.landing,
                "definition": applied.rule.definition,
                "filter_hz": applied.rule.filter_hz,
            },
            "outside_interval": applied.outside_interval,
        }
    if standing:
        record |= {
            "new": standing.new,
            "flags_among_last": standing.flags_among_last,
            "pair_p_flag": finite(standing.pair_p_flag),
            "standing": standing.sentence,
        }
    return record


def as_past(row: Mapping[str, Any], date: datetime.date) -> PastFinding:
    """PAST_FIELDS of a scored finding as history takes them; raises ValueError for one that was not scored."""
    if row["mean"] is None or row["u"] is None or row["p_flag"] is None:
        raise ValueError(f"a finding of {date} was not scored")
    return PastFinding(
        date=date,
        mean=row["mean"],
        u=row["u"],
        nu=math.inf if row["nu"] is None else row["nu"],
        n=row["n"],
        zone=row["zone"],
        side=row["side"],
        sure=row["sure"],
        p_flag=row["p_flag"],
        u_constant=row["u_constant"] or 0.0,
    )


def finite(number: float | None) -> float | None:
    """Databases and JSON have no NaN and no infinity: both are stored as none."""
    return None if number is None or not math.isfinite(number) else float(number)
