"""The corpus of headers is large, holds each once, and means metrics that exist."""

from __future__ import annotations

from metrics.catalogue import load_catalogue
from tests.corpus.headers import read_headers


def test_there_are_hundreds_of_headers_each_once():
    texts = [header.text for header in read_headers()]
    assert len(texts) >= 300
    assert len(texts) == len(set(texts))


def test_each_header_means_a_metric_of_the_catalogue_or_none():
    meant = {header.metric for header in read_headers()} - {""}
    assert meant <= set(load_catalogue().metrics)
    assert len(meant) > 100


def test_about_half_of_the_headers_are_held_out():
    held_out = sum(header.is_held_out for header in read_headers())
    assert 0.45 < held_out / len(read_headers()) < 0.55
