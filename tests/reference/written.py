#!/usr/bin/env python3
"""Reads what the project's writers write with outside readers, live.

    written.py [--samples COMMAND]     COMMAND: what writes the samples, default "cargo demo-data --samples"

Each sample lies beside a CSV of the points that were given to the writer. C3D: ezc3d and c3d, every point, gap and
name. BVH: bvhio (single precision), and forward kinematics in numpy. TRC: split here at tabs, by its description.
"""

import argparse
import csv
import pathlib
import shlex
import subprocess
import sys
import tempfile

import numpy as np

from recorded import PROJECT, by_bvhio, differ, kinematics
from topics import c3d as outside_c3d

# ezc3d refuses big-endian files.
UNREADABLE = {("ezc3d", "sgi-floats.c3d"), ("ezc3d", "sgi-integers.c3d")}
# Both readers give the names of the first parameter LABELS only.
NAMES_KNOWN = 255


def table(rows, first_column):
    """Points [track, row, axis] of rows of cells."""
    values = np.array([[float(cell) if cell else np.nan for cell in row[first_column:]] for row in rows])
    return values.reshape(len(rows), -1, 3).transpose(1, 0, 2)


def given(path):
    """Names and points that the writer was given."""
    with open(path.with_suffix(".csv"), newline="") as file:
        head, *rows = csv.reader(file)
    return [name.removesuffix("_X") for name in head[1::3]], table(rows, 1)


def compare_c3d(path):
    names, wrote = given(path)
    found = []
    # Words are steps of the greatest coordinate / 32000; floats have 24 bits.
    relative, absolute = (0.0, 0.51 * np.nanmax(np.abs(wrote)) / 32000) if "integers" in path.name else (1e-7, 1e-9)
    for reader, read in outside_c3d.READERS.items():
        if (reader, path.name) in UNREADABLE:
            continue
        labels, rate, _, points = read(path.read_bytes())
        if list(labels)[:NAMES_KNOWN] != names[:NAMES_KNOWN] or rate != 120.0:
            found.append(f"{reader}: other names or rate")
        found += differ(reader, wrote, points.transpose(1, 0, 2), relative, absolute)
    return found


def compare_bvh(path):
    names, wrote = given(path)
    found = []
    for reader, theirs in [("numpy", kinematics(path)), ("bvhio", by_bvhio(path, wrote.shape[1]))]:
        if not set(names) <= set(theirs):
            found.append(f"{reader}: no {set(names) - set(theirs)}")
            continue
        found += differ(reader, wrote, np.array([theirs[name] for name in names]), 0.0, 1e-3)
    return found


def compare_trc(path):
    names, wrote = given(path)
    lines = [line.split("\t") for line in path.read_text().splitlines()]
    rows, columns = int(lines[2][2]), 2 + 3 * int(lines[2][3])
    body = [line[:columns] for line in lines[6:]]
    found = [] if lines[3][2::3] == names and len(body) == rows else ["other names or rows"]
    return found + differ("tabs", wrote, table(body, 2), 0.0, 0.51e-6)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--samples", default="cargo demo-data --samples", metavar="COMMAND")
    command = shlex.split(parser.parse_args().samples)
    compare = {".c3d": compare_c3d, ".bvh": compare_bvh, ".trc": compare_trc}
    agreed = True
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([*command, folder], cwd=PROJECT, check=True, capture_output=True)
        for path in sorted(pathlib.Path(folder).iterdir()):
            if path.suffix in compare:
                found = compare[path.suffix](path)
                agreed = agreed and not found
                print("\n".join(f"{path.name}: {line}" for line in found) or f"{path.name}: agrees")
    return 0 if agreed else 1


if __name__ == "__main__":
    sys.exit(main())
