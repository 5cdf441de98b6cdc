"""The delivery line: the session's findings along the time of the delivery, and arcs to their possible causes. Pure."""

from metrics.drawing.delivery_line.parts import Arc, DeliveryLine, Event, Point
from metrics.drawing.delivery_line.wide import wide_svg

__all__ = ["Arc", "DeliveryLine", "Event", "Point", "wide_svg"]
