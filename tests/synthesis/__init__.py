"""A delivery synthesiser: joint-angle curves in, marker positions out, with the truth kept beside them.

    from tests.synthesis import Body, Delivery, Room, record, style_of, with_noise, write_c3d

    delivery = Delivery(Body(height=1.86, mass=88.0), style_of("college", "opens_early"))
    recording = record(delivery, Room(rate_hz=240.0, unit="mm", ball=True, plates=True))
    recording.throw.events, recording.throw.metrics("fc"), recording.throw.angles(recording.times)
    write_c3d(with_noise(recording, 0.001, rng), path)

It shares no code with what measures, and imports no test framework. Metres, seconds and degrees; labels, axes, signs
and zeros are those of the measurement.
"""

from .body import Body
from .c3d_file import c3d_bytes, write_c3d
from .capture import Recording, Room, Throw, other_side, record, signed_permutations
from .delivery import Delivery, Motion
from .happenings import Events, events_of
from .markers import BALL, HEAD, MEDIAL, REQUIRED
from .measures import metrics
from .mound import RULE_BOOK_SLOPE, Mound
from .others import RunningThrow, Standing, WalkingIn, Windmill
from .plates import Plate, centre_of_mass, ground_forces
from .pose import CHANNELS, Pose
from .skeleton import Skeleton, place_skeleton
from .spoiling import (
    cut,
    with_gap,
    with_names,
    with_noise,
    with_sides_swapped,
    without,
    without_medial,
)
from .style import HABITS, LEVELS, Style, knob_names, style_of
from .truth import angles, speeds

__all__ = [
    "BALL",
    "CHANNELS",
    "HABITS",
    "HEAD",
    "LEVELS",
    "MEDIAL",
    "REQUIRED",
    "RULE_BOOK_SLOPE",
    "Body",
    "Delivery",
    "Events",
    "Motion",
    "Mound",
    "Plate",
    "Pose",
    "Recording",
    "Room",
    "RunningThrow",
    "Skeleton",
    "Standing",
    "Style",
    "Throw",
    "WalkingIn",
    "Windmill",
    "angles",
    "c3d_bytes",
    "centre_of_mass",
    "cut",
    "events_of",
    "ground_forces",
    "knob_names",
    "metrics",
    "other_side",
    "place_skeleton",
    "record",
    "signed_permutations",
    "speeds",
    "style_of",
    "with_gap",
    "with_names",
    "with_noise",
    "with_sides_swapped",
    "without",
    "without_medial",
    "write_c3d",
]
