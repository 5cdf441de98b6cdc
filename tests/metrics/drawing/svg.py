"""Reading pictures back in tests."""

import re
from xml.etree import ElementTree

NAMESPACE = {"xml": "http://www.w3.org/XML/1998/namespace"}


def parse(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def of_class(svg: str, name: str) -> list[ElementTree.Element]:
    """All elements whose class list holds the name, in drawing order."""
    return [each for each in parse(svg).iter() if name in (each.get("class") or "").split()]


def numbers(path: ElementTree.Element) -> list[float]:
    return [float(text) for text in re.findall(r"-?\d+(?:\.\d+)?", path.get("d") or "")]


def mark_place(svg: str) -> tuple[float, float]:
    """Where the group of the mark stands."""
    group = next(each for each in parse(svg).iter() if each.tag == "g")
    x, y = re.findall(r"-?\d+(?:\.\d+)?", group.get("transform") or "")
    return float(x), float(y)
