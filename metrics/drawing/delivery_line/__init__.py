"""The delivery line: the session's findings along the time of the delivery, and arcs to their possible causes. Pure."""

from metrics.drawing.delivery_line.parts import IN_RANGE, OUT, UNMEASURED, Arc, DeliveryLine, Event, Point, Stroke
from metrics.drawing.delivery_line.speaking import NO_FLAG, NOTHING_SELECTED, selected_words
from metrics.drawing.delivery_line.timing import times_of
from metrics.drawing.delivery_line.upright import upright_svg
from metrics.drawing.delivery_line.wide import wide_svg

__all__ = [
    "IN_RANGE",
    "NOTHING_SELECTED",
    "NO_FLAG",
    "OUT",
    "UNMEASURED",
    "Arc",
    "DeliveryLine",
    "Event",
    "Point",
    "Stroke",
    "selected_words",
    "times_of",
    "upright_svg",
    "wide_svg",
]
