"""What a comparison says in words: what is beside what, how the figures are laid, and what could not be used."""

from __future__ import annotations

from collections.abc import Iterable

from athletes.quantities import format_height
from athletes.words import counted, number_word
from metrics.selectors.compare.asked import Compared
from metrics.selectors.compare.sides import Side
from metrics.selectors.compare.table import Table
from metrics.selectors.session_words import joined, list_words
from sessions.models import CaptureSession, Method

TWO_PEOPLE = "Two people: a difference between them is no change, and neither is the other’s target."
ONE_SESSION = "Both sides are one session, so nothing can have changed; two of its throws stand beside each other."
ONE_BY_HAND = "Both sides are one session, so nothing can have changed. Choose another one for either side."
NAMED_IN_SENTENCE = 3


def lede(first: Side, second: Side, table: Table | None, *, is_of_one: bool) -> str:
    """The one sentence under the title."""
    if first.capture.pk == second.capture.pk:
        return ONE_BY_HAND if first.capture.method == Method.HANDS_ON else ONE_SESSION
    if not is_of_one:
        return TWO_PEOPLE
    apart = counted((second.date - first.date).days, "day")
    opening = f"{apart} apart." if first.date != second.date else "Two sessions of one day."
    if table is None or not table.compared:
        return f"{opening} No metric can be held against the other."
    metrics = counted(table.compared, "comparable metric")
    if not table.real:
        alone = ", when all are judged together" if table.alone else ""
        passing = f" {_alone(table.alone)}" if table.alone else ""
        return f"{opening} None of {metrics} really changed{alone}.{passing}"
    names = dict.fromkeys(line.name[:1].lower() + line.name[1:] for line in table.real)
    return f"{opening} {len(table.real)} of {metrics} really changed: {list_words(names, NAMED_IN_SENTENCE)}."


def _alone(count: int) -> str:
    return f"{number_word(count).capitalize()} {'does' if count == 1 else 'do'} when judged alone."


def problems(compared: Compared, first: Side | None, second: Side | None) -> Iterable[str]:
    """What the address asked for and could not have, or what to know before reading on."""
    yield from compared.asked.wrong
    for capture in compared.withdrawn:
        yield f"The session of {_named(capture)} was withdrawn, so it is not compared. Choose another."
    for side in {id(one): one for one in (first, second) if one}.values():
        if side.is_lagging and side.scoring:
            yield f"The findings of {side.date:%-d %B %Y} are being computed anew; reload in a moment."
        elif side.scoring is None:
            yield f"The findings of {side.date:%-d %B %Y} have not been computed yet; reload in a moment."
        if side.throw and side.throw.is_excluded:
            named = f"Throw {side.throw.number} of {side.date:%-d %B %Y}"
            yield f"{named} was {side.throw.why}. Its numbers are in no finding."


def _named(capture: CaptureSession) -> str:
    return f"{capture.date:%-d %B %Y} ({capture.get_method_display()})"


def no_figure_words(first: Side, second: Side) -> str:
    """Why no figure moves; empty when both sides have a recorded throw."""
    missing = [side for side in (first, second) if not side.is_recorded]
    if not missing:
        return ""
    named = joined(list(dict.fromkeys(f"the session of {_named(side.capture)}" for side in missing)))
    return (
        f"No moving figure and no curves: {named} has no recording."
        if len(missing) == 1
        else (f"No moving figures and no curves: there is no recording of {named}.")
    )


def laying_words(first: Side, second: Side, system: str) -> tuple[str, ...]:
    """How the figures are made alike, and what keeps them from it."""
    words = []
    left = mirrored_side(first, second)
    if left is not None:
        words.append(f"{left.title} is mirrored: thrown with the left arm.")
    unknown = [side for side in (first, second) if side.height_cm is None]
    if unknown:
        whose = joined([f"{side.title} ({side.date:%-d %B %Y})" for side in unknown])
        words.append(f"Not scaled when laid over each other: no height is known for {whose}.")
    else:
        one, other = (format_height(side.height_cm, system) for side in (first, second))
        words.append(
            f"Laid over each other, both are aligned at the pelvis and {first.title} ({one}) is drawn at the height of "
            f"{second.title} ({other}); side by side each has its own size."
        )
    return tuple(words)


def mirrored_side(first: Side, second: Side) -> Side | None:
    """The left-handed one of two that throw with different arms."""
    if first.capture.throwing_side == second.capture.throwing_side:
        return None
    return first if first.capture.throwing_side == "left" else second
