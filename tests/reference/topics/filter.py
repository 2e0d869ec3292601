"""Zero-lag Butterworth: scipy.signal.butter at the corrected cut-off, then filtfilt with odd extension.

The correction for two passes is Winter's: C = (2^(1/2) - 1)^(1/4) on the warped frequency tan(pi fc / fs).
"""

import math

import numpy as np
from scipy import signal

LIBRARIES = ("numpy", "scipy")
TOLERANCE = {"relative": 1e-9, "absolute": 1e-12}

# fc, fs in Hz
RATES = [(6.0, 60.0), (10.0, 100.0), (10.0, 240.0), (15.0, 240.0), (12.0, 250.0), (20.0, 500.0)]
SCIPY_PADLEN = 9  # filtfilt's own default for second order: 3 * max(len(a), len(b))
SAMPLES = 64


def corrected(fc, fs):
    """The cut-off whose filter, run twice, has amplitude 1/sqrt(2) at fc."""
    c = (math.sqrt(2.0) - 1.0) ** 0.25
    return math.atan(math.tan(math.pi * fc / fs) / c) * fs / math.pi


def noisy(rng, fs):
    t = np.arange(SAMPLES) / fs
    smooth = 0.5 * np.sin(2.0 * np.pi * 1.3 * t) + 0.2 * np.cos(2.0 * np.pi * 4.1 * t) + 0.8 * t
    return smooth + rng.normal(scale=0.01, size=SAMPLES)


def case(fc, fs, x):
    fcorr = corrected(fc, fs)
    b, a = signal.butter(2, fcorr, fs=fs)
    _, h = signal.freqz(b, a, worN=[fc], fs=fs)

    def filtered(padlen):
        return signal.filtfilt(b, a, x, method="pad", padtype="odd", padlen=padlen)

    return {
        "fc_hz": fc,
        "fs_hz": fs,
        "corrected_hz": fcorr,
        "b": b,
        "a": a,
        "amplitude_at_fc_after_both_passes": float(abs(h[0]) ** 2),
        "x": x,
        "padlen": SCIPY_PADLEN,
        "y": filtered(SCIPY_PADLEN),
        "other_padlen": [{"padlen": n, "y": filtered(n)} for n in (0, 1, 24, SAMPLES - 1)],
    }


def cases():
    rng = np.random.default_rng(20)
    return [case(fc, fs, noisy(rng, fs)) for fc, fs in RATES]
