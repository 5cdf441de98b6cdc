"""The snapshot as values: the same after JSON, and no word that tells a family nothing."""

from __future__ import annotations

import json

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.plain import BadPlainWords, load_plain_words, read_plain_words
from metrics.sharing import BadContent, SharedContent
from metrics.sharing.words import good_words, value_words
from tests.factories import DAY, shared_point

CATALOGUE = load_catalogue()
# Judged, and never told to a family as something to work on: pain goes another way, the rest is no work.
NEVER_TOLD = {
    "elbow_valgus_pain_throwing", "throwing_pain", "height_velocity", "workload_7_days", "workload_28_days", "bmi",
    "age", "humeral_retrotorsion_difference",
}  # fmt: skip
TOLD = [key for key, metric in CATALOGUE.metrics.items() if metric.kind in ("mechanic", "screen")]


def test_a_snapshot_is_the_same_after_it_was_stored():
    content = SharedContent((shared_point(),), (shared_point(kind="good", before=None),), DAY, "video")
    assert SharedContent.from_json(json.loads(json.dumps(content.to_json()))) == content


@pytest.mark.parametrize("missing", ["points", "better", "measured_on", "method"])
def test_what_is_no_snapshot_is_said(missing):
    data = SharedContent((), (), DAY, "video").to_json()
    del data[missing]
    with pytest.raises(BadContent, match=missing):
        SharedContent.from_json(data)


def test_every_movement_and_screen_that_can_be_told_has_plain_words():
    assert set(load_plain_words()) == set(TOLD) - NEVER_TOLD


@pytest.mark.parametrize("words", load_plain_words().values(), ids=lambda words: words.metric)
def test_headlines_are_short_and_speak_to_the_athlete(words):
    for headline in (words.low_headline, words.high_headline, words.good_headline):
        assert len(headline) <= 90
        assert headline[0].isupper()
        assert not headline.endswith(".")
        assert any(word in f" {headline.lower()} " for word in (" you ", " your ", " both "))
    assert all(len(end) <= 18 for end in words.ends)  # three stand side by side under a picture of 324 px


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("metric,low\n", "the head must be"),
        (",".join(["metric", "low_headline", "high_headline", "good_headline", "low_end", "good_end", "high_end"]), ""),
    ],
)
def test_a_table_with_another_head_is_refused(text, said):
    if said:
        with pytest.raises(BadPlainWords, match=said):
            read_plain_words(text)
    else:
        assert read_plain_words(text) == {}


def test_an_empty_cell_and_a_metric_that_stands_twice_are_refused():
    head = "metric,low_headline,high_headline,good_headline,low_end,good_end,high_end\n"
    with pytest.raises(BadPlainWords, match="row 2: good_end is empty"):
        read_plain_words(head + "a,b,c,d,e,,g\n")
    with pytest.raises(BadPlainWords, match="row 3: a stands twice"):
        read_plain_words(head + "a,b,c,d,e,f,g\n" * 2)


# Hand-worked: 60% of 183 cm is 109.8 cm, 43.2 in, 3 ft 7 in; 70% is 50.4 in, 4 ft 2 in; 85% is 61.2 in, 5 ft 1 in.
def test_a_share_of_the_height_is_said_as_a_length():
    metric = CATALOGUE.metric("stride_length")
    assert value_words(metric, 60.0, "us", u=2.0, height_cm=183.0) == "3 ft 7 in"
    assert value_words(metric, 60.0, "metric", u=2.0, height_cm=183.0) == "110 cm"
    assert good_words(metric, 70.0, 85.0, "us", height_cm=183.0) == "4 ft 2 in to 5 ft 1 in"
    assert good_words(metric, 70.0, None, "us", height_cm=183.0) == "4 ft 2 in or more"
    assert good_words(metric, None, 85.0, "us", height_cm=183.0) == "up to 5 ft 1 in"


def test_without_a_height_the_share_itself_is_said():
    assert "%" in value_words(CATALOGUE.metric("stride_length"), 60.0, "us", u=2.0, height_cm=None)


def test_angles_keep_their_degrees_and_percents_of_the_throw_are_left_out():
    angle, percent = CATALOGUE.metric("elbow_flexion_fp"), CATALOGUE.metric("pelvis_velocity_max_time")
    assert good_words(angle, 80.0, 100.0, "us", height_cm=None) == "80 to 100°"
    assert value_words(angle, None, "us", u=None, height_cm=None) == ""
    assert value_words(percent, 30.0, "us", u=2.0, height_cm=183.0) == ""
