"""Delivery lines for tests: a usual one, and any that hypothesis can think of."""

from __future__ import annotations

from random import Random

from hypothesis import strategies as st

from metrics.drawing.delivery_line import Arc, DeliveryLine, Event, Point
from metrics.drawing.marks import Verdict

NAMES = {
    "pkh": "Peak knee lift",
    "fc": "Foot contact",
    "fp": "Foot plant",
    "mer": "Maximum external rotation",
    "br": "Ball release",
    "mir": "Maximum internal rotation",
}
TIMES = {"pkh": -840.0, "fc": 0.0, "fp": 28.0, "mer": 115.0, "br": 146.0, "mir": 178.0}
EVENTS = tuple(Event(key, name, TIMES[key]) for key, name in NAMES.items())
UNTOLD = tuple(Event(key, name) for key, name in NAMES.items())
LANES = ("arm", "trunk", "lower_half", "sequence", "screen")

FLAG, WATCH, IN, NONE = Verdict("flag", "low"), Verdict("watch", "low"), Verdict("in_range"), Verdict("not_scored")


def point(key: str, lane: str = "arm", at_ms: float | None = 146.0, verdict: Verdict = IN, **more) -> Point:
    given = {"name": key.replace("_", " ").capitalize(), "value_text": "44°"} | more
    is_flag, is_watch = verdict.zone == "flag", verdict.zone == "watch"
    return Point(
        key=key, lane=lane, at_ms=at_ms, verdict=verdict, **({"is_flag": is_flag, "is_watch": is_watch} | given)
    )


USUAL = DeliveryLine(
    EVENTS,
    (
        point("elbow", "arm", 115.0, FLAG, url="/elbow"),
        point("trunk", "trunk", 4.0, FLAG, url="/trunk"),
        point("knee", "lower_half", -40.0, FLAG, url="/knee"),
        point("separation", "trunk", 28.0),
        point("hip", "screen", None, NONE, value_text="not measured"),
    ),
    (
        Arc("elbow", "trunk", "out", True),
        Arc("elbow", "separation", "in_range"),
        Arc("trunk", "knee", "out", True, flag="elbow"),
        Arc("knee", "hip", "unmeasured", flag="elbow"),
        Arc("trunk", "knee", "out", True),
    ),
    "elbow",
    "knee",
)

LETTERS = "abcdefgh WMmwi–°漢é<&"
USUAL_PLACES = (None, -840.0, 0.0, 28.0, 115.0, 146.0, -5000.0, 5000.0)


def _wording(chance: Random) -> str:
    return "".join(chance.choices(LETTERS, k=chance.randint(0, 70)))


def _place(chance: Random) -> float | None:
    return chance.choice([chance.choice(USUAL_PLACES), chance.uniform(-60, 200)])


def _any_point(number: int, chance: Random) -> Point:
    sure = chance.choice(["sure", "likely", "cant_tell"])
    verdict = Verdict(chance.choice(["flag", "watch", "in_range", "not_scored"]), chance.choice(["low", "high"]), sure)
    return point(
        f"m{number}",
        chance.choice(LANES),
        _place(chance),
        verdict,
        name=_wording(chance),
        value_text=_wording(chance),
        span_ms=chance.choice([None, None, (chance.uniform(-900, 250), chance.uniform(-60, 250))]),
        is_first_look=chance.random() < 0.3,
    )


@st.composite
def lines(draw, most: int = 90) -> DeliveryLine:
    """Any events, up to so many points with any names, any arcs between them."""
    events = tuple(Event(key, name, draw(st.one_of(st.none(), st.floats(-5000, 5000)))) for key, name in NAMES.items())
    count, chance = draw(st.integers(0, most)), Random(draw(st.integers(0, 10**6)))
    drawn = tuple(_any_point(number, chance) for number in range(count))
    keys = [one.key for one in drawn] or [""]
    arcs = tuple(
        Arc(chance.choice(keys), chance.choice(keys), chance.choice(["out", "in_range", "unmeasured"]), flag=flag)
        for flag in chance.choices(keys, k=30)
    )
    return DeliveryLine(events, drawn, arcs, chance.choice(["", *keys]), chance.choice(["", *keys]))
