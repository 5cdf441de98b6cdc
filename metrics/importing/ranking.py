"""Which metrics a header may mean, best first, by its words, its moment and its unit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from metrics.importing.recipes import name_key
from metrics.importing.units import Conversion, conversion
from metrics.importing.words import HeaderMeaning, has_unknown_words, read_header, weight_of

if TYPE_CHECKING:
    from metrics.catalogue import Catalogue, Metric

# Shares of a full match that are left (house opinion, no source: tuned on invented headers).
OTHER_MOMENT = 0.45
MOMENT_UNSAID = 0.8
MOMENT_TOO_MUCH = 0.7
INTERVAL_OF_OTHER_LANDING = 0.93
UNIT_DOES_NOT_FIT = 0.4
OPPOSITE_TERM = 0.92
SCREEN_AMONG_THROWS = 0.8
THROW_AMONG_SCREENS = 0.85
NAMED_OTHERWISE = 0.99  # the header is word for word a name or synonym of another metric
WHOLE_NAME = 0.98
LEAST_CANDIDATE = 0.2

# A range of motion is taken by hand, in whatever table it stands.
SAID_BY_HAND = "rom"

LANDING_EVENTS = frozenset(("fc", "fp", "landing"))

# A term that says the same with the other sign, or from the other end: (in the header, in the metric).
_OPPOSITES = (
    ("hadd", "habd"),
    ("habd", "hadd"),
    ("ipsilateral", "lateral"),
    ("posterior", "anterior"),
    ("backward", "forward"),
    ("extension", "flexion"),
)


@dataclass(frozen=True)
class Candidate:
    """A metric that a header may mean. `why` is "name", "synonym", "words"; `opposite` when the header
    uses the term of the other sign."""

    metric: str
    confidence: float
    why: tuple[str, ...]
    opposite: bool = False


@dataclass(frozen=True)
class _Phrase:
    tokens: frozenset[str]
    weight: float
    why: str


@dataclass(frozen=True)
class _Known:
    metric: Metric
    phrases: tuple[_Phrase, ...]
    words: frozenset[str]
    moment: str
    alone: bool  # no other metric is the same quantity at another moment


class MetricIndex:
    """The catalogue made ready for comparisons with headers."""

    def __init__(self, catalogue: Catalogue) -> None:
        quantities = Counter(_quantity(metric) for metric in catalogue.metrics.values())
        self._known = tuple(
            _known(metric, alone=quantities[_quantity(metric)] == 1) for metric in catalogue.metrics.values()
        )
        self._by_key = {known.metric.key: known for known in self._known}
        self._by_name = {
            name_key(text): metric.key
            for metric in reversed(list(catalogue.metrics.values()))
            for text in (*metric.synonyms, metric.name)
        }

    def rank(self, header: str, unit_text: str = "", *, screens: bool = False) -> tuple[Candidate, ...]:
        """Candidates for a header in a unit ("" when not known), best first; at most six.

        `screens`: the table is of a hands-on session, where screens are likelier than metrics of a throw.
        """
        exact = header.strip().lower().partition("@")[0]
        if exact in self._by_key:
            return (Candidate(exact, 1.0, ("name",)),)
        named = self._by_name.get(name_key(header))
        meaning = read_header(header)
        if not meaning.tokens:
            return ()
        unit = unit_text or meaning.unit_text
        said = meaning.tokens | {meant for term, meant in _OPPOSITES if term in meaning.tokens}
        found = (self._candidate(known, meaning, unit, screens) for known in self._known if known.words & said)
        kept = [candidate for candidate in found if candidate.confidence >= LEAST_CANDIDATE]
        if named:
            # The catalogue's own name, word for word, means that metric also where screens are rare.
            whole = name_key(self._by_key[named].metric.name) == name_key(header)
            kept = [
                replace(candidate, confidence=max(candidate.confidence, WHOLE_NAME) if whole else candidate.confidence)
                if candidate.metric == named
                else replace(candidate, confidence=candidate.confidence * NAMED_OTHERWISE)
                for candidate in kept
            ]
        return tuple(sorted(kept, key=self._order)[:6])

    def _order(self, candidate: Candidate) -> tuple[float, int, float]:
        metric = self._by_key[candidate.metric].metric
        return (-round(candidate.confidence, 3), -int(metric.first_look), -metric.weight)

    def _candidate(self, known: _Known, meaning: HeaderMeaning, unit: str, screens: bool) -> Candidate:
        share, why = _best_phrase(known.phrases, meaning.tokens)
        opposite = False
        for said, meant in _OPPOSITES:
            if said in meaning.tokens and meant not in meaning.tokens:
                turned, other_why = _best_phrase(known.phrases, (meaning.tokens - {said}) | {meant})
                if turned * OPPOSITE_TERM > share:
                    share, why, opposite = turned * OPPOSITE_TERM, other_why, True
        reasons = [why] if share >= 0.999 else ["words"]
        share *= _moment_share(known, _plain(meaning.moment))
        if known.metric.is_screen != (screens or SAID_BY_HAND in meaning.tokens):
            share *= SCREEN_AMONG_THROWS if known.metric.is_screen else THROW_AMONG_SCREENS
        if unit and not isinstance(conversion(unit, known.metric), Conversion):
            share *= UNIT_DOES_NOT_FIT
        elif unit:
            reasons.append("unit")
        return Candidate(known.metric.key, share, tuple(reasons), opposite)


def _plain(moment: str) -> str:
    """A moment with either landing event as "landing"; of intervals the exact ends are kept."""
    return "landing" if moment in LANDING_EVENTS else moment


def _quantity(metric: Metric) -> frozenset[str]:
    """What is measured, without when."""
    return read_header(metric.key).tokens


def _known(metric: Metric, *, alone: bool) -> _Known:
    phrases = _phrases_of(metric)
    words = frozenset(token for phrase in phrases for token in phrase.tokens)
    return _Known(metric, phrases, words, _plain(metric.moment), alone)


def _phrases_of(metric: Metric) -> tuple[_Phrase, ...]:
    texts: Iterable[tuple[str, str]] = (
        (metric.key, "name"),
        (metric.name, "name"),
        *((text, "synonym") for text in metric.synonyms),
        (metric.short_name, "synonym"),
        (metric.plain_name, "synonym"),
    )
    distinct: dict[frozenset[str], str] = {}
    for text, why in texts:
        tokens = read_header(text).tokens
        if tokens:
            distinct.setdefault(tokens, why)
    return tuple(_Phrase(tokens, weight_of(tokens), why) for tokens, why in distinct.items())


def _best_phrase(phrases: Iterable[_Phrase], tokens: frozenset[str]) -> tuple[float, str]:
    """Greatest weighted Dice share of common tokens, 0 to 1, and where that phrase comes from.

    Beside words that no metric uses, one common word is too little: "velocity" is the ball's, "wind velocity" is not.
    """
    weight, strange = weight_of(tokens), has_unknown_words(tokens)
    best, why = 0.0, "words"
    for phrase in phrases:
        common = tokens & phrase.tokens
        if strange and len(common) == 1 and common != tokens:
            continue
        whole = weight + phrase.weight
        share = 2 * weight_of(common) / whole if whole else 0.0
        if share > best:
            best, why = share, phrase.why
    return best, why


def _moment_share(known: _Known, said: str) -> float:
    """How well the moment that a header names agrees with the metric's."""
    own = known.moment
    if said == own or own == "screen":
        return 1.0
    if not said:
        return 1.0 if known.alone or "-" in own or not own else MOMENT_UNSAID
    if not own:
        return MOMENT_TOO_MUCH
    if "-" in said and "-" in own:
        same = [_plain(part) for part in said.split("-")] == [_plain(part) for part in own.split("-")]
        return INTERVAL_OF_OTHER_LANDING if same else MOMENT_TOO_MUCH
    return OTHER_MOMENT
