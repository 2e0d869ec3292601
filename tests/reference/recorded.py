#!/usr/bin/env python3
"""Compares the tracks that `cargo inspect --tracks` reads from real recordings with outside readers, live.

    recorded.py [--inspect COMMAND]     COMMAND: what runs inspect, default "cargo inspect"

C3D: ezc3d and c3d, every point, gap and name. BVH: bvhio (single precision), and forward kinematics in numpy written
here. The recordings are not part of the project: without a folder ../shared/data beside it nothing is compared.
"""

import argparse
import csv
import pathlib
import shlex
import subprocess
import sys
import tempfile

import bvhio
import numpy as np

from topics import c3d as outside_c3d

PROJECT = pathlib.Path(__file__).resolve().parents[2]
DATA = PROJECT.parent / "shared" / "data"


def tracks(command, path):
    """Names in file order and points [track, row, axis], in the file's own unit (scale 1)."""
    with tempfile.TemporaryDirectory() as folder:
        out = pathlib.Path(folder) / "tracks.csv"
        line = [*command, str(path), "--scale", "1", "--tracks", str(out)]
        done = subprocess.run(line, cwd=PROJECT, capture_output=True, text=True)
        if done.returncode not in (0, 2):  # 2: read, but no swing in it
            raise SystemExit(f"{shlex.join(line)}: exit code {done.returncode}\n{done.stderr}")
        with open(out, newline="") as file:
            head, *rows = csv.reader(file)
    names = [name.removesuffix(" x") for name in head[2::3]]
    values = np.array([[float(cell) if cell else np.nan for cell in row[2:]] for row in rows])
    return names, values.reshape(len(rows), -1, 3).transpose(1, 0, 2)


def differ(what, ours, theirs, relative, absolute=0.0):
    """One line per kind of difference."""
    if ours.shape != theirs.shape:
        return [f"{what}: {ours.shape} tracks, rows, axes; {theirs.shape} there"]
    found = []
    gaps = np.isnan(ours).any(axis=2) != np.isnan(theirs).any(axis=2)
    if gaps.any():
        found.append(f"{what}: {gaps.sum()} points are a gap on one side only")
    off = np.abs(ours - theirs) - relative * np.abs(theirs)
    if np.nanmax(off, initial=0.0) > absolute:
        found.append(f"{what}: up to {np.nanmax(off)} apart")
    return found


def compare_c3d(path, command):
    names, ours = tracks(command, path)
    found = []
    for reader, read in outside_c3d.READERS.items():
        labels, _, _, points = read(path.read_bytes())
        if list(labels) != names:
            found.append(f"{reader}: other names")
        # py-c3d multiplies words by the scale in single precision.
        found += differ(reader, ours, points.transpose(1, 0, 2), 1e-7)
    return found


def turn(axis, degrees):
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    first, second = {"X": (1, 2), "Y": (2, 0), "Z": (0, 1)}[axis]
    matrix = np.eye(3)
    matrix[[first, second], [first, second]] = c
    matrix[first, second], matrix[second, first] = -s, s
    return matrix


def kinematics(path):
    """World positions of all joints and end sites, in numpy. For plain files: one root, OFFSET zero at the root."""
    hierarchy, motion = path.read_text().split("MOTION")
    words, joints, open_joints = iter(hierarchy.split()), [], []
    for word in words:
        if word in ("ROOT", "JOINT", "End"):
            name, parent = next(words), open_joints[-1] if open_joints else None
            joints.append({"name": f"{joints[parent]['name']} end" if word == "End" else name, "parent": parent, "channels": []})
        elif word == "{":
            open_joints.append(len(joints) - 1)
        elif word == "}":
            open_joints.pop()
        elif word == "OFFSET":
            joints[open_joints[-1]]["offset"] = np.array([float(next(words)) for _ in range(3)])
        elif word == "CHANNELS":
            joints[open_joints[-1]]["channels"] = [next(words) for _ in range(int(next(words)))]
    points = {joint["name"]: [] for joint in joints}
    for line in motion.strip().splitlines()[2:]:
        values, world = iter(map(float, line.split())), []
        for joint in joints:
            shift, rotation = joint["offset"].copy(), np.eye(3)
            for axis, *kind in joint["channels"]:
                if kind == list("position"):
                    shift["XYZ".index(axis)] += next(values)
                else:
                    rotation = rotation @ turn(axis, next(values))
            at, turned = world[joint["parent"]] if joint["parent"] is not None else (np.zeros(3), np.eye(3))
            world.append((at + turned @ shift, turned @ rotation))
            points[joint["name"]].append(world[-1][0])
    return points


def by_bvhio(path, rows):
    root = bvhio.readAsHierarchy(str(path))
    points = {}
    for row in range(rows):
        root.loadPose(row)
        for joint, _, _ in root.layout():
            points.setdefault(joint.Name, []).append(list(joint.PositionWorld))
    return points


def compare_bvh(path, command):
    names, ours = tracks(command, path)
    found = []
    for reader, theirs, absolute in [("numpy", kinematics(path), 1e-10), ("bvhio", by_bvhio(path, ours.shape[1]), 1e-4)]:
        shared = [name for name in names if name in theirs]
        if len(shared) != len(theirs) or (reader == "numpy" and shared != names):
            found.append(f"{reader}: other names")
        index = [names.index(name) for name in shared]
        found += differ(reader, ours[index], np.array([theirs[name] for name in shared]), 0.0, absolute)
    return found


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--inspect", default="cargo inspect", metavar="COMMAND")
    command = shlex.split(parser.parse_args().inspect)
    if not DATA.is_dir():
        print("skipped: no shared data")
        return 0
    agreed = True
    for path in sorted([*DATA.glob("*/*.c3d"), *DATA.glob("*/*.bvh")]):
        found = (compare_c3d if path.suffix == ".c3d" else compare_bvh)(path, command)
        agreed = agreed and not found
        print("\n".join(f"{path.name}: {line}" for line in found) or f"{path.name}: agrees")
    return 0 if agreed else 1


if __name__ == "__main__":
    sys.exit(main())
