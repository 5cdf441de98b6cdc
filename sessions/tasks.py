"""The worker's side of uploads. Arguments are ids; the rows tell how far the work has come."""

from celery import shared_task

from athletes.reference import request_reference
from sessions.claims import MAX_ATTEMPTS, silent_uploads
from sessions.models import Upload
from sessions.pipeline import enqueue_stage, stage_function

STAGE_OF_STATE = {
    Upload.State.RECEIVED: "read",
    Upload.State.READING: "read",
    Upload.State.ACCEPTING: "accept",
}
GAVE_UP = {
    "read": (
        Upload.State.REFUSED,
        "The reader stopped three times on this file. The file is kept; try a smaller export, or tell your admin.",
    ),
    "accept": (
        Upload.State.NEEDS_ANSWER,
        "Accepting stopped three times. What stands is complete; press Accept to go on with the rest.",
    ),
}


@shared_task(name="sessions.run_stage")
def run_stage(name: str, row_id: int) -> None:
    token = request_reference.set(f"{name}-{row_id}")
    try:
        stage_function(name)(row_id)
    finally:
        request_reference.reset(token)


@shared_task(name="sessions.retake_stale_claims")
def retake_stale_claims() -> int:
    """Hands out again what a killed worker or a lost broker left; gives up in words after three attempts."""
    found = silent_uploads()
    for upload_id, state in found:
        stage = STAGE_OF_STATE[Upload.State(state)]
        if Upload.objects.filter(pk=upload_id, attempts__gte=MAX_ATTEMPTS).exists():
            give_up(upload_id, state, stage)
        else:
            enqueue_stage(stage, upload_id)
    return len(found)


def give_up(upload_id: int, state: str, stage: str) -> None:
    next_state, sentence = GAVE_UP[stage]
    Upload.objects.filter(pk=upload_id, state=state).update(
        state=next_state, claim=None, attempts=0, stage="", error_code="gave_up", error_sentence=sentence
    )
