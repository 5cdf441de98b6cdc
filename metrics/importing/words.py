"""The language of headers: which words mean the same, and at which moment a header speaks.

`words.csv` is the vocabulary (common practice, no published source): a meaning of one or several
tokens, its weight in comparisons, and the phrases that say it. "@" marks a moment; an empty meaning
marks words that decide nothing.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from metrics.importing.languages import english_words, fold
from metrics.importing.units import parse_unit
from sessions.formats.unit_words import LONGEST_NAME

UNKNOWN_WORD_WEIGHT = 0.9
LONGEST_PHRASE = 5


@dataclass(frozen=True)
class HeaderMeaning:
    """What a header says: its content tokens, the moment, the unit written in it.

    `moment` is "", one event ("fc", "fp", "landing", "mer", "br", "pkh", "mir") or an interval
    ("fp-br"). `unit_text` is as written, "" when the header has none.
    """

    tokens: frozenset[str]
    moment: str
    unit_text: str


@dataclass(frozen=True)
class _Vocabulary:
    meanings: Mapping[tuple[str, ...], tuple[str, ...]]
    weights: Mapping[str, float]


@cache
def _vocabulary() -> _Vocabulary:
    meanings: dict[tuple[str, ...], tuple[str, ...]] = {}
    weights: dict[str, float] = {}
    text = files("metrics.importing").joinpath("words.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        meaning = tuple(row["meaning"].split())
        if len(meaning) == 1:
            weights[meaning[0]] = float(row["weight"])
        for phrase in filter(None, row["phrases"].split("|")):
            meanings[tuple(phrase.split())] = meaning
    return _Vocabulary(meanings, weights)


def weight_of(tokens: Iterable[str]) -> float:
    """How much these tokens say, in all: a joint or a motion about 2, a qualifier under 1."""
    weights = _vocabulary().weights
    return sum(weights.get(token, UNKNOWN_WORD_WEIGHT) for token in tokens)


@lru_cache(4096)
def has_unknown_words(tokens: frozenset[str]) -> bool:
    """Whether a header speaks of something that no metric speaks of."""
    return not _vocabulary().weights.keys() >= tokens


_BRACKET = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z]{2})(?=[A-Z][a-z]{2})")
_PIECE = re.compile(r"[%#]|[a-z]+|\d+(?:\.\d+)?")

# Units that a header may end in without brackets. Words that are also parts of names ("height",
# "number") are units only in brackets, in a units row, or after a percent sign.
_BARE_UNITS = frozenset(
    (
        *("deg", "degs", "degrees", "°", "rad", "rads", "radians", "dps", "radps", "rpm"),
        *("deg/s", "°/s", "rad/s", "deg/sec", "rad/sec", "mph", "kph", "kmh", "km/h", "m/s"),
        *("m", "cm", "mm", "in", "inches", "ft", "feet", "meters", "metres", "s", "sec", "seconds", "ms"),
        *("msec", "n", "nm", "n*m", "n·m", "lbf", "lbs", "kg", "oz", "bw", "bwh"),
        *("%", "%bw", "%bh", "%ht", "%height", "%bwh", "%bwxh", "%bw*h"),
    )
)
_SHARE_AT_END = re.compile(
    r"[\s_,]((?:pct|percent|%)[ _]?(?:of )?(?:body[ _]?)?(?:height|weight|ht|bh|bw)(?: ?[x*×] ?(?:height|ht|h|bh))?)$"
)
_RATE_AT_END = re.compile(
    r"[\s_,](deg|degrees|rad|radians|m|meters|metres|km|mi|miles)[ _]?(?:/|per|p|_| )[ _]?(s|sec|second|h|hr|hour)$"
)
_TORQUE_AT_END = re.compile(r"[\s_,](n)[ _*.·-](m)$")
_ENDINGS = ((_SHARE_AT_END, ""), (_RATE_AT_END, "/"), (_TORQUE_AT_END, "*"))


def split_unit(header: str) -> tuple[str, str]:
    """A header without its unit, and the unit's text ("" when there is none).

    Knows bare endings ("stride_length_m") that the table reader leaves alone, since here a metric is
    sought and there any column's name.
    """
    text = " ".join(str(header).split())
    for bracket in reversed(list(_BRACKET.finditer(text))):
        if parse_unit(bracket[1]):
            around = f"{text[: bracket.start()]} {text[bracket.end() :]}"
            return " ".join(around.split()), bracket[1].strip()
    text = _CAMEL.sub("_", text) if " " not in text else text
    lowered = text.lower()
    for pattern, sign in _ENDINGS:
        if match := pattern.search(lowered):
            unit = sign.join(match.groups()).replace("_", " ")
            if parse_unit(unit):
                return text[: match.start()].strip(" _,-"), unit
    words = re.split(r"[\s_,]+", lowered)
    if len(words) > 1 and words[-1] in _BARE_UNITS:
        return text[: -len(words[-1])].strip(" _,-"), words[-1]
    return text, ""


def pieces_of(text: str) -> tuple[str, ...]:
    """The words of a header in order, in English: split at spaces, punctuation, camel case and digits."""
    spaced = _CAMEL.sub(" ", text.replace("@", " at ").replace("_", " "))
    return english_words(tuple(_PIECE.findall(fold(spaced).replace("'s", " "))))


def _canonical(pieces: tuple[str, ...]) -> list[str]:
    """Words → tokens of the vocabulary, the longest phrase first; unknown words stay themselves."""
    meanings = _vocabulary().meanings
    tokens: list[str] = []
    at = 0
    while at < len(pieces):
        for length in range(min(LONGEST_PHRASE, len(pieces) - at), 0, -1):
            meaning = meanings.get(pieces[at : at + length])
            if meaning is not None:
                tokens.extend(meaning)
                at += length
                break
        else:
            tokens.append(pieces[at])
            at += 1
    return tokens


# (all of these present, none of these present, take away, add): what a coach leaves unsaid, and names
# that say one thing in two ways. Read in order.
_SHOULDER_MOTIONS = ("er", "ir", "habd", "hadd", "abduction")
_JOINTS = frozenset(("shoulder", "elbow", "wrist", "trunk", "pelvis", "hip", "knee", "foot", "ankle"))
_UNSAID: tuple[tuple[frozenset[str], frozenset[str], frozenset[str], frozenset[str]], ...] = tuple(
    (frozenset(present.split()), absent, frozenset(away.split()), frozenset(add.split()))
    for present, absent, away, add in (
        *((motion, _JOINTS | {"glove"}, "", "shoulder") for motion in _SHOULDER_MOTIONS),
        ("horizontal abduction", frozenset(), "horizontal abduction", "habd"),
        ("horizontal adduction", frozenset(), "horizontal adduction", "hadd"),
        ("trunk flexion", frozenset(("velocity", "lateral")), "flexion", "forward tilt"),
        ("trunk forward velocity", frozenset(), "forward tilt rotation", "flexion"),
        ("trunk flexion velocity", frozenset(), "rotation", ""),
        ("trunk forward", frozenset(("tilt", "velocity")), "", "tilt"),
        ("trunk lateral", frozenset(("tilt", "velocity")), "flexion", "tilt"),
        ("lateral tilt", _JOINTS, "", "trunk"),
        ("ipsilateral tilt", _JOINTS, "", "trunk"),
        ("forward tilt", _JOINTS, "", "trunk"),
        ("pelvis forward tilt", frozenset(), "forward", "anterior"),
        ("pelvis backward tilt", frozenset(), "backward", "posterior"),
        ("pelvis velocity", frozenset(("forward",)), "", "rotation"),
        ("pelvis forward velocity", frozenset(), "rotation", ""),
        ("trunk velocity", frozenset(("flexion", "lateral", "forward")), "", "rotation"),
        ("lead flexion", _JOINTS, "", "knee"),
        ("drive flexion", _JOINTS, "", "knee"),
        ("lead extension", _JOINTS, "", "knee"),
        ("knee flexion", frozenset(("lead", "drive")), "", "lead"),
        ("knee extension", frozenset(("lead", "drive")), "", "lead"),
        ("foot rotation", frozenset(("lead", "drive")), "", "lead"),
        ("varus", _JOINTS, "", "elbow"),
        ("elbow torque", frozenset(), "", "varus"),
        ("propulsive", frozenset(), "propulsive", "forward"),
        ("forward impulse", frozenset(("lead",)), "", "drive"),
        ("anterior force", _JOINTS, "anterior", "forward"),
        ("forward force", _JOINTS | {"lead"}, "", "drive"),
        ("shear drive", frozenset(), "shear", "forward"),
        ("shear lead", frozenset(), "shear", "braking"),
        ("backward force", frozenset(), "backward", "braking"),
        ("braking force", _JOINTS | {"drive"}, "", "lead"),
        ("braking pelvis", frozenset(), "forward velocity", ""),
        ("stride lateral", frozenset(), "lateral length", "offset"),
        ("stride foot", frozenset(), "foot", ""),
        ("elbow extension velocity", frozenset(), "rotation", ""),
        ("knee extension velocity", frozenset(), "rotation", ""),
        ("elbow velocity", frozenset(("flexion",)), "rotation", "extension"),
        ("ir velocity", frozenset(), "rotation", ""),
    )
)


def _with_unsaid(tokens: set[str]) -> set[str]:
    for present, absent, away, add in _UNSAID:
        if present <= tokens and not absent & tokens:
            tokens = (tokens - away) | add
    return tokens


# What may stand beside "MER" or "knee lift" when the moment is itself the thing measured.
_BESIDE_LAYBACK = frozenset(("shoulder", "time", "max", "percent", "throwing", "%"))
_BESIDE_KNEE_LIFT = frozenset(("height", "lead", "knee", "max", "percent"))


def _moment_of(moments: list[str], tokens: set[str]) -> tuple[str, set[str]]:
    """The moment that the "@" tokens name, and the content once a moment is itself the content."""
    distinct = list(dict.fromkeys(moments))
    if len(distinct) >= 2:
        return f"{distinct[0]}-{distinct[1]}", tokens
    if distinct == ["mer"] and tokens <= _BESIDE_LAYBACK:
        return ("" if "time" in tokens else "mer"), tokens | {"shoulder", "er", "max"}
    if distinct == ["pkh"] and tokens <= _BESIDE_KNEE_LIFT:
        return "pkh", {"knee_lift"}
    return (distinct[0] if distinct else ""), tokens


def read_header(header: str) -> HeaderMeaning:
    """What a header says; case, order of words and punctuation do not matter. Its first 200 characters count."""
    return _read(header[:LONGEST_NAME])


@cache
def _read(header: str) -> HeaderMeaning:
    text, unit = split_unit(header)
    canonical = _canonical(pieces_of(text))
    tokens = {token for token in canonical if not token.startswith("@")}
    moment, tokens = _moment_of([token[1:] for token in canonical if token.startswith("@")], tokens)
    if "-" in moment and not tokens and (reading := parse_unit(unit)) and reading.quantity == "time":
        tokens = {"time"}  # "FC to BR [ms]": how long it takes
    return HeaderMeaning(frozenset(_with_unsaid(tokens)), moment, unit)
