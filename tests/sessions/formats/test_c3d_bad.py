"""Bad recordings: each is refused with its sentence, and before anything is allocated for what it claims."""

from __future__ import annotations

import time
import tracemalloc
import zipfile
from io import BytesIO

import numpy as np
import pytest

from sessions.formats import UnreadableFile, limits, read_layouts
from sessions.formats.c3d import read_c3d, refuse_too_big
from sessions.formats.recording import Recording
from tests.sessions.formats import table_writer
from tests.sessions.formats.c3d_writer import Written, c3d_file
from tests.sessions.formats.mutations import MOST_SECONDS, mutated
from tests.sessions.formats.test_c3d import LABELS, walk
from tests.sessions.formats.test_c3d_plates import plate_groups, signals


def good(**changes) -> bytes:
    return c3d_file(Written(walk(), LABELS, **changes))


def claiming(frames: int, rate_hz: float = 300.0) -> bytes:
    """A small file whose parameters claim that many frames."""
    groups = {"POINT": {"FRAMES": np.array(frames, np.float32)}}
    return good(header={"last": 65535}, groups=groups, rate_hz=rate_hz)


def archive() -> bytes:
    target = BytesIO()
    with zipfile.ZipFile(target, "w") as packed:
        packed.writestr("walk.c3d", good())
    return target.getvalue()


