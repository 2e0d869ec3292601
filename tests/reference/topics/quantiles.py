"""Quantiles of Student's t (any degrees of freedom) and chi-square, and Wilson's interval of a share, by scipy.stats."""

from scipy import stats

LIBRARIES = ("scipy",)
TOLERANCE = {"relative": 1e-9, "absolute": 1e-12}


def cases():
    freedoms = (1, 1.5, 2, 3.7, 4, 6, 8.25, 9, 14, 19, 57.3, 400)
    made = []
    for freedom in freedoms:
        for share in (0.6, 0.9, 0.95, 0.975, 0.995):
            made.append({"of": "t", "share": share, "freedom": freedom, "value": stats.t.ppf(share, freedom)})
        for share in (0.005, 0.025, 0.05, 0.5, 0.9, 0.975):
            made.append({"of": "chi-square", "share": share, "freedom": freedom, "value": stats.chi2.ppf(share, freedom)})
    for hits, trials in ((0, 5), (1, 5), (5, 5), (43, 50), (7, 500), (450, 500)):
        for confidence in (0.9, 0.95):
            interval = stats.binomtest(hits, trials).proportion_ci(confidence, method="wilson")
            value = [interval.low, interval.high]
            made.append({"of": "wilson", "hits": hits, "trials": trials, "confidence": confidence, "value": value})
    return made
