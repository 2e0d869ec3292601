"""The ISB thorax frame (Wu et al. 2005, J Biomech 38:981-992), from its definition, in numpy.

Y from midpoint(PX, T8) to midpoint(IJ, C7); Z perpendicular to the plane of IJ, C7 and midpoint(PX, T8), to the right;
X = Y x Z, forward; origin IJ. The first case is hand-checkable, the second the same points turned by 30 degrees about
Y with scipy's Rotation, the others random bodies in random attitudes.
"""

import numpy as np
from scipy.spatial.transform import Rotation

LIBRARIES = ("numpy", "scipy")
TOLERANCE = {"relative": 1e-10, "absolute": 1e-12}

# Axes of this body: x forward, y up, z right; metres.
BODY = {"IJ": (0.05, 1.45, 0.0), "C7": (-0.09, 1.52, 0.0), "PX": (0.10, 1.25, 0.0), "T8": (-0.12, 1.30, 0.0)}


def unit(v):
    return v / np.linalg.norm(v)


def frame(ij, c7, px, t8):
    lower = (px + t8) / 2.0
    y = unit((ij + c7) / 2.0 - lower)
    z = unit(np.cross(c7 - ij, lower - ij))
    return np.cross(y, z), y, z


def case(landmarks):
    x, y, z = frame(landmarks["IJ"], landmarks["C7"], landmarks["PX"], landmarks["T8"])
    return {**landmarks, "x": x, "y": y, "z": z, "origin": landmarks["IJ"]}


def moved(rng):
    rotation, shift = Rotation.random(rng=rng), rng.normal(size=3)
    return {
        name: rotation.apply(np.array(point) + rng.normal(scale=0.01, size=3)) + shift for name, point in BODY.items()
    }


def cases():
    rng = np.random.default_rng(23)
    body = {name: np.array(point) for name, point in BODY.items()}
    turn = Rotation.from_euler("Y", 30.0, degrees=True)
    turned = {name: turn.apply(point) for name, point in body.items()}
    return [case(body), case(turned)] + [case(moved(rng)) for _ in range(6)]
