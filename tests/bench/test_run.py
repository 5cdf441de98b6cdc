"""The frame of the benchmarks: medians, verdicts and the exit code."""

from __future__ import annotations

import json

import pytest

from bench import run
from bench.ratios import Ratio, compare


def test_floor_and_work_are_run_in_turn_as_often_as_each_other():
    order: list[str] = []
    ratio = compare("x", floor=lambda: order.append("floor"), work=lambda: order.append("work"), goal=2.0, runs=5)
    assert order == ["floor", "work"] * 6  # one unmeasured run of each
    assert ratio.floor_ms > 0
    assert ratio.work_ms > 0


def test_the_median_forgets_one_slow_run(monkeypatch):
    times = iter([1.0, 3.0, 1.0, 3.0, 900.0, 3.0, 1.0, 900.0, 1.0, 3.0])
    monkeypatch.setattr("bench.ratios._milliseconds", lambda task: next(times))
    ratio = compare("x", floor=lambda: None, work=lambda: None, goal=2.0)
    assert (ratio.floor_ms, ratio.work_ms, ratio.value) == (1.0, 3.0, 3.0)


def test_too_few_runs_are_refused():
    with pytest.raises(ValueError, match="too few"):
        compare("x", floor=lambda: None, work=lambda: None, goal=1.0, runs=3)


@pytest.mark.parametrize(
    ("work_ms", "word", "fails"),
    [(20.0, "good", False), (20.1, "over the goal", False), (40.0, "over the goal", False), (40.1, "FAILS", True)],
)
def test_a_ratio_fails_only_above_twice_its_goal(work_ms, word, fails):
    ratio = Ratio("x", floor_ms=10.0, work_ms=work_ms, goal=2.0)
    assert ratio.word == word
    assert ratio.fails is fails


@pytest.mark.parametrize(("work_ms", "code"), [(15.0, 0), (50.0, 1)])
def test_the_run_prints_both_numbers_and_writes_only_when_asked(monkeypatch, capsys, tmp_path, work_ms, code):
    monkeypatch.setattr(run, "modules", lambda words: ["bench_x"])
    monkeypatch.setattr(run, "measure", lambda names: iter([Ratio("reading a table", 10.0, work_ms, 2.0)]))
    monkeypatch.setattr(run, "set_up_django", lambda: None)
    assert run.main([]) == code
    line = capsys.readouterr().out.splitlines()[-1]
    assert "reading a table" in line
    assert "10.00" in line
    assert f"{work_ms:.2f}" in line
    assert list(tmp_path.iterdir()) == []
    run.main(["--json", str(tmp_path / "numbers.json")])
    assert json.loads((tmp_path / "numbers.json").read_text())[0]["work_ms"] == work_ms


def test_a_name_that_no_benchmark_has_is_an_error(capsys):
    assert run.main(["no-such-thing"]) == 1
    assert "No benchmark" in capsys.readouterr().err
