"""One round of the peers that are written for Python, on the data of cargo measure: JSON of milliseconds by name."""

import io, json, pathlib, statistics, sys, time

import dtw as dtw_python
import ezc3d
import numpy as np
import tslearn.barycenters, tslearn.metrics
from dtaidistance import dtw, dtw_barycenter, dtw_cc, dtw_ndim

DATA = pathlib.Path(sys.argv[1])


def timed(work, rounds=9):
    work()
    repeat = 1
    while repeat < 4096:
        start = time.perf_counter()
        for _ in range(repeat):
            work()
        if time.perf_counter() - start > 0.004:
            break
        repeat *= 2
    found = []
    for _ in range(rounds):
        start = time.perf_counter()
        for _ in range(repeat):
            work()
        found.append((time.perf_counter() - start) / repeat * 1e3)
    return statistics.median(found)


ms, found = {}, {}


def loop(query, paths):
    best, at = float("inf"), -1
    for number, path in enumerate(paths):
        cost = dtw_ndim.distance_fast(query, path, window=14, max_dist=None if at < 0 else best)
        if cost < best:
            best, at = cost, number
    return at


def bare(query, paths):
    best, at = 0.0, -1
    for number, path in enumerate(paths):
        cost = dtw_cc.distance_ndim(query, path, window=14, max_dist=best)
        if at < 0 or cost < best:
            best, at = cost, number
    return at


def warping():
    for kind in ["smooth", "noisy", "like"]:
        for n in [250, 1000]:
            a, b = np.fromfile(DATA / f"pair-{kind}-{n}.f64").reshape(2, n, 3)
            name = f"{kind} {n}"
            ms[f"distance {name}"] = timed(lambda: dtw_ndim.distance_fast(a, b, use_pruning=False))
            ms[f"pruned {name}"] = timed(lambda: dtw_ndim.distance_fast(a, b, use_pruning=True))
            ms[f"path {name}"] = timed(lambda: dtw.warping_path_fast(a, b, use_ndim=True))
            ms[f"tslearn {name}"] = timed(lambda: tslearn.metrics.dtw(a, b, be="numpy"), 3)
            ms[f"dtw-python {name}"] = timed(lambda: dtw_python.dtw(a, b, distance_only=True, step_pattern="symmetric1"), 3)
            found[name] = dtw_ndim.distance_fast(a, b)


def nearest():
    for kind in ["similar", "unrelated"]:
        numbers = np.fromfile(DATA / f"shelf-{kind}.f32", dtype="<f4").astype(float).reshape(-1, 128, 3)
        query, paths = numbers[0].copy(), [np.ascontiguousarray(path) for path in numbers[1:]]
        brute = [dtw_ndim.distance_fast(query, path, window=14) for path in paths]
        found[kind] = int(np.argmin(brute))
        ms[f"nearest {kind}"] = timed(lambda: loop(query, paths), 3)
        ms[f"bare {kind}"] = timed(lambda: bare(query, paths), 3)
        found[f"bare {kind}"] = bare(query, paths)


def average_of():
    curves = np.fromfile(DATA / "curves.f64").reshape(20, 200, 3)
    series = [curve.copy() for curve in curves]
    average = lambda: dtw_barycenter.dba_loop(series, c=curves[0].copy(), max_it=10, thr=0, use_c=True)
    ms["average"] = timed(average, 3)
    found["average"] = float(np.mean([dtw_ndim.distance_fast(average(), curve) ** 2 for curve in series]))


def c3d():
    ms["c3d"] = timed(lambda: ezc3d.c3d(str(DATA / "points.c3d")), 5)
    points = ezc3d.c3d(str(DATA / "points.c3d"))["data"]["points"]
    found["c3d"] = int(points.shape[1] * points.shape[2])


PARTS = {"warping": warping, "nearest": nearest, "average": average_of, "c3d": c3d, "csv": lambda: None}
for part in sys.argv[2:]:
    PARTS[part]()
json.dump({"ms": ms, "found": found}, sys.stdout)
