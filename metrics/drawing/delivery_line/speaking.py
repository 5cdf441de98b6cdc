"""The delivery line in words: what a flag's link says, and the sentence above the picture."""

from __future__ import annotations

from metrics.drawing.delivery_line.parts import IN_RANGE, OUT, UNMEASURED, DeliveryLine, Point
from metrics.drawing.words import spoken_verdict, zone_words

NAMED = 3
NOTHING_SELECTED = "Choose a flag: arcs then run from it to its possible causes."
NO_FLAG = "Nothing is flagged, so there is no cause to look for."
STATE_WORDS = {OUT: "out of range", IN_RANGE: "in range", UNMEASURED: "not measured"}


def spoken_point(point: Point) -> str:
    """Name, moment, value, verdict: "Horizontal adduction, maximum external rotation, −6°, flag low, likely"."""
    return ", ".join(part for part in (point.name, point.note, point.value_text, spoken_verdict(point.verdict)) if part)


def spoken_flag(line: DeliveryLine, flag: Point) -> str:
    """What a screen reader says of the flag's link."""
    parts = [spoken_point(flag)]
    if flag.key == line.starting_point:
        parts.append("starting point")
    return f"{', '.join(parts)}. {causes_words(line, flag.key)}"


def selected_words(line: DeliveryLine, flag: Point) -> tuple[str, str]:
    """The flag's name, and what follows it in the sentence: ", −6°, flag low. Its possible causes: …"."""
    parts = [part for part in (flag.note, flag.value_text, zone_words(flag.verdict)) if part]
    return flag.name, f", {', '.join(parts)}. {causes_words(line, flag.key)}"


def causes_words(line: DeliveryLine, flag: str) -> str:
    """Its direct causes, those that the explanation uses first, then what is out, not measured, in range."""
    points = {point.key: point for point in line.points}
    order = (OUT, UNMEASURED, IN_RANGE)
    arcs = [arc for arc in line.arcs_of(flag) if arc.effect == flag]
    arcs.sort(key=lambda arc: (not arc.is_used, order.index(arc.state) if arc.state in order else len(order)))
    if not arcs:
        return "No link leads to a cause of it."
    named = [f"{points[arc.cause].name} ({STATE_WORDS.get(arc.state, arc.state)})" for arc in arcs[:NAMED]]
    more = len(arcs) - NAMED
    if more > 0:
        named.append(f"{more} more")
    listed = " and ".join(part for part in (", ".join(named[:-1]), named[-1]) if part)
    return f"{'Its possible cause' if len(arcs) == 1 else 'Its possible causes'}: {listed}."


def picture_name(line: DeliveryLine) -> str:
    """The name of the picture as a whole."""
    count = len(line.flags)
    flags = "no flag" if count == 0 else "one flag" if count == 1 else f"{count} flags"
    return f"Delivery line: {flags}. The numbers stand in the table below it."
