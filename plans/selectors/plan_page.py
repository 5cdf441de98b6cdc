"""The plan of an athlete: what has no work yet, what to begin with, and what was given."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from athletes.models import Athlete
from athletes.words import counted
from metrics.models import Finding
from metrics.selectors.starting_point import CheckView
from metrics.selectors.trace_words import Named
from plans.library import MOST_MINUTES, Ranked, Suggestion, tell_dose, tell_supervision
from plans.library.model import End
from plans.models import InterventionVersion
from plans.selectors.end_words import end_words
from plans.selectors.library_now import library_now
from plans.selectors.needs import AthleteNeeds, needs_of
from plans.selectors.prescribed import PrescriptionView, prescriptions_of, views_of, work_of
from plans.selectors.suggesting import Suggested, reasons_of, suggest_for
from plans.selectors.work import OpenWork

PAIN_COMES_FIRST = "Pain is open: a clinician comes first, and no new work before a clearance."


@dataclass(frozen=True, slots=True)
class NeedView:
    """A recurring flag or the starting point. `finding` for its mark, None where it is not of this session.

    `work`: names of what is given for it; `follows`: it should clear with the starting point.
    """

    label: str
    is_start: bool
    is_provisional: bool
    counted: str
    finding: Finding | Named | None
    url: str
    follows: bool
    work: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SuggestionView:
    """`why`: what it is suggested for; `because`: what put it into its place; `url`: the form filled in."""

    key: str
    name: str
    kind: str
    dose: str
    supervision: str
    minutes: int
    recheck: str
    why: tuple[str, ...]
    because: tuple[str, ...]
    url: str


@dataclass(frozen=True, slots=True)
class ProposalView:
    """What to begin with. `url`: one form for all of it, "" where nothing is given. `minutes` a day with what runs."""

    works: tuple[SuggestionView, ...]
    leave_alone: str
    minutes: int
    follow_up_on: dt.date | None
    url: str


@dataclass(frozen=True, slots=True)
class PlanPage:
    """`waiting`: needs without work, `answered`: those with work; `unmet`: needs for which nothing can be given.

    `nothing`: why there are no needs, "" where there are some.
    """

    session_url: str
    session_words: str
    profile: str
    nothing: str
    waiting: tuple[NeedView, ...]
    answered: tuple[NeedView, ...]
    is_start_unknown: bool
    checks: tuple[CheckView, ...]
    proposal: ProposalView | None
    no_proposal: str
    others: tuple[SuggestionView, ...]
    left_out: tuple[tuple[str, tuple[str, ...]], ...]
    unmet: tuple[tuple[str, str], ...]
    running: tuple[PrescriptionView, ...]
    ended: tuple[PrescriptionView, ...]
    minutes_running: int
    is_in_pain: bool

    @property
    def has_unshown(self) -> bool:
        return any(not one.row.is_shown for one in self.running)


def plan_page(athlete: Athlete, on: dt.date, *, system: str) -> PlanPage:
    """`athlete` loaded `with_facts()`; `system`: the reader's units. As many queries for much as for little."""
    rows = prescriptions_of(athlete)
    works = work_of(athlete, rows, on)
    needs, library = needs_of(athlete), library_now()
    suggested = suggest_for(athlete, needs, library, works, on)
    landing = needs.landing
    views = views_of(rows, works, on, system=system, landing=landing)
    seen = _needs(needs, works)
    may_give = athlete.consent_withdrawn_on is None
    proposal = _proposal(athlete, suggested, needs) if may_give else None
    proposed = {one.key for one in suggested.proposal.given}
    others = [one for one in suggested.ranked if one.suggestion.key not in proposed] if may_give else []
    running = sorted((one for one in views if not one.ended), key=lambda one: (one.row.start, one.row.pk))
    return PlanPage(
        session_url=reverse("metrics:session", args=[needs.session.uuid]) if needs.session else "",
        session_words=_session_words(needs),
        profile=_profile_words(needs),
        nothing="" if seen else _nothing(needs),
        waiting=tuple(one for one in seen if not one.work),
        answered=tuple(one for one in seen if one.work),
        is_start_unknown=needs.panel is not None and needs.start is None,
        checks=needs.panel.checks if needs.panel else (),
        proposal=proposal,
        no_proposal="" if proposal else _no_proposal(suggested, library, seen, may_give=may_give),
        others=tuple(_suggestion(athlete, one.suggestion, needs, one) for one in others),
        left_out=tuple((one.intervention.name, one.reasons) for one in suggested.suggestions.left_out),
        unmet=tuple((end_words(one.need.end, landing), one.reason) for one in suggested.suggestions.unmet),
        running=tuple(running),
        ended=tuple(one for one in views if one.ended),
        minutes_running=suggested.minutes_running,
        is_in_pain=suggested.now.has_open_pain,
    )


def give_url(athlete: Athlete, keys: Iterable[str]) -> str:
    return f"{reverse('plans:give', args=[athlete.uuid])}?{urlencode([('use', key) for key in keys])}"


