"""How somebody throws, as the numbers that a coach would name: presets by level, habits, and throw-to-throw variation.

Names are those of the measured quantities; `_fc`, `_mer`, `_br` say at which moment the curve passes through the
number. Degrees, degrees per second, seconds, percent of height, centimetres; times in percent run from foot contact = 0
to ball release = 100.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Literal

import numpy as np

Landing = Literal["heel", "toe", "flat"]


@dataclass(frozen=True, slots=True)
class Style:
    """One delivery's aims. Defaults: between the published means of high-school and college pitchers."""

    # Time
    stride_time: float = 0.92  # s, peak knee lift to weight on the lead foot
    fc_br_time: float = 0.145  # s
    # Lower half
    stride_length: float = 81.0  # % height, rear ankle to lead ankle
    stride_offset: float = 0.0  # cm, open positive
    lead_foot_angle: float = -12.0  # open positive
    landing: Landing = "heel"
    landing_pitch: float = 10.0  # of the foot against the ground at first touch
    flat_delay: float = 0.022  # s, first touch to flat foot
    landing_speed: float = 0.9  # m/s, downward
    lead_hip_flexion_pkh: float = 105.0
    lead_knee_flexion_pkh: float = 111.0
    drive_knee_flexion_max: float = 48.0
    drive_knee_flexion_fc: float = 29.0
    lead_knee_flexion_fc: float = 46.0
    lead_knee_flexion_mer: float = 43.0
    lead_knee_flexion_br: float = 37.0
    pelvis_travel_fc_br: float = 7.5  # % height
    pelvis_rotation_fc: float = 70.0
    pelvis_rotation_br: float = -10.0
    pelvis_velocity_max: float = 660.0
    pelvis_velocity_max_time: float = 35.0
    pelvis_anterior_tilt_fc: float = 12.0
    pelvis_anterior_tilt_br: float = 42.0
    pelvis_lateral_tilt_fc: float = 6.0
    pelvis_lateral_tilt_br: float = 14.0
    # Trunk
    trunk_rotation_closed: float = 124.0  # the most closed
    trunk_rotation_fc: float = 114.0
    trunk_rotation_br: float = -26.0
    trunk_velocity_max: float = 1130.0
    trunk_velocity_max_time: float = 52.0
    trunk_forward_tilt_fc: float = -3.0
    trunk_forward_tilt_mer: float = 15.0
    trunk_forward_tilt_br: float = 28.0
    trunk_lateral_tilt_fc: float = 3.0
    trunk_lateral_tilt_mer: float = 23.0
    trunk_lateral_tilt_br: float = 31.0
    # Throwing arm
    shoulder_abduction_fc: float = 92.0
    shoulder_abduction_mer: float = 96.0
    shoulder_abduction_br: float = 95.0
    shoulder_horizontal_abduction_fc: float = 21.0
    shoulder_horizontal_abduction_mer: float = -13.0
    shoulder_horizontal_abduction_br: float = -8.0
    shoulder_external_rotation_fc: float = 62.0
    shoulder_external_rotation_max: float = 175.0
    shoulder_external_rotation_max_time: float = 81.0
    shoulder_internal_rotation_velocity_max: float = 6800.0
    shoulder_internal_rotation_velocity_max_time: float = 103.0
    elbow_flexion_fc: float = 86.0
    elbow_flexion_max: float = 99.0
    elbow_flexion_br: float = 24.0
    elbow_extension_velocity_max: float = 2300.0
    elbow_extension_velocity_max_time: float = 92.5
    # Glove arm
    glove_shoulder_abduction_fc: float = 80.0
    glove_horizontal_abduction_br: float = 10.0  # behind positive
    ball_speed: float = 34.5  # m/s

    def but(self, **changes: object) -> Style:
        return replace(self, **changes)  # type: ignore[arg-type]

    def shifted(self, **amounts: float) -> Style:
        """The same style with amounts added to some of its numbers."""
        return replace(self, **{name: getattr(self, name) + amount for name, amount in amounts.items()})

    def varied(self, rng: np.random.Generator, share: float = 1.0) -> Style:
        """Another throw of the same person: every number moves by `share` of its throw-to-throw spread."""
        amounts = {name: share * spread * rng.standard_normal() for name, spread in THROW_TO_THROW.items()}
        return self.shifted(**amounts)


