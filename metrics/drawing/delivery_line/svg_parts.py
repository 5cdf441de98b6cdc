"""Pieces of SVG that both pictures of the delivery line share. Every text is escaped; classes carry all colour."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

from metrics.drawing.delivery_line.arcs import End
from metrics.drawing.delivery_line.parts import IN_RANGE, OUT, UNMEASURED, Arc, DeliveryLine
from metrics.drawing.delivery_line.places import RING, Box, Placed, Words, mark_size
from metrics.drawing.delivery_line.speaking import picture_name, selected_words, spoken_flag, spoken_point
from metrics.drawing.marks import halo_at, mark_at, number

ARC_CLASSES = {OUT: "solid", IN_RANGE: "thin", UNMEASURED: "dash"}


def words_svg(words: Words, *, paper: bool = True) -> str:
    css = " ".join(part for part in ("on-paper" if paper else "", words.name) if part)
    anchor = f' text-anchor="{words.anchor}"' if words.anchor != "start" else ""
    return f'<text class="{css}" x="{number(words.x)}" y="{number(words.y)}"{anchor}>{escape(words.text)}</text>'


def path(css: str, course: str) -> str:
    return f'<path class="{css}" d="{course}"/>'


def point_svg(placed: Placed, line: DeliveryLine, prefix: str, least: float) -> str:
    """A mark with its words; a flag is a link that can be selected, the rest says nothing to screen readers.

    `least`: px that a target is wide and high at least.
    """
    point, x, y = placed.point, placed.x, placed.y
    spans = "".join(path("span", f"M{number(low)},{number(y)}H{number(high)}") for low, high in placed.span)
    body = halo_at(point.verdict, mark_size(point), x, y) + mark_at(point.verdict, mark_size(point), x, y)
    written = "".join(words_svg(words) for words in placed.words)
    kind = " scr" if point.is_screen else ""
    chosen = " on" if point.key in line.kin_of(line.selected) and line.selected else ""
    title = f"<title>{escape(spoken_point(point))}</title>"
    if not point.is_flag:
        begin = f'<g class="pt{kind}{chosen}" data-key="{escape(point.key)}" aria-hidden="true">'
        return f"{begin}{title}{spans}{body}{written}</g>"
    ring = f'<circle class="ring" cx="{number(x)}" cy="{number(y)}" r="{number(RING)}"/>'
    target = _target(placed.target(least))
    return f"<a {_link(placed, line, prefix, kind + chosen)}>{title}{target}{spans}{ring}{body}{written}</a>"


def _link(placed: Placed, line: DeliveryLine, prefix: str, more: str) -> str:
    """Attributes of a flag: where it is explained, and what the page's script says when it is selected."""
    point, (name, rest) = placed.point, selected_words(line, placed.point)
    values = {
        "class": f"pt flag-link{more}",
        "href": point.url or "#",
        "id": f"{prefix}-{point.key}",
        "data-key": point.key,
        "data-flag": point.key,
        "data-side": point.verdict.side,
        "data-name": name,
        "data-rest": rest,
        "aria-label": spoken_flag(line, point),
    }
    if point.key == line.selected:
        values["aria-current"] = "true"
    return " ".join(f'{key}="{escape(value)}"' for key, value in values.items())


def _target(box: Box) -> str:
    """What can be pressed."""
    return (
        f'<rect class="hit" x="{number(box.left)}" y="{number(box.top)}" '
        f'width="{number(box.right - box.left)}" height="{number(box.bottom - box.top)}" rx="2"/>'
    )


def arcs_svg(
    line: DeliveryLine, placed: Iterable[Placed], prefix: str, course: Callable[[End, End], str]
) -> tuple[str, str]:
    """Definitions of the arcs, each drawn once, and a group of them a flag, of which the selected one shows."""
    ends = {one.point.key: End(one.x, one.y, one.reach) for one in placed}
    names: dict[tuple[str, str], str] = {}
    groups = []
    for flag in line.flags:
        arcs = [arc for arc in line.arcs_of(flag.key) if arc.effect in ends and arc.cause in ends]
        for arc in arcs:
            names.setdefault((arc.effect, arc.cause), f"{prefix}-arc-{len(names)}")
        shown = " on" if flag.key == line.selected else ""
        kin = " ".join(sorted({end for arc in arcs for end in (arc.effect, arc.cause)}))
        uses = "".join(_use(arc, names[arc.effect, arc.cause]) for arc in sorted(arcs, key=lambda arc: arc.is_used))
        groups.append(f'<g class="arcs{shown}" data-arcs="{escape(flag.key)}" data-kin="{escape(kin)}">{uses}</g>')
    drawn = "".join(f'<path id="{name}" d="{course(ends[a], ends[b])}"/>' for (a, b), name in names.items())
    return f"<defs>{drawn}</defs>" if drawn else "", "".join(groups)


def _use(arc: Arc, name: str) -> str:
    css = f"arc {ARC_CLASSES.get(arc.state, 'dash')}" + (" used" if arc.is_used else "")
    title = f"<title>{escape(arc.words)}</title>" if arc.words else ""
    return f'<use class="{css}" data-cause="{escape(arc.cause)}" href="#{name}">{title}</use>'


def whole(body: str, line: DeliveryLine, css: str, width: float, height: float) -> str:
    w, h = number(width), number(height)
    return (
        f'<svg class="dl {css}" data-picture="" width="{w}" height="{h}" viewBox="0 0 {w} {h}" role="group" '
        f'aria-label="{escape(picture_name(line))}">{body}</svg>'
    )