def _needs(needs: AthleteNeeds, works: Iterable[OpenWork]) -> list[NeedView]:
    given: dict[End, list[str]] = {}
    for work in works:
        for end in reasons_of(work):
            given.setdefault(end, []).append(work.name)
    by_end = {one.end: one for one in needs.recurring}
    found = []
    for need in needs.wanted():
        end, flag = need.end, by_end.get(need.end)
        named = needs.panel.start if needs.panel and need.is_starting_point else None
        found.append(
            NeedView(
                label=end_words(end, needs.landing),
                is_start=need.is_starting_point,
                is_provisional=need.is_starting_point and needs.is_provisional,
                counted=f"{flag.times} of the last {flag.among} comparable sessions" if flag else "",
                finding=flag.finding if flag else named,
                url=_finding_url(needs, end) if flag else named.url if named else "",
                follows=end in needs.follows,
                work=tuple(given.get(end, ())),
            )
        )
    return found


def _finding_url(needs: AthleteNeeds, end: End) -> str:
    return reverse("metrics:finding", args=[needs.session.uuid, end[0]]) if needs.session else ""


def _proposal(athlete: Athlete, suggested: Suggested, needs: AthleteNeeds) -> ProposalView | None:
    proposal = suggested.proposal
    if not proposal.given:
        return None
    by_key = {one.suggestion.key: one for one in suggested.ranked}
    return ProposalView(
        works=tuple(_suggestion(athlete, one, needs, by_key[one.key]) for one in proposal.given),
        leave_alone=proposal.leave_alone.sentence if proposal.leave_alone else "",
        minutes=proposal.minutes + suggested.minutes_running if proposal.minutes else 0,
        follow_up_on=proposal.follow_up_on,
        url=give_url(athlete, [one.key for one in proposal.given]),
    )


def _suggestion(athlete: Athlete, one: Suggestion, needs: AthleteNeeds, ranked: Ranked) -> SuggestionView:
    value = one.intervention
    first, last = value.recheck_weeks
    return SuggestionView(
        key=value.key,
        name=value.name,
        kind=value.kind,
        dose=tell_dose(one.dose),
        supervision=tell_supervision(one.dose),
        minutes=one.dose.minutes,
        recheck=counted(last, "week") if first == last else f"{first} to {last} weeks",
        why=tuple(_why(one, needs)),
        because=tuple(sentence for sentence in ranked.because if sentence != "For the starting point."),
        url=give_url(athlete, [one.key]),
    )


def _why(one: Suggestion, needs: AthleteNeeds) -> Iterable[str]:
    """For what, and where it is only for a possible cause of it, for which; a cause that is a need stands once."""
    direct, landing = {answer.need.end for answer in one.answers if answer.through is None}, needs.landing
    for need, through in one.answers:
        if through in direct:
            continue
        start = "the starting point, " if need.is_starting_point else ""
        label = end_words(need.end, landing)
        if through is None:
            yield f"For {start}{label}"
        else:
            known = " (not measured)" if needs.is_unmeasured(through) else ""
            yield f"For {end_words(through, landing)}{known}, which may lie behind {label}"


def _session_words(needs: AthleteNeeds) -> str:
    session = needs.session
    return f"{str(session.get_method_display()).capitalize()}, {session.date:%-d %B %Y}" if session else ""


def _profile_words(needs: AthleteNeeds) -> str:
    """Holding what a flag was held against: the profile and its version."""
    scoring = needs.rows.scoring if needs.rows else None
    version = scoring.profile_version if scoring else None
    return f"{version.profile.name}, version {version.number}" if version else ""


def _nothing(needs: AthleteNeeds) -> str:
    if needs.session is None:
        return "Nothing was measured yet that flags could come back in. The plan begins with a session."
    flags = len(needs.trace.flags) if needs.trace else 0
    if not flags:
        return "Nothing is flagged in the latest session."
    which = "It has not" if flags == 1 else "None of them has"
    return f"{counted(flags, 'flag')} in the latest session. {which} come back in enough sessions to plan for yet."


def _no_proposal(
    suggested: Suggested,
    library: Mapping[str, InterventionVersion],
    seen: Collection[NeedView],
    *,
    may_give: bool,
) -> str:
    """Why nothing is proposed; "" where nothing is asked for."""
    if not may_give:
        return "Consent is withdrawn: nothing new is given."
    if not library:
        return "The library is empty. An admin fills it."
    if suggested.now.has_open_pain:
        return PAIN_COMES_FIRST
    if not any(not one.work for one in seen):
        return ""
    if suggested.ranked:
        running = f"({counted(suggested.minutes_running, 'minute')} a day)"
        holds = f"a day holds {MOST_MINUTES} minutes, one work for the body and one drill"
        return f"None of what is suggested fits beside what runs {running}: {holds}. End something first, or choose."
    return ""