# Throw-to-throw standard deviations within one person and day, in each number's own unit (common practice, no
# published source). What is not named is the same in every throw.
THROW_TO_THROW = {
    "stride_time": 0.020, "fc_br_time": 0.003, "stride_length": 0.9, "stride_offset": 1.5, "lead_foot_angle": 1.5,
    "drive_knee_flexion_max": 1.2, "drive_knee_flexion_fc": 1.2, "lead_knee_flexion_fc": 1.6,
    "lead_knee_flexion_mer": 1.6, "lead_knee_flexion_br": 1.8, "pelvis_rotation_fc": 2.2, "pelvis_rotation_br": 1.8,
    "pelvis_velocity_max": 18.0, "trunk_rotation_closed": 1.5, "trunk_rotation_fc": 2.2, "trunk_rotation_br": 1.8,
    "trunk_velocity_max": 22.0, "trunk_forward_tilt_fc": 1.0, "trunk_forward_tilt_mer": 1.2,
    "trunk_forward_tilt_br": 1.3, "trunk_lateral_tilt_fc": 1.0, "trunk_lateral_tilt_mer": 1.2,
    "trunk_lateral_tilt_br": 1.3, "shoulder_abduction_fc": 1.8, "shoulder_abduction_mer": 1.4,
    "shoulder_abduction_br": 1.4, "shoulder_horizontal_abduction_fc": 2.2, "shoulder_horizontal_abduction_mer": 1.5,
    "shoulder_external_rotation_fc": 5.0, "shoulder_external_rotation_max": 1.7, "elbow_flexion_fc": 3.0,
    "elbow_flexion_max": 2.2, "elbow_flexion_br": 1.5, "elbow_extension_velocity_max": 45.0,
    "shoulder_internal_rotation_velocity_max": 140.0, "ball_speed": 0.4,
}  # fmt: skip

# Levels: near the published means where a study measured that level (Kageyama et al. 2015, the stride study of 315
# professionals, Fleisig et al. 1999 from memory), moved within two SD where means of several studies do not fit into
# one movement (speeds, trunk tilts); the rest as in the default, which is this synthesiser's own choice.
LEVELS = {
    "youth": Style().but(
        stride_time=0.90, fc_br_time=0.150, stride_length=82.9, lead_hip_flexion_pkh=100.3, drive_knee_flexion_fc=30.8,
        drive_knee_flexion_max=50.3, lead_knee_flexion_fc=40.0, lead_knee_flexion_mer=39.0, lead_knee_flexion_br=31.4,
        pelvis_rotation_fc=73.3, pelvis_rotation_br=-10.9, pelvis_velocity_max=665.0, pelvis_velocity_max_time=39.0,
        trunk_rotation_closed=130.0, trunk_rotation_fc=122.1, trunk_rotation_br=-28.0, trunk_velocity_max=1175.0,
        trunk_velocity_max_time=49.0, trunk_forward_tilt_fc=-2.1, trunk_forward_tilt_mer=15.5,
        trunk_forward_tilt_br=29.3, shoulder_external_rotation_fc=67.0, elbow_flexion_fc=76.0, elbow_flexion_max=95.0,
        shoulder_external_rotation_max=177.0, elbow_extension_velocity_max=2230.0, ball_speed=29.5,
    ),
    "high_school": Style().but(
        fc_br_time=0.150, stride_length=81.0, lead_knee_flexion_fc=48.0, lead_knee_flexion_mer=46.0,
        lead_knee_flexion_br=42.0, shoulder_external_rotation_fc=64.0, shoulder_external_rotation_max=174.0,
        elbow_flexion_fc=82.0, elbow_flexion_max=100.0, elbow_extension_velocity_max=2200.0, ball_speed=32.5,
    ),
    "college": Style().but(
        stride_length=83.5, drive_knee_flexion_fc=28.1, drive_knee_flexion_max=49.5, lead_hip_flexion_pkh=108.9,
        lead_knee_flexion_fc=46.8, lead_knee_flexion_mer=44.2, lead_knee_flexion_br=38.0, pelvis_rotation_fc=75.2,
        pelvis_rotation_br=-11.9, pelvis_velocity_max=700.0, trunk_rotation_closed=130.0, trunk_rotation_fc=120.0,
        trunk_rotation_br=-30.0, trunk_velocity_max=1215.0, trunk_forward_tilt_fc=-4.0, trunk_forward_tilt_mer=14.0,
        trunk_forward_tilt_br=24.5, shoulder_external_rotation_fc=57.0, shoulder_external_rotation_max=174.0,
        elbow_flexion_fc=85.0, elbow_extension_velocity_max=2370.0, shoulder_internal_rotation_velocity_max=7200.0,
        ball_speed=35.5,
    ),
    "professional": Style().but(
        stride_length=80.0, pelvis_rotation_fc=64.0, pelvis_velocity_max=630.0, trunk_velocity_max=1190.0,
        trunk_rotation_fc=117.0, shoulder_external_rotation_fc=58.0, shoulder_external_rotation_max=176.0,
        elbow_flexion_fc=87.0, elbow_flexion_max=98.0, trunk_forward_tilt_br=29.0, lead_knee_flexion_br=36.0,
        shoulder_internal_rotation_velocity_max=7200.0, ball_speed=39.5,
    ),
}  # fmt: skip

