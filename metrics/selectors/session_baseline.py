"""What a baseline opens with: what is missing in the intake, and when to measure again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.urls import reverse

from athletes.facts import SizesOn, body_size_on, level_on
from athletes.words import number_word
from metrics.catalogue.causes import interventions_for
from metrics.catalogue.screen_form import EnteredScreen, load_screen_form
from metrics.models import Finding
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_words import direction_words, joined, list_words, name_without_moment
from metrics.tracing import Node
from sessions.models import FilterKnowledge, Landing, Method

HOUSE_RECHECK_WEEKS = 6
"""When nothing in the library says how long the starting point takes. House default, no published source."""

NAMED_SCREENS = 4
SIZES = (("height", "height"), ("mass", "mass"), ("arm span", "arm_span"))


@dataclass(frozen=True, slots=True)
class Gap:
    """Something that the intake lacks, and what it costs. `url`, `act`: where it is added, "" where nothing is."""

    what: str
    sentence: str
    url: str = ""
    act: str = ""


@dataclass(frozen=True, slots=True)
class Baseline:
    """`again_on`: suggested re-test, None where a later session by this method stands already; `again_why`: whence."""

    gaps: tuple[Gap, ...]
    again_on: dt.date | None
    again_why: str


def baseline_of(rows: SessionRows, start: Node | None) -> Baseline | None:
    """None with a comparable session before, for hands-on sessions, and before findings stand. One query.

    start: where to start, None where that is not known.
    """
    if rows.last_time is not None or rows.capture.method == Method.HANDS_ON or not rows.findings:
        return None
    weeks, why = recheck_weeks(start, rows)
    again = rows.capture.date + dt.timedelta(weeks=weeks)
    return Baseline(tuple(_gaps(rows)), None if _was_measured_again(rows) else again, why)


def recheck_weeks(start: Node | None, rows: SessionRows) -> tuple[int, str]:
    """Weeks until a re-test, and where they come from: the longest recheck of what the library has for the start."""
    known = interventions_for(start.metric, start.direction) if start else ()
    if start is None or not known:
        return HOUSE_RECHECK_WEEKS, f"{number_word(HOUSE_RECHECK_WEEKS)} weeks, a house default without a source"
    weeks = max(one.recheck_weeks[1] for one in known)
    metric = rows.catalogue.metric(start.metric)
    name = f"{name_without_moment(metric).lower()} ({direction_words(metric, start.direction)})"
    return weeks, f"{number_word(weeks)} weeks, the longest that the library says for {name}"


def _was_measured_again(rows: SessionRows) -> bool:
    now = (rows.capture.date, rows.capture.ordinal)
    return any(one.method == rows.capture.method and (one.date, one.ordinal) > now for one in rows.sessions)


def _gaps(rows: SessionRows) -> Iterator[Gap]:
    yield from _body_gaps(rows)
    if level_on(rows.capture.athlete, rows.capture.date) is None:
        url = reverse("athletes:level", args=[rows.capture.athlete.uuid])
        yield Gap("Level", "Not recorded, so no range of a level can be used.", url, "Add the level")
    yield from _screen_gaps(rows)
    yield from _capture_gaps(rows)


def _body_gaps(rows: SessionRows) -> Iterator[Gap]:
    sizes = body_size_on(rows.capture.athlete, rows.capture.date)
    url = reverse("athletes:body-size", args=[rows.capture.athlete.uuid])
    missing = [words for words, basis in SIZES if sizes.of_basis(basis) is None]
    if missing:
        sentence = f"No {joined(missing)} recorded: what goes by {'it' if len(missing) == 1 else 'them'} is not judged."
        yield Gap("Body size", sentence, url, "Add body size")
    if old := _old_height(sizes):
        yield Gap("Height", old, url, "Measure again")


def _old_height(sizes: SizesOn) -> str:
    if sizes.height is None or not sizes.height.is_old:
        return ""
    return f"Last measured on {sizes.height.measured_on:%-d %B %Y}, {sizes.height.days} days before this session."


def _screen_gaps(rows: SessionRows) -> Iterator[Gap]:
    """Screens that a person enters and of which the athlete has no number in any session. One query."""
    done = set(
        Finding.objects.filter(session__athlete=rows.capture.athlete_id, session__withdrawn_at=None)
        .filter(session__method=Method.HANDS_ON, mean__isnull=False)
        .order_by()
        .values_list("metric", flat=True)
        .distinct()
    )
    screens = load_screen_form().screens
    never = [one for one in (*load_screen_form().chosen, *screens) if not done.intersection(one.keys)]
    never = list({one.screen: one for one in never}.values())
    url = reverse("metrics:screens", args=[rows.capture.athlete.uuid])
    if len(never) == len(screens):
        yield Gap("Hands-on screens", "None done yet: causes in the body can only be suspected.", url, "Enter screens")
    elif never:
        sentence = f"{len(never)} of {len(screens)} never done: {list_words(_titles(never), NAMED_SCREENS)}."
        yield Gap("Hands-on screens", sentence, f"{url}?screen={never[0].screen}", "Enter screens")


def _titles(screens: Iterable[EnteredScreen]) -> list[str]:
    """Each by its first words, which name the movement."""
    return list(dict.fromkeys(one.title.partition(",")[0].lower() for one in screens))


def _capture_gaps(rows: SessionRows) -> Iterator[Gap]:
    """What the capture does not say of itself."""
    capture = rows.capture
    if capture.landing == Landing.UNKNOWN:
        yield Gap("Landing", "Not known whether it was read at first touch or with weight on it.")
    if capture.filter_knowledge == FilterKnowledge.UNKNOWN and capture.method == Method.MOTION_CAPTURE:
        yield Gap("Filter", "Not known, so peaks that depend on it cannot be judged.")
    if capture.frame_rate_hz is None:
        yield Gap("Frames a second", "Not known: what moves fast may be read less sharply than it seems.")
