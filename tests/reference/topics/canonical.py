"""Canonical JSON (RFC 8785) by rfc8785, and its SHA-256 by hashlib of Python. `text` is JSON as it might be written."""

import hashlib
import json

import rfc8785

LIBRARIES = ("rfc8785",)
TOLERANCE = {"relative": 0.0, "absolute": 0.0}

TEXTS = (
    "{}",
    '{"b":1,"a":[true,false,null],"":{}}',
    '{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001,-0,1e21,123456789012345680000]}',
    '{"n":[0.1,1.50E+2,5e-324,1.7976931348623157e308,9007199254740993,0.000001,0.0000001]}',
    '{"text":"\\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"\\/\\b\\f\\r\\t\\u007f"}',
    '{"\\u20ac":1,"\\r":2,"\\ufb33":3,"1":4,"\\ud83d\\ude00":5,"\\u0080":6,"\\u00f6":7}',
    '{"setups":[{"name":"bay 1","corrections":{"unit":"mm","up":"+z"}}],"thresholds":{"x":0.03}}',
)


def cases():
    made = []
    for text in TEXTS:
        canonical = rfc8785.dumps(json.loads(text, parse_int=float))
        made.append({"text": text, "canonical": canonical.decode(), "sha256": hashlib.sha256(canonical).hexdigest()})
    return made