# Faults and other habits, as amounts to add (a coach's words; sizes are this synthesiser's own).
HABITS: dict[str, dict[str, float]] = {
    "short_stride": {"stride_length": -11.0},
    "long_stride": {"stride_length": 4.0},
    "lands_open": {"stride_offset": 14.0, "lead_foot_angle": 12.0},
    "lands_across": {"stride_offset": -16.0, "lead_foot_angle": -10.0},
    "opens_early": {"trunk_rotation_fc": -30.0, "trunk_rotation_closed": -6.0, "trunk_velocity_max": -110.0},
    "pelvis_opens_early": {"pelvis_rotation_fc": -25.0, "pelvis_velocity_max": -90.0},
    "lead_knee_collapses": {"lead_knee_flexion_mer": 8.0, "lead_knee_flexion_br": 20.0},
    "lead_knee_stiff": {"lead_knee_flexion_fc": -14.0, "lead_knee_flexion_mer": -20.0, "lead_knee_flexion_br": -24.0},
    "little_layback": {"shoulder_external_rotation_max": -18.0, "shoulder_internal_rotation_velocity_max": -900.0},
    "much_layback": {"shoulder_external_rotation_max": 12.0},
    "arm_late": {"shoulder_external_rotation_fc": -45.0},
    "arm_early": {"shoulder_external_rotation_fc": 35.0},
    "elbow_low": {"shoulder_abduction_fc": -16.0, "shoulder_abduction_mer": -14.0, "shoulder_abduction_br": -12.0},
    "elbow_behind": {"shoulder_horizontal_abduction_fc": 16.0, "shoulder_horizontal_abduction_mer": 10.0},
    "arm_straight_at_landing": {"elbow_flexion_fc": -35.0, "elbow_flexion_max": -6.0},
    "leans_to_glove_side": {"trunk_lateral_tilt_mer": 12.0, "trunk_lateral_tilt_br": 14.0, "trunk_velocity_max": 110.0},
    "upright_at_release": {"trunk_forward_tilt_mer": -8.0, "trunk_forward_tilt_br": -14.0},
    "trunk_before_pelvis": {"pelvis_velocity_max_time": 22.0, "trunk_velocity_max_time": -10.0},
    "glove_arm_flies_open": {"glove_horizontal_abduction_br": 35.0, "glove_shoulder_abduction_fc": -15.0},
    "hurried": {"stride_time": -0.15},
}  # fmt: skip


def style_of(level: str = "college", *habits: str) -> Style:
    """A level's style with habits put on it. Raises KeyError for a level or habit that is not in the tables."""
    style = LEVELS[level]
    for habit in habits:
        style = style.shifted(**HABITS[habit])
    return style


def knob_names() -> tuple[str, ...]:
    """The names of every number that can be set."""
    return tuple(field.name for field in fields(Style) if field.name != "landing")
