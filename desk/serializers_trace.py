"""The trace of a session for who reads by program."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from metrics.selectors.session_rows import read_session
from metrics.selectors.session_trace import SessionTrace, trace_session
from metrics.tracing import Node
from sessions.models import CaptureSession


class NodeSerializer(serializers.Serializer):
    """A metric or screen that is off in one direction."""

    metric = serializers.CharField()
    direction = serializers.CharField(help_text="low or high")


class ExplainedFlagSerializer(serializers.Serializer):
    flag = NodeSerializer()
    cause = NodeSerializer(allow_null=True, help_text="Null where the flag stands on its own.")
    share = serializers.FloatField(help_text="How strongly the cause produces the flag by its best path, 0 to 1.")
    path = NodeSerializer(many=True, help_text="From the cause to the flag.")


class TraceSerializer(serializers.Serializer):
    """Where to start, as the links in force say; people decide."""

    links_version = serializers.IntegerField()
    starting_point = NodeSerializer(allow_null=True)
    heading = serializers.CharField(
        allow_blank=True, help_text="“itself” or “cause not known yet”, of a starting point that is flagged itself."
    )
    is_close_call = serializers.BooleanField()
    runner_up = NodeSerializer(allow_null=True)
    explained = ExplainedFlagSerializer(many=True)
    check_next = NodeSerializer(many=True, help_text="What is worth most to measure, best first.")


def trace_json(capture: CaptureSession) -> dict[str, Any] | None:
    """None for a hands-on session, before findings stand, and where no links are published."""
    traced = trace_session(read_session(capture))
    return None if traced is None else _as_json(traced)


def _as_json(traced: SessionTrace) -> dict[str, Any]:
    trace = traced.trace
    return {
        "links_version": traced.version.number,
        "starting_point": _node(trace.starting_point),
        "heading": trace.heading,
        "is_close_call": trace.is_close,
        "runner_up": _node(trace.runner_up[0] if trace.runner_up else None),
        "explained": [
            {
                "flag": _node(one.flag),
                "cause": _node(one.cause),
                "share": round(one.share, 4),
                "path": [_node(node) for node in one.path],
            }
            for one in trace.flags
        ],
        "check_next": [_node(check.node) for check in trace.check_next],
    }


def _node(node: Node | None) -> dict[str, str] | None:
    return None if node is None else {"metric": node.metric, "direction": node.direction}
