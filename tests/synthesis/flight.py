"""The ball: in the hand, and after release on its way to the plate."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .body import Body
from .curves import Array
from .delivery import Delivery
from .markers import held_ball
from .plates import GRAVITY
from .skeleton import Skeleton, place_skeleton

TARGET = np.array([16.8, 0.0, 0.6])  # m: the strike zone over the plate, from the rear ankle
SEEN_UNTIL = 3.5  # m of flight that the cameras see
BACK_IN_HAND = 0.75  # s after release: the next ball


def ball_path(body: Body, skeleton: Skeleton, times: Array, throws: Sequence[tuple[Delivery, float]]) -> Array:
    """The ball's centre (n, 3), m: held but from each release on, when it flies at its style's speed; NaN once unseen.

    The hand's own speed is less: fingers that whip the ball on are not part of this body, so the ball's speed jumps.
    """
    path = held_ball(body, skeleton)
    for delivery, start in throws:
        flight = times - start - delivery.release
        flying = (flight > 0) & (flight < BACK_IN_HAND)
        let_go = held_ball(body, place_skeleton(body, delivery.pose(np.array([delivery.release]))))[0]
        way = TARGET - let_go
        velocity = delivery.style.ball_speed * way / np.linalg.norm(way)
        duration = float(np.linalg.norm(way)) / delivery.style.ball_speed
        velocity[2] += GRAVITY * duration / 2
        seconds = flight[flying, None]
        flown = let_go + velocity * seconds - np.array([0.0, 0.0, GRAVITY / 2]) * seconds**2
        flown[flown[:, 0] - let_go[0] > SEEN_UNTIL] = np.nan
        path[flying] = flown
    return path
