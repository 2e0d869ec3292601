"""The plane nearest a set of points, by the singular value decomposition of numpy.

Points less their mean, rows of a matrix: the right singular vector of the least singular value is the normal (turned
so that its third coordinate is not negative), the root mean square distance is that value over the root of the number
of points. Seeded sets: a tilted circle arc, noisy arcs of several sizes and attitudes, points far from the origin, a
cloud without a plane.
"""

import numpy as np

LIBRARIES = ("numpy",)
TOLERANCE = {"relative": 1e-8, "absolute": 1e-10}


def case(points):
    centre = points.mean(axis=0)
    _, values, vectors = np.linalg.svd(points - centre)
    normal = vectors[2] if vectors[2][2] >= 0.0 else -vectors[2]
    return {"points": points, "centre": centre, "normal": normal, "rms": values[2] / np.sqrt(len(points))}


def arc(rng, noise, samples=60):
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    angle = np.linspace(0.0, rng.uniform(1.0, 4.0), samples)
    flat = np.stack([np.cos(angle), np.sin(angle), np.zeros(samples)], axis=1) * rng.uniform(0.4, 0.9)
    return flat @ turn.T + rng.normal(size=3) + noise * rng.normal(size=(samples, 3))


def cases():
    rng = np.random.default_rng(41)
    far = arc(rng, 0.003) + np.array([250.0, -400.0, 120.0])
    cloud = rng.normal(size=(40, 3)) * np.array([1.0, 0.9, 0.8])
    few = arc(rng, 0.01, samples=4)
    return [case(arc(rng, noise)) for noise in (0.001, 0.003, 0.01, 0.03)] + [case(far), case(cloud), case(few)]
