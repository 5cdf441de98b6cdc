"""What stands on a printed page, read by a library of PDF that is not ours (pypdfium2)."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw

NOT_READ = "\u200b\u00ad\ufffe\ufeff"
"""Signs that show nothing, and what the reader puts where a word was broken."""


NEIGHBOURS = 3


@dataclass(frozen=True, slots=True)
class Box:
    """In points, from the lower left corner of the page."""

    left: float
    bottom: float
    right: float
    top: float

    def is_inside(self, other: Box, slack: float = 0.0) -> bool:
        return (
            self.left >= other.left - slack
            and self.bottom >= other.bottom - slack
            and self.right <= other.right + slack
            and self.top <= other.top + slack
        )


@contextmanager
def opened(pdf: bytes) -> Iterator[pdfium.PdfDocument]:
    with closing(pdfium.PdfDocument(pdf)) as document:
        yield document


def page_count(pdf: bytes) -> int:
    with opened(pdf) as document:
        return len(document)


def page_size(pdf: bytes) -> tuple[float, float]:
    with opened(pdf) as document:
        width, height = document[0].get_size()
        return round(width, 1), round(height, 1)


def words_of(pdf: bytes) -> str:
    """All text, in the order of the page, a space where a line ends."""
    with opened(pdf) as document:
        pages = [page.get_textpage().get_text_range() for page in document]
    text = "".join(sign for sign in " ".join(pages) if sign not in NOT_READ)
    return " ".join(text.split())


def signs_of(pdf: bytes) -> list[tuple[str, Box]]:
    """Every visible sign of the first page with the box of its ink."""
    with opened(pdf) as document:
        text = document[0].get_textpage()
        found = []
        for index in range(text.count_chars()):
            sign = text.get_text_range(index, 1)
            if sign.strip() and sign not in NOT_READ:
                left, bottom, right, top = text.get_charbox(index)
                found.append((sign, Box(left, bottom, right, top)))
        return found


def letters_over_letters(signs: list[tuple[str, Box]], slack: float) -> list[tuple[str, str]]:
    """Pairs whose ink is over each other by more than `slack` both ways, but for the next three in the same word."""
    boxes = np.array([(box.left, box.bottom, box.right, box.top) for _, box in signs])
    found = []
    for index, (sign, box) in enumerate(signs):
        others = boxes[index + NEIGHBOURS :]
        wide = np.minimum(others[:, 2], box.right) - np.maximum(others[:, 0], box.left)
        high = np.minimum(others[:, 3], box.top) - np.maximum(others[:, 1], box.bottom)
        over = np.flatnonzero((wide > slack) & (high > slack))
        found += [(sign, signs[index + NEIGHBOURS + place][0]) for place in over]
    return found


def is_tagged(pdf: bytes) -> bool:
    with opened(pdf) as document:
        return bool(raw.FPDFCatalog_IsTagged(document))


def language_of(pdf: bytes) -> str:
    with opened(pdf) as document:
        size = raw.FPDFCatalog_GetLanguage(document, None, 0)
        buffer = (raw.FPDF_WCHAR * (size // 2))()
        raw.FPDFCatalog_GetLanguage(document, buffer, size)
        return bytes(buffer).decode("utf-16-le").rstrip("\0")


def title_of(pdf: bytes) -> str:
    with opened(pdf) as document:
        return str(document.get_metadata_value("Title"))


def tags_of(pdf: bytes) -> list[str]:
    """The kinds of the structure tree of the first page, from the outside in."""
    with opened(pdf) as document:
        page = document[0]
        tree = raw.FPDF_StructTree_GetForPage(page)
        found: list[str] = []

        def walk(element: object) -> None:
            size = raw.FPDF_StructElement_GetType(element, None, 0)
            buffer = (raw.FPDF_WCHAR * (size // 2))()
            raw.FPDF_StructElement_GetType(element, buffer, size)
            found.append(bytes(buffer).decode("utf-16-le").rstrip("\0"))
            for index in range(max(0, raw.FPDF_StructElement_CountChildren(element))):
                if child := raw.FPDF_StructElement_GetChildAtIndex(element, index):
                    walk(child)

        for index in range(raw.FPDF_StructTree_CountChildren(tree)):
            walk(raw.FPDF_StructTree_GetChildAtIndex(tree, index))
        raw.FPDF_StructTree_Close(tree)
        return found
