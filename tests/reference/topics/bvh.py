"""BVH files written here, and the world positions of their joints by bvhio (single precision).

bvhio takes position channels as replacing OFFSET, so the files are such that this is the right reading: OFFSET of a joint
with position channels is zero or repeated by them. End sites have no joint in bvhio and are not compared.
"""

import tempfile

import bvhio
import numpy as np

LIBRARIES = ("numpy", "bvhio", "pyglm", "spatial-transform")
TOLERANCE = {"relative": 1e-6, "absolute": 1e-5}

POSITION = ("Xposition", "Yposition", "Zposition")


def rotation(order):
    return tuple(f"{axis}rotation" for axis in order)


def joint(name, offset, channels, *children):
    return name, offset, channels, children


def lines(node, indent=0):
    """The hierarchy of a joint; a leaf gets an end site."""
    name, offset, channels, children = node
    tab = "\t" * indent
    yield f"{tab}{'JOINT' if indent else 'ROOT'} {name}"
    yield tab + "{"
    yield f"{tab}\tOFFSET {' '.join(map(str, offset))}"
    yield f"{tab}\tCHANNELS {len(channels)} {' '.join(channels)}"
    for child in children:
        yield from lines(child, indent + 1)
    if not children:
        yield f"{tab}\tEnd Site"
        yield tab + "\t{"
        yield f"{tab}\t\tOFFSET 0 1 0"
        yield tab + "\t}"
    yield tab + "}"


def flat(node):
    yield node
    for child in node[3]:
        yield from flat(child)


def row(rng, root):
    """Random angles; positions that move with the root, and repeat OFFSET elsewhere."""
    values = []
    for index, (_, offset, channels, _) in enumerate(flat(root)):
        for channel in channels:
            if channel in POSITION:
                values.append(offset[POSITION.index(channel)] + rng.normal(0.0, 0.001 if index else 3.0))
            else:
                values.append(rng.uniform(-180.0, 180.0))
    return " ".join(f"{value:.6f}" for value in values)


def case(name, root, frames=4, seed=63):
    rng = np.random.default_rng(seed)
    head = ["HIERARCHY", *lines(root), "MOTION", f"Frames: {frames}", "Frame Time: 0.0083333"]
    text = "\n".join([*head, *(row(rng, root) for _ in range(frames))]) + "\n"
    with tempfile.NamedTemporaryFile("w", suffix=".bvh") as file:
        file.write(text)
        file.flush()
        read = bvhio.readAsHierarchy(file.name)
    points = {part[0]: [] for part in flat(root)}
    for frame in range(frames):
        read.loadPose(frame)
        for part, _, _ in read.layout():
            points[part.Name].append(list(part.PositionWorld))
    return {"name": name, "text": text, "points": points}


def chain(orders, prefix="", offset=(0.5, 4.0, -1.0)):
    """A limb with one joint per channel order."""
    node = joint(prefix + "tip", (0.0, 3.0, 0.0), ())
    for order in reversed(orders):
        node = joint(f"{prefix}turn{order}", offset, rotation(order), node)
    return node


def cases():
    orders = ["ZXY", "ZYX", "XYZ", "XZY", "YXZ", "YZX"]
    six = POSITION + rotation("ZXY")
    made = [case(f"order {order}", joint("hips", (0, 0, 0), six, chain([order]))) for order in orders]
    made.append(case("all orders in a chain", joint("hips", (0, 0, 0), six, chain(orders))))
    made.append(case("one and two channels", joint("hips", (0, 0, 0), six, chain(["Z", "XY", "Y"]))))
    turned = rotation("YXZ") + POSITION
    arm = joint("arm", (20.0, 1.0, -2.0), six, joint("hand", (25.0, 0.5, 0.0), turned, chain(["ZXY"])))
    made.append(case("six channels everywhere", joint("hips", (0.0, 95.0, 0.0), six, arm, chain(["XYZ"], "other_"))))
    only = joint("hips", (1.0, 2.0, 3.0), rotation("ZYX"), chain(["ZXY"]), joint("leg", (0.0, -9.0, 0.0), rotation("X")))
    made.append(case("a root that only turns", only))
    return made
