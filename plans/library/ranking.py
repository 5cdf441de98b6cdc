"""In which order suggestions are shown: starting point, what worked here, what this athlete has tried."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from plans.library.checks import MOST_MINUTES
from plans.library.matching import Suggestion
from plans.library.model import End
from plans.library.words import OUTCOMES, PAIN

FEWEST_ATHLETES = 5
"""A share of fewer athletes is neither shown nor used: issue 9's privacy rule."""

SINKS = ("no_change", "worse")
TRIED_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "better": "Tried before: it got better.",
        "no_change": "Tried before: no real change.",
        "worse": "Tried before: it got worse.",
        "cannot_tell": "Tried before: can’t tell what it did.",
    }
)


@dataclass(frozen=True, slots=True)
class WorkedHere:
    """How many athletes here had this work for this flag, and how many got better; one response an athlete.

    ``least_share``: the lower end of the interval of that share, the caller's (Wilson). Raises ValueError for what
    cannot be.
    """

    athletes: int
    better: int
    least_share: float

    def __post_init__(self) -> None:
        if not 0 <= self.better <= self.athletes:
            raise ValueError(f"{self.better} better of {self.athletes} athletes cannot be")
        if not 0.0 <= self.least_share <= 1.0:
            raise ValueError(f"a share lies between 0 and 1, got {self.least_share}")

    @property
    def is_hidden(self) -> bool:
        return self.athletes < FEWEST_ATHLETES


@dataclass(frozen=True, slots=True)
class Ranked:
    """A suggestion in its place, and in sentences what put it there."""

    suggestion: Suggestion
    because: tuple[str, ...]


Worked = Mapping[tuple[str, End], WorkedHere]
"""(key of an intervention, flag) → what it came to here."""
NONE_WORKED: Worked = MappingProxyType({})
NONE_TRIED: Mapping[str, str] = MappingProxyType({})


def rank(
    offered: Iterable[Suggestion], *, worked: Worked = NONE_WORKED, tried: Mapping[str, str] = NONE_TRIED
) -> tuple[Ranked, ...]:
    """The first is to be shown first. ``tried``: key → what it came to for this athlete, a word of words.OUTCOMES.

    A referral for pain stands first, since nothing else is begun before; then what is for the starting point. In each,
    what was tried without change or got worse sinks, whatever it did for others; then what addresses a need itself
    before what addresses its cause; then the lower end of the share that got better here; then what helped this
    athlete; then what leaves half of the day's minutes to another work; then the library's order. Raises ValueError
    for an outcome of no list.
    """
    for outcome in tried.values():
        if outcome not in OUTCOMES:
            raise ValueError(f"an outcome is one of {', '.join(OUTCOMES)}, got {outcome!r}")

    def place(one: Suggestion) -> tuple[object, ...]:
        outcome, best = tried.get(one.key, ""), _best(one, worked)
        return (
            all(answer.need.end != PAIN for answer in one.answers),
            not one.is_for_starting_point,
            SINKS.index(outcome) + 1 if outcome in SINKS else 0,
            not one.is_direct,
            -best.least_share if best else 0.0,
            outcome != "better",
            one.dose.minutes * 2 > MOST_MINUTES,
        )

    return tuple(Ranked(one, _because(one, worked, tried)) for one in sorted(offered, key=place))


def _best(one: Suggestion, worked: Worked) -> WorkedHere | None:
    """What it came to here for the flag that it did most for; None where fewer than five athletes had it."""
    found = [row for answer in one.answers if (row := worked.get((one.key, answer.need.end))) and not row.is_hidden]
    return max(found, key=lambda row: row.least_share, default=None)


def _because(one: Suggestion, worked: Worked, tried: Mapping[str, str]) -> tuple[str, ...]:
    best = _best(one, worked)
    sentences = (
        "For the starting point." if one.is_for_starting_point else "",
        f"{best.better} of {best.athletes} athletes here got better with it." if best else "",
        TRIED_WORDS.get(tried.get(one.key, ""), ""),
    )
    return tuple(sentence for sentence in sentences if sentence)
