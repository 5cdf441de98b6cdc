"""What can be wrong with a motion capture recording: code → (severity, sentence), as in sentences.SENTENCES."""

from __future__ import annotations

from typing import Final

RECORDING_SENTENCES: Final[dict[str, tuple[str, str]]] = {
    # The file as a whole cannot be read.
    "not_a_recording": (
        "error",
        "this is {kind}, not a motion capture recording. Export the labelled markers as C3D.",
    ),
    "recording_too_big": (
        "error",
        "the file has {megabytes} MB and a recording may have {most} MB. Export fewer throws at a time.",
    ),
    "recording_damaged": (
        "error",
        "the recording's header or parameters cannot be read, so the file is damaged. Export it again as C3D.",
    ),
    "recording_cut": (
        "error",
        "the recording is cut short: its header promises {promised} frames and the file holds {found}. Export it "
        "again, and copy the whole file.",
    ),
    "recording_contradicts": (
        "error",
        "the recording's header and its parameters contradict each other on {what} ({header} and {parameters}), so "
        "the file is damaged. Export it again as C3D.",
    ),
    "recording_no_frames": ("error", "the recording holds no frames. Export the part with the throw."),
    "recording_no_markers": (
        "error",
        "the recording holds no markers. Export it with the labelled marker positions.",
    ),
    "recording_too_long": (
        "error",
        "the recording is {duration} long and at most {most} minutes are read. Export the throws without the time "
        "between them.",
    ),
    "recording_too_large": (
        "error",
        "the recording has {markers} markers in {frames} frames, more than can be read. Export fewer throws at a "
        "time, and only the labelled markers.",
    ),
    "recording_rate": (
        "error",
        "the recording says that it has {rate} frames a second, which cannot be. Export it again as C3D.",
    ),
    "recording_scale": (
        "error",
        "the recording says that one step of its whole numbers is {scale} long, which cannot be. Export it again "
        "with floating-point numbers.",
    ),
    "recording_too_much_time": (
        "error",
        "this recording was too much for the reader: it took longer than {seconds} seconds and was stopped. Export "
        "fewer throws at a time.",
    ),
    "recording_too_much_memory": (
        "error",
        "this recording was too much for the reader: it needed more memory than a recording may. Export fewer "
        "throws at a time.",
    ),
    "recording_reader_died": (
        "error",
        "this recording was too much for the reader, which was stopped while it had it. Export it again as C3D.",
    ),
    "recording_reader_failed": (
        "error",
        "the reader could not make sense of this recording. Export it again as C3D; if it happens again, tell your "
        "administrator.",
    ),
    # The file is read; something in it needs a look.
    "recording_unit": (
        "warning",
        "the file gives its positions in {unit}, which is no unit of length known here; they were taken as metres.",
    ),
    "recording_nameless": (
        "note",
        "{count} markers have no name and are called *1, *2 and so on. Name them where you label if they are needed.",
    ),
    "recording_far_off": (
        "warning",
        "{count} positions lie more than {metres} m from the origin and were taken as not seen. Check the unit of "
        "length.",
    ),
    "plate_left_out": ("warning", "force plate {number} was left out: {why}. Check the plates of the capture room."),
}
