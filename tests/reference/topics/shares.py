"""Differences of two shares with Newcombe's hybrid score interval (1998, method 10), and Wilson's interval of each share, by
statsmodels.stats.proportion. `value` is the interval of after minus before."""

from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

LIBRARIES = ("statsmodels", "scipy")
TOLERANCE = {"relative": 1e-9, "absolute": 1e-12}
CONFIDENCE = 0.9


def cases():
    shares = ((0, 5), (5, 5), (1, 5), (3, 10), (9, 10), (56, 70), (48, 80), (0, 10), (120, 200))
    made = []
    for hits, trials in shares:
        low, high = proportion_confint(hits, trials, 1 - CONFIDENCE, method="wilson")
        made.append({"of": "wilson", "hits": hits, "trials": trials, "value": [float(low), float(high)]})
    for before in shares:
        for after in shares:
            low, high = confint_proportions_2indep(*after, *before, method="newcomb", compare="diff", alpha=1 - CONFIDENCE)
            made.append({"of": "newcombe", "before": before, "after": after, "value": [float(low), float(high)]})
    return made
