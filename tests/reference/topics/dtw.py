"""Dynamic time warping of 3-D curves by two outside libraries, installed as tools: only their numbers are taken.

Each case says what it means by its words, because libraries differ:

- `band` w lets the cell (i, j) in when |i - j| <= w. dtw-python's Sakoe-Chiba window is that w; dtaidistance's window
  is w + 1 for series of one length, so bands are asked of it only there.
- `local` is the local cost; `distance` is the accumulated cost as the library reports it, `rooted` whether it is the
  square root of the sum.
- `normalised` is dtw-python's: distance / (N + M); for an open end N plus the matched length of the second series.
"""

import contextlib
import io

import numpy as np

with contextlib.redirect_stdout(io.StringIO()):  # the import prints a licence notice
    import dtw

from dtaidistance import dtw_ndim

LIBRARIES = ("numpy", "dtaidistance", "dtw-python")
TOLERANCE = {"relative": 1e-9, "absolute": 1e-12}

STEPS = {"symmetric1": "symmetric1", "symmetric2": "symmetric2", "P1": "symmetricP1"}
METRICS = {"euclidean": "euclidean", "squared-euclidean": "sqeuclidean"}


def curve(rng, samples, noise):
    """A smooth space curve of about a metre, passed at an uneven pace, with noise of that SD."""
    pace = np.cumsum(rng.uniform(0.2, 1.8, size=samples))
    t = (pace - pace[0]) / (pace[-1] - pace[0])
    phase = rng.normal(scale=0.15, size=3)
    path = np.stack([0.4 * np.sin(3.0 * t + phase[0]), 0.5 * np.cos(2.5 * t + phase[1]), 0.6 * t**2 + phase[2]], axis=1)
    return np.round(path + rng.normal(scale=noise, size=path.shape), 6)


def by_dtaidistance(a, b, local, band):
    inner = local.replace("-", " ")
    window = None if band is None else band + 1
    # With a window the library fills the cells outside it with infinity and leaves them out of the path.
    path = dtw_ndim.warping_path(a, b, window=window, inner_dist=inner)
    distance = dtw_ndim.distance(a, b, window=window, inner_dist=inner)
    return {
        "step": "symmetric1",
        "distance": float(distance),
        "rooted": local == "squared-euclidean",
        "normalised": None,
        "open_end": False,
        "path": path,
    }


def by_dtw_python(a, b, local, band, step, open_end=False):
    window = {} if band is None else {"window_type": "sakoechiba", "window_args": {"window_size": band}}
    found = dtw.dtw(a, b, dist_method=METRICS[local], step_pattern=STEPS[step], open_end=open_end, **window)
    normalised = float(found.normalizedDistance)
    return {
        "step": step,
        "distance": float(found.distance),
        "rooted": False,
        "normalised": normalised,
        "open_end": open_end,
        "path": np.stack([found.index1, found.index2], axis=1),
    }


def asked(by, local, band, result):
    return {"by": by, "local": local, "band": band, **result}


def closed(a, b):
    """Both libraries, both local costs, with and without a band."""
    equal = len(a) == len(b)
    for local in METRICS:
        for band in (None, 0, 2, 5) if equal else (None,):
            yield asked("dtaidistance", local, band, by_dtaidistance(a, b, local, band))
        for band in (None, 3) if equal else (None, abs(len(a) - len(b)) + 2):
            for step in STEPS:
                yield asked("dtw-python", local, band, by_dtw_python(a, b, local, band, step))


def open_end(a, b):
    """The second curve goes on after the first has ended: only the normalisable patterns allow an open end."""
    for step in ("symmetric2", "P1"):
        yield asked("dtw-python", "euclidean", None, by_dtw_python(a, b, "euclidean", None, step, open_end=True))


def cases():
    rng = np.random.default_rng(24)
    made = []
    for n, m, noise in [(24, 24, 0.0), (24, 24, 0.05), (30, 21, 0.0), (19, 33, 0.05), (15, 15, 0.5)]:
        a, b = curve(rng, n, noise), curve(rng, m, noise)
        made.append({"a": a, "b": b, "results": list(closed(a, b))})
    whole = curve(rng, 30, 0.01)
    part = whole[:18] + rng.normal(scale=0.01, size=(18, 3))
    made.append({"a": part, "b": whole, "results": list(open_end(part, whole))})
    return made
