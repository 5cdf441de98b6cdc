"""What work can be given for: the athlete's needs, the other flags, and what the work is meant for in general."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from athletes.models import Athlete
from metrics.catalogue import load_catalogue
from metrics.models import Finding
from plans.library import Intervention
from plans.library.model import End
from plans.library.words import PAIN
from plans.selectors.end_words import end_text, end_words
from plans.selectors.needs import AthleteNeeds
from plans.services.prescribing import Reason
from sessions.models import CaptureSession


@dataclass(frozen=True, slots=True)
class ReasonOption:
    """`note`: why it stands here ("starting point", "recurring, 2 of 3"); `session`: in which it was seen last."""

    end: End
    label: str
    note: str
    session: CaptureSession | None
    is_starting_point: bool
    is_need: bool
    is_answered: bool

    @property
    def value(self) -> str:
        return end_text(self.end)

    @property
    def reason(self) -> Reason:
        return Reason(*self.end, self.session, self.is_starting_point)


def reason_options(
    athlete: Athlete, needs: AthleteNeeds, values: Sequence[Intervention]
) -> list[tuple[ReasonOption, ...]]:
    """Of each intervention what it may be given for, the needs first. One query.

    `is_answered`: what a suggestion of it would be for, ticked to begin with: what it addresses itself or by a direct
    cause, and what should clear with the starting point where it addresses that.
    """
    many = [_ends(needs, value) for value in values]
    seen = _seen_last(athlete, needs, {end[0] for ends in many for end in ends})
    return [
        tuple(_option(end, needs, seen.get(end[0]), answered) for end in ends)
        for value, ends in zip(values, many, strict=True)
        for answered in [answered_by(value, needs)]
    ]


def answered_by(value: Intervention, needs: AthleteNeeds) -> frozenset[End]:
    """Of the needs those that the intervention is meant for."""
    causes, ruled_out = needs.causes, needs.ruled_out
    direct = {
        need.end
        for need in needs.wanted()
        if need.end in value.answers
        or any(end in value.answers and end not in ruled_out for end in causes.get(need.end, ()))
    }
    with_start = {one.end for one in needs.recurring if one.end in needs.follows} if needs.start in direct else set()
    return frozenset(direct | with_start | ({PAIN} & {*value.answers}))


def _ends(needs: AthleteNeeds, value: Intervention) -> list[End]:
    flags: Iterable[End] = ((*node,) for node in needs.trace.flags) if needs.trace else ()
    known = load_catalogue().metrics
    every = [*(need.end for need in needs.wanted()), *flags, *value.answers]
    return [end for end in dict.fromkeys(every) if end[0] in known]


def _option(end: End, needs: AthleteNeeds, session: CaptureSession | None, answered: Collection[End]) -> ReasonOption:
    is_start = end == needs.start
    counts = next((f"recurring, {one.times} of {one.among}" for one in needs.recurring if one.end == end), "")
    flags = [(*node,) for node in needs.trace.flags] if needs.trace else []
    plain = "" if end == PAIN else "flag" if end in flags else "no flag" if session else "not measured"
    provisional = ", provisional" if needs.is_provisional else ""
    words = [f"starting point{provisional}" if is_start else "", counts or ("" if is_start else plain)]
    return ReasonOption(
        end=end,
        label=end_words(end, needs.landing),
        note=", ".join(word for word in words if word),
        session=session,
        is_starting_point=is_start,
        is_need=is_start or bool(counts),
        is_answered=end in answered,
    )


def _seen_last(athlete: Athlete, needs: AthleteNeeds, metrics: Collection[str]) -> dict[str, CaptureSession]:
    """By metric the session that has a number for it: the one that the needs are of, else the latest."""
    rows = (
        Finding.objects.filter(session__athlete=athlete, session__withdrawn_at=None, metric__in=metrics)
        .exclude(mean=None)
        .select_related("session")
        .only("metric", "session")
        .order_by("-session__date", "-session__ordinal", "-session_id")
    )
    judged = needs.session.pk if needs.session else None
    found: dict[str, CaptureSession] = {}
    for row in sorted(rows, key=lambda row: row.session_id != judged):
        found.setdefault(row.metric, row.session)
    return found
