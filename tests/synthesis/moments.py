"""The planned moments of one delivery, in seconds from the first touch of the lead foot."""

from __future__ import annotations

from dataclasses import dataclass

from .style import Style

STANDING = 1.15  # s before peak knee lift at which the pitcher still stands in his set position
LEG_LIFT = 0.70  # s before peak knee lift at which the lead foot leaves the ground
DEEPEST_DRIVE = 0.22  # s before touch
INWARD = 0.045  # s from release to the end of inward rotation
FINISH = 0.75  # s from release to standing still again
RELEASE_LAG = 0.010  # s from the wrist passing the elbow to release (long used at 200 to 240 Hz; from memory)


@dataclass(frozen=True, slots=True)
class Moments:
    """Planned times (s from first touch). Where an extreme really falls is for the finished curves to say."""

    start: float
    lift: float
    pkh: float
    deep: float
    flat: float
    mer: float
    passing: float
    br: float
    mir: float
    end: float
    fc: float = 0.0

    @classmethod
    def of(cls, style: Style) -> Moments:
        br = style.fc_br_time
        flat = 0.0 if style.landing == "flat" else style.flat_delay
        pkh = flat - style.stride_time
        return cls(
            start=pkh - STANDING, lift=pkh - LEG_LIFT, pkh=pkh, deep=-DEEPEST_DRIVE, flat=flat,
            mer=br * style.shoulder_external_rotation_max_time / 100, passing=br - RELEASE_LAG, br=br,
            mir=br + INWARD, end=br + FINISH,
        )  # fmt: skip

    def percent(self, share: float) -> float:
        """The time (s) of a percentage of the way from contact to release."""
        return self.br * share / 100
