"""DTW barycenter averages of 3-D curves by two outside libraries, from the same first guess.

Both warp by squared distances, without a band, every step weighing 1 (symmetric1), and move each sample of the average
to the mean of what is matched to it. `average` is what stands after `rounds` rounds, `cost` the sum over the curves of
their squared DTW distances to it (dtaidistance).
"""

import warnings

import numpy as np
from dtaidistance import dtw_barycenter, dtw_ndim

with warnings.catch_warnings():  # a library for files that is not needed here
    warnings.simplefilter("ignore")
    from tslearn.barycenters import dtw_barycenter_averaging_petitjean

from .dtw import curve

LIBRARIES = ("numpy", "dtaidistance", "tslearn")
TOLERANCE = {"relative": 1e-9, "absolute": 1e-12}


def by_tslearn(start, curves, rounds):
    return dtw_barycenter_averaging_petitjean(list(curves), init_barycenter=start, max_iter=rounds, tol=0.0)


def by_dtaidistance(start, curves, rounds):
    return np.asarray(dtw_barycenter.dba_loop(list(curves), c=start.copy(), max_it=rounds, thr=0.0))


def cost(average, curves):
    return float(sum(dtw_ndim.distance(average, curve) ** 2 for curve in curves))


def cases():
    rng = np.random.default_rng(11)
    made = []
    for lengths, noise, rounds in [((30,) * 5, 0.02, 1), ((30,) * 5, 0.02, 12), ((25, 31, 28, 36), 0.05, 6), ((20,) * 9, 0.3, 4)]:
        curves = [curve(rng, samples, noise) for samples in lengths]
        start = curves[0]
        results = []
        for by, run in (("tslearn", by_tslearn), ("dtaidistance", by_dtaidistance)):
            average = run(start, curves, rounds)
            results.append({"by": by, "average": average, "cost": cost(average, curves)})
        made.append({"start": start, "curves": [list(c) for c in curves], "rounds": rounds, "results": results})
    return made
