"""The page for notebooks is run: its code works, and prints what the page says that it prints."""

from __future__ import annotations

import contextlib
import io
import json
import re

import pytest

from metrics.measuring import Asked, as_json, measure_bytes
from tests.metrics.measuring.files import HEIGHT_M, MASS_KG, made
from tests.source import CHECKOUT
from tests.synthesis import c3d_bytes

PAGE = CHECKOUT / "docs/notebook.md"
BLOCKS = re.findall(r"```python\n(.*?)```\n\n```text\n(.*?)```", PAGE.read_text(), re.DOTALL)
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def test_every_block_of_python_is_followed_by_what_it_prints():
    assert len(BLOCKS) == PAGE.read_text().count("```python") == 4


def test_the_pages_code_prints_what_the_page_says(tmp_path, monkeypatch):
    (tmp_path / "throw.c3d").write_bytes(c3d_bytes(made(ball=True)))
    monkeypatch.chdir(tmp_path)
    monkeypatch.syspath_prepend(str(CHECKOUT))
    names: dict[str, object] = {}
    for code, promised in BLOCKS:
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            exec(compile(code, str(PAGE), "exec"), names)
        said = printed.getvalue()
        assert NUMBER.sub("#", said).split() == NUMBER.sub("#", promised).split()
        # The page shows rounded numbers; a better event rule may move one by a little without making the page wrong.
        expected = [float(number) for number in NUMBER.findall(promised)]
        assert [float(number) for number in NUMBER.findall(said)] == pytest.approx(expected, rel=0.06)


def test_the_pages_json_is_a_piece_of_what_is_printed():
    (block,) = re.findall(r"```json\n(.*?)```", PAGE.read_text(), re.DOTALL)
    (shown,) = json.loads(block)
    (real,) = as_json([measure_bytes(c3d_bytes(made(ball=True)), "throw.c3d", Asked(HEIGHT_M, MASS_KG, "right"))])
    (throw,), (real_throw,) = shown["throws"], real["throws"]
    assert (set(shown), set(throw)) == (set(real), set(real_throw))
    for event, time in throw["events"].items():
        assert real_throw["events"][event] == pytest.approx(time, abs=0.02)
    for key, value in throw["metrics"].items():
        assert set(value) == set(real_throw["metrics"][key])
        assert real_throw["metrics"][key]["value"] == pytest.approx(value["value"], rel=0.06)


def test_the_pages_person_is_the_one_of_the_recording():
    assert f"height_m={HEIGHT_M}, mass_kg={MASS_KG}" in PAGE.read_text()
