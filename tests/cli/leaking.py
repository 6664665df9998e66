"""How likely a closure leaks, worked out anew from the rule: for the tests that need to know.

A two-state hidden Markov model, forward: between entries a sound gasket fails by a Weibull hazard, a
test counts by Bayes, and a repair leaves (1 - success) of what was likely before; a new gasket or
closure begins a new age.
"""

import math

import standing

YEAR = 365.25
AGEING = {"door": (8, 1.5), "hatch": (8, 1.5), "scuttle": (8, 1.5), "manhole": (15, 1.5),
          "ventilator": (10, 1.5), "valve": (15, 1), "sidescuttle": (10, 1.5), "cover": (15, 1.5)}
SUCCESS = {"dogs": 0.9, "hinge": 0.9, "knife-edge": 0.9, "gasket": 0.95, "replaced": 0.95}
RENEWS = ("gasket", "replaced")


def years(earlier, later):
    return (later - earlier).days / YEAR


def known_age(closure, as_of):
    """Of the present gasket, years; None: not known. The events are those up to the as-of day."""
    days = [e["date"] for e in closure["events"] if e.get("action") in RENEWS]
    if closure["gasket"] and closure["gasket"] <= as_of:
        days.append(closure["gasket"])
    return years(max(days), as_of) if days else None


def supposed_age(closure, closures, as_of, eta):
    """Mean of the known ages of its kind, three or more, else half the characteristic life."""
    known = [known_age(c, as_of) for c in closures if c["kind"] == closure["kind"]]
    known = [age for age in known if age is not None]
    return math.fsum(known) / len(known) if len(known) >= 3 else eta / 2


class Gasket:
    """What is known of a closure on the way through its entries."""

    def __init__(self, ageing, born):
        self.eta, self.beta = ageing
        self.born = born  # (a day, age then in years)
        self.leaks, self.age = 0.0, 0.0

    def to(self, day):
        now = max(years(self.born[0], day) + self.born[1], 0.0)
        stays = math.exp((self.age / self.eta) ** self.beta - (now / self.eta) ** self.beta)
        self.leaks, self.age = 1 - (1 - self.leaks) * stays, now

    def renew(self, day):
        self.born, self.age = (day, 0.0), 0.0


def bayes(leaks, quality, result):
    sensitivity, specificity = quality[:2]
    fails = result == "fail"
    leaking = leaks * (sensitivity if fails else 1 - sensitivity)
    sound = (1 - leaks) * (1 - specificity if fails else specificity)
    return leaking / (leaking + sound) if leaking + sound > 0 else float(fails)


def entries_that_count(closure, as_of, methods):
    """With the fitting of the present gasket among them, if an older one counts."""
    fitted, events = closure["gasket"], closure["events"]
    if not fitted or fitted > as_of:
        return events, None
    by = standing.decided([e for e in events if e["kind"] == "test"], methods)
    if not (by and by["result"] == "fail" and by["date"] < fitted):
        return [e for e in events if e["date"] >= fitted], fitted
    before = [e for e in events if e["date"] < fitted]
    after = [e for e in events if e["date"] >= fitted]
    if after and after[0]["date"] == fitted and after[0].get("action") in RENEWS:
        after = after[1:]
    return [*before, {"kind": "repair", "action": "gasket", "date": fitted}, *after], None


def leaks(closure, closures, as_of, ageing=None, methods=None, success=None):
    """The probability, and of every failed test that of before and after it with the entry."""
    methods, success = methods or standing.METHODS, success or SUCCESS
    curve = (ageing or {}).get(closure["kind"], AGEING[closure["kind"]])
    entries, fitted = entries_that_count(closure, as_of, methods)
    if fitted:
        g = Gasket(curve, (fitted, 0.0))
    else:
        last = next((e["date"] for e in entries if e.get("action") in RENEWS), as_of)
        age = supposed_age(closure, closures, as_of, curve[0])
        if closure["events"]:
            age = max(age, years(closure["events"][0]["date"], last))
        if closure["fitted"] and closure["fitted"] <= last:
            age = min(age, years(closure["fitted"], last))
        g = Gasket(curve, (last, age))
    failed = []
    for e in entries:
        g.to(e["date"])
        if e["kind"] == "repair":
            g.leaks *= 1 - success[e["action"]]
            if e["action"] in RENEWS:
                g.renew(e["date"])
            continue
        before = g.leaks
        if e["result"] == "fail" and before == 0:
            before = 1 - success["gasket"]
        g.leaks = bayes(before, methods[e["method"]], e["result"])
        if e["result"] == "fail":
            failed.append((before, g.leaks))
    g.to(as_of)
    return g.leaks, failed
