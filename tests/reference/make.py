#!/usr/bin/env python3
"""Remakes the reference vectors with the pinned libraries, or checks the stored ones against a remake.

    make.py [TOPIC ...]           remake vectors/TOPIC.json (all topics without an argument)
    make.py --check [TOPIC ...]   remake in memory, compare with what is stored, exit 1 on any difference

README.md in this folder says what a topic is and how to add one.
"""

import argparse
import importlib
import importlib.metadata
import json
import math
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
VECTORS = HERE / "vectors"
SHOWN = 10  # differences printed per topic; the rest is counted


def topics():
    return sorted(path.stem for path in (HERE / "topics").glob("*.py") if path.stem != "__init__")


def plain(value):
    """Numpy and Python values as JSON holds them: NaN (a gap) is null, an infinity is refused."""
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, float):
        if math.isinf(value):
            raise ValueError("an infinity in a vector")
        return None if math.isnan(value) else value
    return value


def remake(name):
    topic = importlib.import_module(f"topics.{name}")
    return {
        "made_by": f"tests/reference/topics/{name}.py",
        "python_libraries": {library: importlib.metadata.version(library) for library in topic.LIBRARIES},
        "tolerance": topic.TOLERANCE,
        "cases": plain(topic.cases()),
    }


def write(name, vectors):
    """One case per line, so that a change shows in a diff as the cases it touches."""
    head = {key: value for key, value in vectors.items() if key != "cases"}
    lines = [f"{json.dumps(key)}: {json.dumps(value)}," for key, value in head.items()]
    cases = ",\n".join(json.dumps(case, allow_nan=False, separators=(",", ":")) for case in vectors["cases"])
    (VECTORS / f"{name}.json").write_text("{\n" + "\n".join(lines) + f'\n"cases": [\n{cases}\n]\n}}\n')


def number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def differences(stored, remade, tolerance, place=""):
    """Yields a line per difference: floats beyond the topic's tolerance, everything else that is not equal."""
    if isinstance(stored, dict) and isinstance(remade, dict):
        for key in sorted(stored.keys() | remade.keys()):
            if key not in stored or key not in remade:
                yield f"{place}.{key}: only in the {'stored' if key in stored else 'remade'} vectors"
            else:
                yield from differences(stored[key], remade[key], tolerance, f"{place}.{key}")
    elif isinstance(stored, list) and isinstance(remade, list):
        if len(stored) != len(remade):
            yield f"{place}: {len(stored)} stored, {len(remade)} remade"
        for index, (left, right) in enumerate(zip(stored, remade)):
            yield from differences(left, right, tolerance, f"{place}[{index}]")
    elif number(stored) and number(remade) and (isinstance(stored, float) or isinstance(remade, float)):
        allowed = tolerance["absolute"] + tolerance["relative"] * abs(remade)
        if abs(stored - remade) > allowed:
            yield f"{place}: {stored!r} stored, {remade!r} remade"
    elif stored != remade:
        yield f"{place}: {stored!r} stored, {remade!r} remade"


def check(name, remade):
    path = VECTORS / f"{name}.json"
    if not path.exists():
        print(f"{name}: {path.name} is missing; run make.py {name}")
        return False
    found = list(differences(json.loads(path.read_text()), remade, remade["tolerance"]))
    for line in found[:SHOWN]:
        print(f"{name}{line}")
    if len(found) > SHOWN:
        print(f"{name}: and {len(found) - SHOWN} more differences")
    if not found:
        print(f"{name}: {len(remade['cases'])} cases agree")
    return not found


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("topics", nargs="*", metavar="TOPIC", help=", ".join(topics()))
    parser.add_argument("--check", action="store_true", help="compare with the stored vectors, write nothing")
    options = parser.parse_args()
    unknown = set(options.topics) - set(topics())
    if unknown:
        parser.error(f"no such topic: {', '.join(sorted(unknown))}")
    VECTORS.mkdir(exist_ok=True)
    agreed = True
    for name in options.topics or topics():
        remade = remake(name)
        if options.check:
            agreed = check(name, remade) and agreed
        else:
            write(name, remade)
            print(f"{name}: {len(remade['cases'])} cases written")
    return 0 if agreed else 1


if __name__ == "__main__":
    sys.exit(main())
