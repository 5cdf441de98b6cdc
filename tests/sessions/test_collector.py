"""The garbage collector rests while a file's rows are made, and only then."""

from __future__ import annotations

import gc

import pytest

from sessions.collector import no_collection


def test_the_collector_rests_inside_and_runs_again_after():
    with no_collection():
        assert not gc.isenabled()
    assert gc.isenabled()


def test_an_error_inside_wakes_the_collector():
    with pytest.raises(KeyError), no_collection():
        raise KeyError
    assert gc.isenabled()


def test_who_put_it_to_rest_before_wakes_it():
    with no_collection():
        with no_collection():
            pass
        assert not gc.isenabled()
