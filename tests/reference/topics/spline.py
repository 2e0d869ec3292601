"""Cubic splines through uneven knots: scipy.interpolate.CubicSpline, natural and not-a-knot ends."""

import numpy as np
from scipy.interpolate import CubicSpline

LIBRARIES = ("numpy", "scipy")
TOLERANCE = {"relative": 1e-9, "absolute": 1e-9}

KNOTS = [2, 3, 4, 5, 12, 40]


def evaluated(knots, values, at, ends):
    spline = CubicSpline(knots, values, bc_type=ends)
    return {"value": spline(at), "first": spline(at, 1), "second": spline(at, 2)}


def case(rng, count):
    knots = np.cumsum(rng.uniform(0.004, 0.05, size=count))
    values = np.sin(9.0 * knots) + rng.normal(scale=0.05, size=count)
    inside = np.sort(rng.uniform(knots[0], knots[-1], size=25))
    at = np.concatenate([knots, inside])
    return {
        "knots": knots,
        "values": values,
        "at": at,
        "natural": evaluated(knots, values, at, "natural"),
        "not_a_knot": evaluated(knots, values, at, "not-a-knot"),
    }


def cases():
    rng = np.random.default_rng(21)
    return [case(rng, count) for count in KNOTS]
