"""Handing a row to the worker, with and without a broker."""

import logging
import socket

from sessions.pipeline import broker_answers, enqueue_stage


def test_an_absent_broker_is_known_at_once(settings, tmp_path):
    settings.CELERY_BROKER_URL = f"redis+socket://{tmp_path / 'nobody.sock'}"
    assert not broker_answers()


def test_a_listening_socket_counts_as_a_broker(settings, tmp_path):
    path = tmp_path / "b.sock"
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(str(path))
        server.listen()
        settings.CELERY_BROKER_URL = f"redis+socket://{path}"
        assert broker_answers()


def test_a_port_with_nobody_behind_is_no_broker(settings):
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        settings.CELERY_BROKER_URL = f"redis://127.0.0.1:{held.getsockname()[1]}/0"
        assert not broker_answers()


def test_without_a_broker_the_row_waits_for_the_sweeper(
    settings, tmp_path, caplog, db, django_capture_on_commit_callbacks
):
    settings.CELERY_BROKER_URL = f"redis+socket://{tmp_path / 'nobody.sock'}"
    with caplog.at_level(logging.WARNING), django_capture_on_commit_callbacks(execute=True):
        enqueue_stage("read", 7)
    assert "stage read of row 7 waits for the sweeper" in caplog.text