# name → (bytes, code, a piece of the sentence)
BAD = {
    "nothing": (lambda: b"", "empty", "The file is empty."),
    "cut in the frames": (
        lambda: good()[:-1024], "recording_cut",
        "The recording is cut short: its header promises 40 frames and the file holds 24.",
    ),
    "cut in the parameters": (lambda: good()[:700], "recording_damaged", "the file is damaged. Export it again"),
    "cut in the header": (lambda: good()[:300], "recording_damaged", "the file is damaged"),
    "cut after its header": (lambda: good()[:512], "recording_damaged", "the file is damaged"),
    "random bytes": (
        lambda: np.random.default_rng(1).bytes(5000), "not_a_recording", "This is something else, not a motion capture",
    ),
    "random bytes that begin well": (
        lambda: b"\x02\x50" + np.random.default_rng(2).bytes(5000), "recording_damaged", "the file is damaged",
    ),
    "a table": (
        lambda: table_writer.as_text(table_writer.wide()).encode(), "not_a_recording",
        "This is text, not a motion capture recording. Export the labelled markers as C3D.",
    ),
    "a picture": (lambda: b"\x89PNG\r\n\x1a\n" + bytes(2000), "not_a_recording", "This is a picture (PNG), not a"),
    "a video": (lambda: bytes(4) + b"ftypmp42" + bytes(2000), "not_a_recording", "This is a video"),
    "an archive": (archive, "not_a_recording", "This is a workbook or an archive"),
    "zero frames": (lambda: good(header={"first": 1, "last": 0}), "recording_no_frames", "holds no frames"),
    "no markers": (
        lambda: c3d_file(Written(np.zeros((40, 0, 3)), analogs=np.ones((40, 5, 3)))), "recording_no_markers",
        "The recording holds no markers. Export it with the labelled marker positions.",
    ),
    "ten minutes that are there": (
        lambda: c3d_file(Written(np.ones((60_000, 1, 3)), ["C7"], rate_hz=100.0)), "recording_too_long",
        "The recording is 10 minutes long and at most 5 minutes are read.",
    ),
    "ten minutes that are only claimed": (lambda: claiming(180_000), "recording_too_long", "is 10 minutes long"),
    "a month": (lambda: claiming(2**31), "recording_too_long", "is 1988 hours long"),
    "more markers than anybody wears": (
        lambda: good(
            header={"markers": 60_000, "last": 3000}, groups={"POINT": {"USED": np.array(60_000 - 65_536, np.int16)}}
        ),
        "recording_too_large", "has 60000 markers in 3000 frames",
    ),
    "two numbers of markers": (
        lambda: good(header={"markers": 3}), "recording_contradicts", "on the number of markers (3 and 4)",
    ),
    "two kinds of numbers": (
        lambda: good(header={"scale": 0.1}), "recording_contradicts", "on the kind of numbers (0.1 and -1)",
    ),
    "two numbers of channels": (
        lambda: good(header={"analogs": 5}), "recording_contradicts", "on the number of analogue channels (5 and 0)",
    ),
    "samples that are no whole number of channels": (
        lambda: good(header={"analogs": 5, "samples": 3}), "recording_damaged", "is damaged",
    ),
    "no rate": (lambda: good(rate_hz=0.0), "recording_rate", "0 frames a second, which cannot be"),
    "a rate that is no number": (lambda: good(rate_hz=float("nan")), "recording_rate", "nan frames a second"),
    "no scale": (
        lambda: good(groups={"POINT": {"SCALE": np.array(0.0, np.float32)}}), "recording_scale", "is 0 long",
    ),
    "frames before its own header": (lambda: good(header={"data_block": 1}), "recording_damaged", "is damaged"),
    "frames beyond its end": (lambda: good(header={"data_block": 60_000}), "recording_cut", "the file holds 0"),
    "another processor": (lambda: good(processor=87), "recording_damaged", "is damaged"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_bad_file_is_refused_with_its_sentence(name):
    make, code, piece = BAD[name]
    with pytest.raises(UnreadableFile) as refused:
        read_c3d(make(), "walk.c3d")
    assert refused.value.code == code
    assert piece in refused.value.sentence
    assert refused.value.sentence.endswith(".")


@pytest.mark.parametrize("name", ["ten minutes that are only claimed", "a month", "more markers than anybody wears"])
def test_what_a_header_claims_is_refused_before_it_is_allocated(name):
    data = BAD[name][0]()
    outcome(data)  # whatever is loaded at the first use
    result, _, peak = outcome(data)
    assert isinstance(result, UnreadableFile)
    assert peak < 100_000


def test_far_too_big_file_is_refused_by_its_size():
    refuse_too_big(limits.RECORDING_BYTES)
    with pytest.raises(UnreadableFile, match=r"^The file has 201 MB and a recording may have 200 MB\."):
        refuse_too_big(201_000_000)


def test_one_marker_is_read():
    """That a throw needs more is for those to say who know what a throw is."""
    assert read_c3d(c3d_file(Written(walk()[:, :1], ["C7"]))).labels == ("C7",)


def test_extension_is_compared_with_the_content():
    (note,) = read_c3d(good(), "walk.csv").problems
    assert note.sentence == (
        "The name says another kind of file, the content is a C3D recording; it was read as a C3D recording."
    )
    assert read_c3d(good(), "WALK.C3D").problems == ()


def test_recording_that_comes_as_a_table_is_refused_as_one():
    with pytest.raises(UnreadableFile):
        read_layouts(good(), "walk.csv")


def test_parameter_that_claims_a_universe_of_texts_costs_nothing():
    """Dimensions multiply: 255 to the fourth texts of no letters would be walked for minutes."""
    data = bytearray(good())
    place = data.index(b"LABELS") + len("LABELS") + 2  # past the offset to the next parameter
    data[place : place + 7] = bytes([255, 5, 0, 255, 255, 255, 255])  # texts, five dimensions, and those
    started = time.perf_counter()
    assert read_c3d(bytes(data)).labels == ("*1", "*2", "*3", "*4")
    assert time.perf_counter() - started < MOST_SECONDS


ODD_VALUES = {
    "no number": np.array(np.nan, np.float32),
    "infinity": np.array([-np.inf, np.inf], np.float32),
    "minus one": np.array(-1, np.int16),
    "nothing": np.zeros(0, np.int16),
    "a text": ["rubbish"],
    "many": np.full((3, 4, 5), 30_000, np.int16),
}
PARAMETERS = [
    *(("POINT", name) for name in ("USED", "SCALE", "RATE", "FRAMES", "LONG_FRAMES", "LABELS", "UNITS")),
    *(("ANALOG", name) for name in ("USED", "GEN_SCALE", "SCALE", "OFFSET", "UNITS", "FORMAT")),
    *(("FORCE_PLATFORM", name) for name in ("USED", "TYPE", "CORNERS", "ORIGIN", "CHANNEL", "CAL_MATRIX", "UNITS")),
    *(("EVENT", name) for name in ("LABELS", "TIMES")),
    *(("TRIAL", name) for name in ("ACTUAL_START_FIELD", "ACTUAL_END_FIELD")),
]


@pytest.mark.parametrize("odd", ODD_VALUES)
@pytest.mark.parametrize(("group", "name"), PARAMETERS)
def test_parameter_of_another_kind_is_no_reason_to_stumble(group, name, odd):
    groups = plate_groups(4) | {
        "EVENT": {"LABELS": ["a", "b"], "TIMES": np.ones((2, 2), np.float32)},
        "TRIAL": {"ACTUAL_START_FIELD": np.array([1, 0], np.int16), "ACTUAL_END_FIELD": np.array([40, 0], np.int16)},
    }
    groups[group] = groups.get(group, {}) | {name: ODD_VALUES[odd]}
    for last in (40, 65535):
        result, _, _ = outcome(good(analogs=signals(4), groups=groups, header={"last": last}))
        assert isinstance(result, UnreadableFile) or result.positions.shape == (40, 4, 3)


def outcome(data: bytes) -> tuple[Recording | UnreadableFile, float, int]:
    """What came of reading, the seconds that it took, and the most bytes that it held."""
    tracemalloc.start()
    started = time.perf_counter()
    result: Recording | UnreadableFile
    try:
        result = read_c3d(data, "walk.c3d")
    except UnreadableFile as refused:
        result = refused
    seconds = time.perf_counter() - started
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return result, seconds, peak


def test_mutated_files_are_read_or_refused_within_bounds():
    data = c3d_file(Written(walk(), LABELS, analogs=np.ones((40, 5, 6)), groups={"EVENT": {"LABELS": ["a"]}}))
    read = 0
    for damaged in mutated(data, count=700):
        result, seconds, peak = outcome(damaged)
        assert seconds < MOST_SECONDS
        assert peak < 1_000_000 + 20 * len(data)
        if isinstance(result, UnreadableFile):
            assert result.sentence.endswith(".")
            continue
        read += 1
        assert not np.isinf(result.positions).any()
        assert len(result.labels) == result.positions.shape[1]
    assert 50 < read < 650  # the damage is such that some can be read and some cannot
