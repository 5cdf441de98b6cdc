import string

import pytest

from sessions.formats import Problem
from sessions.formats.problems import SENTENCES, problem, quote, unreadable


@pytest.mark.parametrize("code", sorted(set(SENTENCES) - {"more_like_it"}))
def test_every_sentence_says_where_and_reads_as_one(code):
    severity, template = SENTENCES[code]
    facts = {name: "3" for _, name, _, _ in string.Formatter().parse(template) if name}
    placed = problem(code, sheet="Day 1", row=212, column="D", **facts).sentence
    assert placed.startswith("Sheet “Day 1”, row 212, column D: ")
    alone = problem(code, **facts).sentence
    assert not alone[0].islower()
    assert alone.endswith(".")
    assert "{" not in alone
    assert severity in {"error", "warning", "note"}


def test_what_a_file_says_is_quoted_cut_and_kept_on_one_line():
    assert quote("a\nb\u202e\x00c") == "“a b c”"
    assert len(quote("x" * 10_000)) == 43


def test_refusal_speaks_as_its_sentence_and_problem_survives_json():
    refusal = unreadable("empty")
    assert str(refusal) == refusal.sentence == "The file is empty. Export it again and upload the new one."
    told = problem("duplicate_header", column="C", other="B", header="x")
    assert Problem.from_json(told.to_json()) == told
