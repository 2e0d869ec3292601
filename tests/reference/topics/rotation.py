"""Rotation matrices of BVH channel orders: scipy.spatial.transform.Rotation, intrinsic (upper-case) sequences.

With column vectors a joint's matrix is R(first channel) R(second) R(third), which is what an intrinsic sequence of
the same letters gives.
"""

import itertools

import numpy as np
from scipy.spatial.transform import Rotation

LIBRARIES = ("numpy", "scipy")
TOLERANCE = {"relative": 1e-10, "absolute": 1e-12}

# In the order of the channels, degrees: hand-checkable right angles, a general triple, and near gimbal lock.
FIXED = [(90.0, 90.0, 0.0), (30.0, 40.0, 50.0), (-170.0, 89.9, 12.0)]


def case(order, degrees):
    return {"order": order, "degrees": degrees, "rows": Rotation.from_euler(order, degrees, degrees=True).as_matrix()}


def cases():
    rng = np.random.default_rng(22)
    orders = ["".join(order) for order in itertools.permutations("XYZ")]
    random = [rng.uniform(-360.0, 360.0, size=3) for _ in range(3)]
    return [case(order, degrees) for order in orders for degrees in [*FIXED, *random]]
