"""Segment frames by the recommendations of the International Society of Biomechanics.

Wu et al. 2002, J Biomech 35:543-548 (pelvis, femur); Wu et al. 2005, J Biomech 38:981-992 (thorax, humerus,
forearm). X forward, Y up or proximal, Z to the right, on both sides of the body: positions are mirrored for a
left-hander, so that the throwing side is the right one.

Every function takes points of shape (frames, 3), any unit, and gives rotations of shape (frames, 3, 3) whose
columns are the segment's X, Y, Z in the axes of the points. NaN where a point is NaN or the points do not span a plane.
"""

from __future__ import annotations

import numpy as np

from metrics.kinematics.vectors import Array, across, angle_between, unit

STRAIGHT_ELBOW = np.radians(5.0)
"""Under it the arm has no plane, so the humerus' rotation is not known. Not 10°: through the default filter an elbow
that straightens to 18° reads 9°, just when the arm turns in fastest. At 5° half a millimetre turns the plane by 1°."""


def _frame(x: Array, y: Array, z: Array) -> Array:
    return np.stack([x, y, z], axis=-1)


def thorax(c7: Array, t8: Array, ij: Array, px: Array) -> Array:
    """Y from the middle of PX and T8 to that of IJ and C7; Z normal to the plane of IJ, C7 and the lower middle."""
    y = unit((ij + c7) / 2 - (px + t8) / 2)
    z = unit(np.cross(ij - c7, y))
    return _frame(np.cross(y, z), y, z)


def pelvis(r_asis: Array, l_asis: Array, r_psis: Array, l_psis: Array) -> Array:
    """Z along the line from left to right ASIS; X in the plane of both ASIS and the middle of the PSIS, forward."""
    z = unit(r_asis - l_asis)
    x = unit(across((r_asis + l_asis) / 2 - (r_psis + l_psis) / 2, z))
    return _frame(x, np.cross(z, x), z)


def thigh(hip: Array, knee: Array, to_right: Array) -> Array:
    """Y from knee to hip; Z in the plane of Y and ``to_right``, the knee's axis pointing to the person's right."""
    y = unit(hip - knee)
    z = unit(across(to_right, y))
    return _frame(np.cross(y, z), y, z)


def humerus(shoulder: Array, elbow: Array, wrist: Array) -> Array:
    """Second option of Wu et al. 2005: Y from elbow to shoulder, Z normal to the plane of upper arm and forearm.

    NaN under 5° of elbow flexion.
    """
    upper, fore = unit(elbow - shoulder), unit(wrist - elbow)
    bent = angle_between(upper, fore) >= STRAIGHT_ELBOW
    z = unit(np.where(bent[..., None], np.cross(upper, fore), np.nan))
    y = -upper
    return _frame(np.cross(y, z), y, z)


def limb_end(proximal: Array, distal: Array, to_radial: Array) -> Array:
    """Forearm or hand of the right arm: Y from distal to proximal centre, Z toward the radial side, X = Y × Z.

    With the palm to the front the radius is on the outer side, which is the right one. ``to_radial`` runs from the
    ulnar to the radial styloid.
    """
    y = unit(proximal - distal)
    z = unit(across(to_radial, y))
    return _frame(np.cross(y, z), y, z)
