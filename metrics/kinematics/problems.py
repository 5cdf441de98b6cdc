"""Every reason for which a throw, or one of its metrics, is not measured: one code and one sentence each.

A sentence says what was found and then what to do. `NotMeasured` refuses a throw, a `Notice` goes with one that is
measured, a reason stands in the place of one value.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

REFUSALS: Final[dict[str, str]] = {
    "no_markers": "The file holds no markers. Export it again with the labelled marker positions.",
    "no_known_labels": (
        "None of the file's {count} markers has a name that is known ({labels}). Say in the capture setup which of the "
        "file's names stand for which landmark."
    ),
    "no_such_person": (
        "No marker of the file belongs to {person}; the file has those of {people}. Choose one of them in the capture "
        "setup."
    ),
    "labels_missing": (
        "These markers are needed and are not in the file: {labels}. Label them, or say in the capture setup which "
        "of the file's names they have."
    ),
    "several_people": (
        "The file holds the markers of several people: {people}. Choose one of them in the capture setup."
    ),
    "too_short": "The file has {frames} frames and a throw needs at least {least}. Export the whole throw.",
    "rate_too_low": (
        "The file has {rate} frames a second and a throw needs at least {least}. Record it with a higher frame rate."
    ),
    "markers_not_seen": (
        "These markers are seen in too few frames to find a throw: {labels}. Fill their gaps where you label, and "
        "export again."
    ),
    "wrong_unit": (
        "The markers make a body about {size} tall, so the unit of length is wrong{probably}. Export the file with the "
        "unit that its numbers have, or set the unit in the capture setup."
    ),
    "up_unclear": (
        "Which way is up is not clear: from feet to head the markers point {degrees}° off the nearest axis of the "
        "file. Set the axes in the capture setup."
    ),
    "forward_unclear": (
        "Which way is home plate is not clear: the pelvis travels {degrees}° off the nearest axis of the file. "
        "Set the axes in the capture setup."
    ),
    "no_travel": (
        "Which way is home plate is not clear: the pelvis travels only {travel} cm before the throw. Set the axes in "
        "the capture setup."
    ),
    "setup_up": (
        "From feet to head the markers point {degrees}° away from up as the capture setup says it. Choose the setup "
        "of this room, or correct its axes."
    ),
    "thrown_other_way": (
        "The throw goes {degrees}° away from the direction to home of the capture setup. Choose the setup of this "
        "room, or correct its axes."
    ),
    "labels_swapped": (
        "Left and right are swapped on some markers: {labels}. Correct the labels and export again."
    ),
    "other_arm": "The {found} arm throws here and {given} was given as the throwing side. Check athlete and file.",
    "setup_mirrored": (
        "Left and right are mirrored against the capture setup, and by the labels the {side} arm throws, as was given. "
        "Correct the setup's direction to the left, or the labels."
    ),
    "no_throw": (
        "No throw was found: the fastest wrist moves at {speed} m/s and a throw needs {least}. If somebody throws in "
        "this file, check that it goes on after release, and check the labels of the wrists."
    ),
    "several_throws": "The file holds {count} throws. Choose one of them.",
    "cut_before_release": (
        "The file ends before the ball is released. Export it to at least half a second after release."
    ),
    "no_leg_lift": (
        "No knee lift was found before the throw: the lead knee is not seen to rise and the file begins {seconds} s "
        "before release. Export it from before the leg lift."
    ),
    "windmill": "This is an underhand windmill pitch. Only overhand and sidearm pitches are measured.",
    "running_throw": (
        "This is a throw on the run: at the highest knee the pelvis moves at {speed} m/s. Only pitches are measured."
    ),
    "no_landing": (
        "The landing of the front foot was not found: its ankle never comes to rest before release. Check the "
        "markers of the front foot."
    ),
    "no_release": (
        "Ball release was not found: the wrist does not pass the elbow toward home near its fastest. Check the "
        "markers of the throwing arm."
    ),
    "gap_at_event": (
        "{event} was not found, because {labels} is not seen around it. Fill the gap where you label, and export again."
    ),
    "event_outside": (
        "{event} was set at {time} s, and this throw runs from {start} to {end} s of the file. Set it anew."
    ),
    "events_out_of_order": "The events were set in an impossible order: {order}. Set them anew, or the others too.",
}  # fmt: skip

NOTICES: Final[dict[str, str]] = {
    "axes_found": (
        "Up is the file's {up} and home plate lies along its {forward}, both found from the movement. The direction "
        "to home is assumed until a capture setup confirms it."
    ),
    "axes_left_handed": "The file's axes are left-handed; positions were mirrored. Labels and side agree.",
    "all_labels_swapped": (
        "Left and right are swapped on all labels; they were swapped back, since the {side} side throws. Correct "
        "them where you label."
    ),
    "labels_flicker": (
        "Left and right change places for moments on {labels} ({count} frames in all); they were put right there. "
        "Correct them where you label."
    ),
    "markers_stray": (
        "{labels} jump off the limb that they sit on ({count} frames in all); these frames were treated as not seen."
    ),
    "unit_missing": "The file names no unit of length; {unit} fits the body and was taken.",
    "gaps_filled": "{count} gaps of single markers up to {longest} ms were filled ({frames} frames in all).",
    "turn_unseen": (
        "{event} was not found, since it cannot be seen on the throwing arm; what is read there is not measured."
    ),
    "width_assumed": (
        "The inner markers {labels} are missing: joint centres stand on half joint widths of {widths}, common "
        "practice for this height."
    ),
    "wrist_by_knuckle": "The wrist is taken as bent back until release: less exact, and unknown after it.",
    "floor_assumed": "The floor under the rear foot is taken {height} cm under its lowest marker.",
    "filter_strong": (
        "Filter too strong for this arm: its speeds, torque and layback are approximate (the filtered forearm is "
        "shortened to {percent}%)."
    ),
    "plate_sign": "The force plates are upside down in this file; their forces were turned round.",
    "no_plate_under": "No force plate lies under the {foot} foot.",
    "ends_early": "The file ends {milliseconds} ms after release, so no speeds and loads are given (60 ms needed).",
    "ball_at_knuckle": "The ball was not seen in the hand: at the knuckle its mass gives torques about 8% too low.",
    "ball_not_seen": "The ball was not seen at release; release is 10 ms after the wrist passes the elbow.",
    "adult_proportions": "Segment masses are adult proportions, so loads of an athlete under 16 are uncertain by 15%.",
    "low_rate": "At {rate} frames a second arm values after maximum external rotation are uncertain.",
}  # fmt: skip

# To be confirmed by a person before the throw is scored.
QUESTIONS: Final[dict[str, str]] = {
    "mirrored_or_swapped": (
        "Left and right are mirrored: either all labels are swapped or the file's axes are left-handed. The {side} "
        "side was taken as the throwing side, by its labels. Confirm it."
    ),
    "size_differs": (
        "The markers make a body about {size} m tall, and {height} m was given as the height. Check the height."
    ),
    "arm_unseen": (
        "{labels} is not seen all the time around the throw, so it was not compared: the {side} arm was taken as the "
        "throwing arm. Confirm it."
    ),
    "pkh_unseen": (
        "The front knee is not seen all the time about its highest, so peak knee lift may be wrong. Fill the gap where "
        "you label, or set peak knee lift by hand."
    ),
    "fc_unseen": (
        "Heel or toe of the front foot is not seen before it lands, so foot contact stands on the other alone and may "
        "be late. Fill the gap where you label, or set foot contact by hand."
    ),
    "order": "The events are out of order: {order}.",
    "fc_br_span": "From foot contact to release it takes {value} s; {low} to {high} s is expected.",
    "fc_fp_span": "From foot contact to foot plant it takes {value} ms; {low} to {high} ms is expected.",
    "mer_place": "Maximum external rotation is at {value}% of foot contact to release; {low} to {high}% is expected.",
    "release_height": "At release the wrist is at {value} of body height; {low} to {high} is expected.",
    "mer_small": "Maximum external rotation is {value}°; more than {low}° is expected.",
    "implausible": "{sentence}",
}  # fmt: skip

REASONS: Final[dict[str, str]] = {
    "no_marker": "Not measured, because these markers are not in the file: {labels}.",
    "gap": "Not measured, because {labels} is not seen at its moment.",
    "undefined": "Not measured, because the angle has no meaning in this position of the arm or trunk.",
    "no_event": "Not measured, because {event} was not found.",
    "no_window": "Not measured, because no frame lies between its two moments.",
    "ends_early": "Not measured, because the file ends less than 60 ms after release.",
    "no_plate": "Not measured, because no force plate lies under the foot.",
    "one_plate": "Not measured, because both feet stand on the same force plate.",
    "plate_short": "Not measured, because what the force plate gave ends earlier.",
    "plate_silent": "Not measured, because the force plate under the foot gives no force.",
    "no_mass": "Not measured, because the athlete's mass is not known.",
    "no_ball": "Not measured, because neither the file nor a person gave the ball's speed.",
    "gradual": "Not measured, because the trunk does not open by 15° before release.",
}  # fmt: skip


class NotMeasured(Exception):
    """The throw cannot be measured. ``code`` is a key of REFUSALS; ``sentence`` is fit for a page."""

    def __init__(self, code: str, **facts: object) -> None:
        self.code = code
        self.sentence = REFUSALS[code].format(**facts)
        super().__init__(code, self.sentence)

    def __str__(self) -> str:
        return self.sentence


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to know about a measured throw. ``question``: a person confirms before it is scored."""

    code: str
    sentence: str
    question: bool = False


def notice(code: str, **facts: object) -> Notice:
    """The notice of that code; KeyError when the code is unknown."""
    return Notice(code, NOTICES[code].format(**facts))


def question(code: str, **facts: object) -> Notice:
    """The question of that code; KeyError when the code is unknown."""
    return Notice(code, QUESTIONS[code].format(**facts), question=True)


def reason(code: str, **facts: object) -> str:
    """The sentence for a value that is not measured; KeyError when the code is unknown."""
    return REASONS[code].format(**facts)
