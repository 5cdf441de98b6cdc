"""What the file itself promises: a tagged page with its language and title, the same bytes for the same values.

Of what PDF/UA-1 (ISO 14289-1:2014) asks of every file: it is tagged (7.1), names its natural language (7.2), has a
title that viewers show (7.1), and says in its metadata which part it keeps to (5). Sections from memory.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from plans.sheets import print_sheet
from tests.plans.sheets.pages import DAY, LONGEST, floor, plan, work
from tests.printed import is_tagged, language_of, page_size, tags_of, title_of

SHEETS = {"plan": plan(*map(work, LONGEST[:2])), "floor": floor()}


@pytest.fixture(scope="module", params=SHEETS)
def pdf(request):
    return print_sheet(SHEETS[request.param])


def test_it_is_tagged_and_says_its_language(pdf):
    assert is_tagged(pdf)
    assert language_of(pdf) == "en"
    for part in (b"/StructTreeRoot", b"/MarkInfo", b"/Marked true"):
        assert part in pdf


def test_it_says_that_it_keeps_to_pdf_ua(pdf):
    assert re.search(rb"pdfuaid:part>\s*1\s*<|pdfuaid:part=.1.", pdf)


def test_viewers_show_its_title(pdf):
    assert b"/DisplayDocTitle true" in pdf
    assert title_of(pdf) in {"Work for Ikaika", "Floor sheet of Ikaika Brandvold"}


def test_headings_and_tables_are_known_as_such(pdf):
    tags = tags_of(pdf)
    assert {"H1", "P", "Table", "TH", "TD"} <= set(tags)


def test_every_day_of_the_week_is_a_cell_of_its_own():
    tags = tags_of(print_sheet(SHEETS["plan"]))
    rows = " ".join(tags).split("TBody", 1)[1].split("TR")[1:]
    assert [row.count("TD") for row in rows] == [9, 9]
    assert tags.count("TH") == 9


def test_steps_are_a_list():
    tags = tags_of(print_sheet(SHEETS["plan"]))
    assert tags.count("LI") == sum(len(one.instructions) for one in LONGEST[:2])


@pytest.mark.parametrize("name", SHEETS)
def test_the_same_values_give_the_same_bytes(name):
    assert print_sheet(SHEETS[name]) == print_sheet(SHEETS[name])


def test_another_day_gives_another_date_and_nothing_else_is_dated():
    dates = re.findall(rb"\(D:(\d{8})", print_sheet(SHEETS["plan"]))
    assert set(dates) == {f"{DAY:%Y%m%d}".encode()}
    other = print_sheet(replace(SHEETS["plan"], printed_on=DAY.replace(day=15)))
    assert other != print_sheet(SHEETS["plan"])


def test_paper_goes_by_the_house():
    assert page_size(print_sheet(SHEETS["plan"])) == (612.0, 792.0)
    assert page_size(print_sheet(replace(SHEETS["plan"], paper="a4"))) == (595.3, 841.9)


def test_text_is_text_and_never_source():
    from tests.printed import words_of

    evil = '#panic("x") #read("/etc/passwd") *b* _i_ $x^2$ <a> @b \\ "quoted" // gone #import "@x/y:1.0.0"'
    sheet = plan(work(LONGEST[0], note=evil, name=evil), given_name=evil[:80], facility=evil[:80])
    words = words_of(print_sheet(sheet))
    assert words.count(evil) == 2
    assert f"Work for {evil[:80].strip()}" in words


def test_the_typesetter_reads_no_file_outside_its_folder(tmp_path, monkeypatch):
    from plans.sheets import DoesNotFit, printing

    template = (printing.FOLDER / "plan_sheet.typ").read_text()
    secret = tmp_path / "secret.txt"
    secret.write_text("outside")
    folder = tmp_path / "inside"
    folder.mkdir()
    for path in printing.FOLDER.glob("*.typ"):
        (folder / path.name).write_text(path.read_text())
    (folder / "plan_sheet.typ").write_text(template + '\n#read("../secret.txt")')
    monkeypatch.setattr(printing, "FOLDER", folder)
    with pytest.raises(DoesNotFit, match=r"root|outside|access"):
        print_sheet(SHEETS["plan"])
