"""Contrast of the colours, recomputed from the style sheet.

Formula: WCAG 2.2, definitions of relative luminance and contrast ratio (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio).
Least values: WCAG 2.2, 1.4.3 (text, 4.5) and 1.4.11 (parts of pictures and controls, 3).
"""

import re
from pathlib import Path

import pytest
from django.conf import settings

SHEET = Path(settings.BASE_DIR, "static", "css", "tokens.css").read_text()

TEXT, PARTS = 4.5, 3.0
LEAST = {
    "ink": TEXT,
    "ink2": TEXT,
    "accent": TEXT,
    "in-text": TEXT,
    "watch-text": TEXT,
    "flag-text": TEXT,
    "none": TEXT,
    "edge": PARTS,
    "in-line": PARTS,
    "watch-line": PARTS,
    "flag-line": PARTS,
}


def luminance(colour: str) -> float:
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def colours_after(start: str) -> dict[str, str]:
    block = SHEET[SHEET.index(start) :]
    block = block[: block.index("}")]
    return {name: value.upper() for name, value in re.findall(r"--([\w-]+):\s*(#[0-9A-Fa-f]{6})", block)}


LIGHT = colours_after(":root")
DARK = LIGHT | colours_after("@media (prefers-color-scheme: dark)")
PRINT = LIGHT | colours_after("@media print")
SCHEMES = {"light": LIGHT, "dark": DARK, "print": PRINT}


def test_formula_gives_the_extremes_of_the_standard():
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("token", LEAST)
@pytest.mark.parametrize("ground", ["paper", "sheet"])
def test_contrast_reaches_the_least_value(scheme, token, ground):
    colours = SCHEMES[scheme]
    assert contrast(colours[token], colours[ground]) >= LEAST[token]


@pytest.mark.parametrize(
    ("scheme", "token", "expected"),
    [
        ("light", "ink", 14.9),
        ("light", "accent", 7.4),
        ("light", "edge", 3.9),
        ("dark", "ink", 14.3),
        ("dark", "flag-line", 8.4),
    ],
)
def test_contrast_on_paper_is_what_the_design_states(scheme, token, expected):
    colours = SCHEMES[scheme]
    assert contrast(colours[token], colours["paper"]) == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_reversed_block_and_main_button_reach_text_contrast(scheme):
    colours = SCHEMES[scheme]
    assert contrast(colours["paper"], colours["ink"]) >= TEXT
    assert contrast(colours["paper"], colours["accent"]) >= TEXT


def test_fills_are_the_okabe_ito_palette():
    # Okabe and Ito, Color Universal Design (2008): bluish green, orange, vermilion.
    for colours in (LIGHT, DARK):
        assert (colours["in"], colours["watch"], colours["flag"]) == ("#009E73", "#E69F00", "#D55E00")


def test_no_other_sheet_names_a_colour():
    for sheet in Path(settings.BASE_DIR, "static", "css").glob("*.css"):
        if sheet.name != "tokens.css":
            assert re.findall(r"#[0-9A-Fa-f]{3,8}\b(?=[^{}]*;)", sheet.read_text()) == [], sheet.name
