"""C3D files written here byte by byte, and what two outside readers find in them: ezc3d and c3d (py-c3d).

The layout follows the C3D user guide; nothing of the libraries writes. A file is stored as chunks [hexadecimal, repeats].
Per reader: labels (up to 255: neither joins LABELS2), rate, frame numbers, points of the rows in `rows` (a missing point
is a gap), and the number of missing points in all rows. A reader that refuses a file, or is known to misread it, is left
out of that case by name, with the reason in `left_out`.
"""

import io
import struct
import tempfile
import warnings

import c3d
import ezc3d
import numpy as np

LIBRARIES = ("numpy", "ezc3d", "c3d")
TOLERANCE = {"relative": 1e-12, "absolute": 1e-12}

INTEL, DEC, SGI = 84, 85, 86
MISSING = (7.0, 8.0, 9.0, -1.0)  # stale coordinates: they must not count


class Writer:
    """Numbers of one processor."""

    def __init__(self, processor, lower=False):
        self.processor = processor
        self.lower = lower
        self.order = ">" if processor == SGI else "<"

    def word(self, value):
        return struct.pack(self.order + "H", value & 0xFFFF)

    def real(self, value):
        if self.processor != DEC:
            return struct.pack(self.order + "f", value)
        # VAX F: four times the IEEE value, halves swapped; zero is zero.
        low, high = struct.unpack("<HH", struct.pack("<f", 4.0 * value)) if value else (0, 0)
        return struct.pack("<HH", high, low)

    def parameter(self, kind, values):
        """Element type, dimensions and bytes."""
        if kind == "text":
            width = max(map(len, values))
            return -1, [width, len(values)], "".join(value.ljust(width) for value in values).encode()
        if kind == "byte":
            return 1, [], bytes(values)
        pack, number = (self.word, 2) if kind == "words" else (self.real, 4)
        data = b"".join(pack(value) for value in np.ravel(values))
        # FORTRAN order: the first dimension runs fastest.
        dims = [] if np.size(values) == 1 else list(reversed(np.shape(values)))
        return number, dims, data

    def record(self, identity, name, body, odd):
        name = name.lower() if self.lower else name
        length = -len(name) if odd else len(name)  # negative: locked
        return struct.pack("bb", length, identity) + name.encode() + self.word(2 + len(body)) + body

    def section(self, parameters, odd):
        groups = list(dict.fromkeys(group for group, _ in parameters))
        heads = [self.record(-1 - index, name, b"\0", odd) for index, name in enumerate(groups)]
        records = []
        for (group, name), (kind, values) in parameters.items():
            element, dims, data = self.parameter(kind, values)
            body = struct.pack("bB", element, len(dims)) + bytes(dims) + data + b"\0"
            records.append(self.record(1 + groups.index(group), name, body, odd))
        body = b"".join(records + heads if odd else heads + records) + b"\0\0"
        blocks = -(-(4 + len(body)) // 512)
        return (bytes([1, 0x50, blocks, self.processor]) + body).ljust(512 * blocks, b"\0")

    def header(self, points, analog, samples, first, frames, scale, data_block, rate, events):
        head = bytearray(512)
        head[0:2] = 2, 0x50
        for offset, value in [(2, points), (4, analog), (6, first), (8, min(first + frames - 1, 65535)), (10, 10)]:
            head[offset : offset + 2] = self.word(value)
        head[12:16] = self.real(scale)
        head[16:18] = self.word(data_block)
        head[18:20] = self.word(samples)
        head[20:24] = self.real(rate)
        if events:
            head[298:302] = self.word(12345) + self.word(len(events))
        for index, (time, label) in enumerate(events):
            head[304 + 4 * index : 308 + 4 * index] = self.real(time)
            head[376 + index] = 1
            head[396 + 4 * index : 400 + 4 * index] = label.ljust(4).encode()
        return bytes(head)

    def frame(self, points, analog, scale):
        element = self.real if scale < 0 else lambda value: self.word(int(value))
        values = [value for x, y, z, residual in points for value in (x, y, z, residual)]
        return b"".join(element(value) for value in [*values, *analog])


def build(processor, frames, repeats=1, scale=-0.1, labels=None, rate=100.0, first=1, samples=0, analog=0, events=(),
          odd=False, lower=False, more=None):
    """Chunks of a file. `frames` are repeated as a whole; coordinates of an integer file are the words themselves."""
    writer = Writer(processor, lower)
    points, count = len(frames[0]), len(frames) * repeats
    labels = labels or [f"M{index + 1}" for index in range(points)]
    parameters = {
        ("POINT", "USED"): ("words", points),
        ("POINT", "SCALE"): ("reals", scale),
        ("POINT", "RATE"): ("reals", rate),
        ("POINT", "DATA_START"): ("words", 0),
        ("POINT", "FRAMES"): ("words", min(count, 65535)),
        ("POINT", "LABELS"): ("text", labels[:255]),
        ("POINT", "DESCRIPTIONS"): ("text", ["-"] * min(points, 255)),
        ("POINT", "UNITS"): ("text", ["mm"]),
        ("ANALOG", "USED"): ("words", analog),
        ("ANALOG", "RATE"): ("reals", rate * samples),
        ("ANALOG", "GEN_SCALE"): ("reals", 1.0),
        ("ANALOG", "SCALE"): ("reals", [1.0] * analog),
        ("ANALOG", "OFFSET"): ("words", [0] * analog),
        ("ANALOG", "LABELS"): ("text", [f"A{index + 1}" for index in range(analog)]),
        ("ANALOG", "DESCRIPTIONS"): ("text", ["-"] * analog),
        ("ANALOG", "UNITS"): ("text", ["V"] * analog),
        ("FORCE_PLATFORM", "USED"): ("words", 0),
    }
    if not analog:
        parameters = {key: value for key, value in parameters.items() if key[0] != "ANALOG" or key[1] == "USED"}
    if len(labels) > 255:
        parameters["POINT", "LABELS2"] = ("text", labels[255:])
    parameters.update(more or {})
    blocks = len(writer.section(parameters, odd)) // 512
    parameters["POINT", "DATA_START"] = ("words", 2 + blocks)
    values = analog * samples
    head = writer.header(points, values, samples, first, count, scale, 2 + blocks, rate, events)
    data = b"".join(writer.frame(frame, [float(n) for n in range(values)], scale) for frame in frames)
    chunks = [[head + writer.section(parameters, odd), 1], [data, repeats]]
    padding = -len(data) * repeats % 512
    return chunks + ([[b"\0" * padding, 1]] if padding else [])


def by_ezc3d(content):
    with tempfile.NamedTemporaryFile(suffix=".c3d") as file:
        file.write(content)
        file.flush()
        read = ezc3d.c3d(file.name)
    points = read["data"]["points"][:3].transpose(2, 1, 0).copy()
    points[read["data"]["meta_points"]["residuals"][0].T < 0] = np.nan
    header = read["header"]["points"]
    labels = read["parameters"]["POINT"]["LABELS"]["value"]
    return labels, header["frame_rate"], header["first_frame"] + 1, points


def by_c3d(content):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        reader = c3d.Reader(io.BytesIO(content))
        values = np.array([points for _, points, _ in reader.read_frames()])
    points = values[:, :, :3].astype(float)
    points[values[:, :, 3] < 0] = np.nan
    labels = [label.strip() for label in reader.point_labels]
    return labels, float(reader.point_rate), reader.first_frame, points


READERS = {"ezc3d": by_ezc3d, "c3d": by_c3d}


def case(name, chunks, rows=None, left_out=None):
    content = b"".join(data * repeats for data, repeats in chunks)
    found = {}
    for reader, read in READERS.items():
        if reader in (left_out or {}):
            continue
        labels, rate, first, points = read(content)
        shown = rows or range(len(points))
        found[reader] = {
            "labels": labels[:255],
            "rate_hz": rate,
            "first_frame": first,
            "frames": len(points),
            "missing": int(np.isnan(points).any(axis=2).sum()),
            "points": [points[row] for row in shown],
        }
    chunks = [[data.hex(), repeats] for data, repeats in chunks]
    return {"name": name, "file": chunks, "rows": rows, "left_out": left_out or {}, "readers": found}


def few(integers):
    """Five frames of four points, some missing, residuals and cameras in the fourth value."""
    rng = np.random.default_rng(73)
    frames = []
    for row in range(5):
        points = rng.integers(-32000, 32000, (4, 3)) if integers else rng.normal(0.0, 1500.0, (4, 3))
        fourth = [0.0, 5.0, 2565.0, 0.0]
        frames.append([(*point, residual) for point, residual in zip(points.tolist(), fourth)])
        if row % 2:
            frames[-1][row % 4] = MISSING
    return frames


def many(count):
    """Frames of one moving point as words, 64 to a block: ezc3d takes the padding of the last block for frames."""
    return [[(row, -row, 7, 0)] for row in range(count)]


NOT_SGI = {"ezc3d": "does not read processor type 86"}


def cases():
    made = []
    for processor, name, left_out in [(INTEL, "Intel", {}), (DEC, "DEC", {}), (SGI, "SGI", NOT_SGI)]:
        made.append(case(f"{name} floats", build(processor, few(False)), left_out=left_out))
        made.append(case(f"{name} integers", build(processor, few(True), scale=0.0625), left_out=left_out))
    labels = [f"P{index + 1}" for index in range(300)]
    wide = [[(float(index), row + 0.5, -float(index), 0.0) for index in range(300)] for row in range(2)]
    made.append(case("300 names in LABELS and LABELS2", build(INTEL, wide, labels=labels)))
    rows = [0, 1, 99, 40000, 65534, 65535, 70015]
    trial = {("TRIAL", "ACTUAL_START_FIELD"): ("words", [1, 0]), ("TRIAL", "ACTUAL_END_FIELD"): ("words", [4480, 1])}
    long = {("POINT", "LONG_FRAMES"): ("reals", 70016.0)}
    made.append(case("70016 frames, by TRIAL", build(INTEL, many(64), 1094, scale=0.5, more=trial), rows))
    made.append(case("70016 frames, by TRIAL and LONG_FRAMES", build(INTEL, many(64), 1094, scale=0.5, more=trial | long), rows))
    made.append(case("40000 frames", build(INTEL, many(64), 625, scale=0.5), [0, 32767, 32768, 39999]))
    made.append(case("analog between the points", build(INTEL, few(False), analog=3, samples=4)))
    made.append(case("analog between the points, integers", build(INTEL, few(True), scale=0.25, analog=3, samples=4)))
    event = {
        ("EVENT", "USED"): ("words", 2),
        ("EVENT", "CONTEXTS"): ("text", ["General", "Right"]),
        ("EVENT", "LABELS"): ("text", ["Impact", "Foot Strike"]),
        ("EVENT", "TIMES"): ("reals", [[1.0, 1.5], [0.0, 2.25]]),
    }
    made.append(case("EVENT group", build(INTEL, few(False), first=101, more=event)))
    made.append(case("header events", build(INTEL, few(False), events=[(0.015625, "TOP"), (0.03125, "IMP")])))
    made.append(case("parameters before groups, locked", build(INTEL, few(False), odd=True)))
    lower = build(INTEL, few(False), lower=True)
    made.append(case("names in lower case", lower, left_out={"ezc3d": "finds no parameters"}))
    used = build(INTEL, few(False), more={("POINT", "USED"): ("byte", [4])})
    made.append(case("USED stored as a byte", used, left_out={"c3d": "reads a word there"}))
    return made
