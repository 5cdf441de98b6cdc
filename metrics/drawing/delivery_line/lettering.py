"""How wide words are, without a browser: estimated on the wide side, shortened and broken to what fits.

Widths are advance widths of Liberation Sans 1.07.4 (per thousand of the size), read from the font; it was made to the
widths of Arial. Other faces of the page's list differ by a few percent, hence `SPARE`. A letter that is not listed
counts as a whole square.
"""

from __future__ import annotations

SPARE = 1.06
SQUARE = 1000
REGULAR_WIDTHS = {
    222: "ijl’'|′", 278: " !,./:;I[\\]ft·\u00a0", 333: "()-`r{}″", 355: '"', 400: "*°", 500: "Jcksvxyzç^",
    556: "#$0123456789?L_abdeghnopqu–öäüéèñåáíóúàâêîôû±", 584: "+<=>~−×", 611: "FTZßø", 667: "&ABEKPSVXYÅŠ",
    722: "CDHNRUw", 778: "GOQ", 833: "Mm½", 889: "%", 944: "W",
}  # fmt: skip
BOLD_WIDTHS = {
    278: " ,./I\\ijl’|'\u00a0·′", 333: "!()-:;[]`ft", 389: "*r{}″", 400: "°", 500: 'z"',
    556: "#$0123456789J_aceksvxy–äéèçåáàâê±", 611: "?FLTZbdghnopquöüßñøóúíôûî^", 584: "+<=>~−×", 667: "EPSVXYŠ",
    722: "&ABCDHKNRUÅ", 778: "GOQw", 833: "M½", 889: "%m", 944: "W",
}  # fmt: skip
ELLIPSIS = "…"


def _by_letter(widths: dict[int, str]) -> dict[str, int]:
    return {letter: width for width, letters in widths.items() for letter in letters}


REGULAR, BOLD = _by_letter(REGULAR_WIDTHS), _by_letter(BOLD_WIDTHS)


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Width in px of one line, no less than what a browser draws it with."""
    table = BOLD if bold else REGULAR
    return SPARE * size * sum(table.get(letter, SQUARE) for letter in text) / 1000


def shortened(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """The text, or as much of it as fits with an ellipsis; "" where not even that fits."""
    if width_of(text, size, bold=bold) <= room:
        return text
    for end in range(len(text) - 1, 0, -1):
        short = text[:end].rstrip(" ,·-") + ELLIPSIS
        if width_of(short, size, bold=bold) <= room:
            return short
    return ELLIPSIS if width_of(ELLIPSIS, size, bold=bold) <= room else ""


def broken(text: str, room: float, size: float, *, bold: bool = False, most: int = 3) -> tuple[str, ...]:
    """The text in at most so many lines; what is too long for its line, or too much, ends in an ellipsis."""
    lines: list[str] = []
    words = text.split()
    while words:
        count = len(words)
        while count > 1 and width_of(" ".join(words[:count]), size, bold=bold) > room:
            count -= 1
        is_last = len(lines) == most - 1
        taken = words if is_last else words[:count]
        lines.append(shortened(" ".join(taken), room, size, bold=bold))
        words = words[len(taken) :]
    return tuple(lines)


def name_and_value(
    name: str, value: str, room: float, size: float, *, bold: bool = False, most: int = 3, apart: bool = False
) -> tuple[tuple[str, bool], ...]:
    """Lines of a name and its value, each with whether it holds the value only; the value is never lost to the name.

    It joins the last line of the name where both fit. Else, or when it is to stand `apart`, it has a line of its own
    beside the `most` of the name.
    """
    lines = [(text, False) for text in broken(name, room, size, bold=bold, most=most)]
    short = shortened(value, room, size, bold=bold)
    if not apart and lines and short == value and width_of(f"{lines[-1][0]} {value}", size, bold=bold) <= room:
        lines[-1] = (f"{lines[-1][0]} {value}".strip(), False)
    elif short:
        lines.append((short, True))
    return tuple(lines)
