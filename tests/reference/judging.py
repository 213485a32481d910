"""What all judges share: counting checks, calling the tool, finding orders, proving that a judge can fail."""

import argparse
import copy
import json
import math
import os
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
ORDERS = HERE / "orders"


class Checks:
    """Prints a line per check and counts them."""

    def __init__(self, quiet=False):
        self.passed, self.failed, self.quiet = 0, 0, quiet

    def that(self, name, ok, detail=""):
        self.passed, self.failed = self.passed + bool(ok), self.failed + (not ok)
        if not self.quiet:
            print(f"{'ok  ' if ok else 'FAIL'} {name}{': ' + detail if detail else ''}", flush=True)
        return ok

    def close(self, name, got, want, rel=0.0, least=0.0):
        """got and want differ by no more than rel of want or `least`; None equals only None."""
        if not isinstance(got, (int, float)) or want is None:
            return self.that(name, got is None and want is None, f"got {got}, want {want}")
        allowed = max(rel * abs(want), least)
        ok = math.isfinite(got) and abs(got - want) <= allowed
        off = abs(got - want) / abs(want) if want else abs(got - want)
        return self.that(name, ok, f"off by {off:.1e}" if ok else f"got {got!r}, want {want!r}, off by {off:.2e}, allowed {allowed:.2e}")

    def compare(self, name, expected, got):
        """expected: {key: (value, rel, least)}; got: the tool's JSON."""
        worst = self.failed
        for key, (want, rel, least) in expected.items():
            self.close(f"{name} {key}", value_at(got, key), want, rel, least)
        return self.failed == worst

    def absorb(self, lines):
        """Lines of (name, ok, detail) gathered in another process."""
        for line in lines:
            self.that(*line)

    def report(self):
        print(f"{self.passed} passed, {self.failed} failed")
        return 1 if self.failed or not self.passed else 0


class Gathered(Checks):
    """Checks made in a worker process, printed by the parent."""

    def __init__(self):
        super().__init__(quiet=True)
        self.lines = []

    def that(self, name, ok, detail=""):
        self.lines.append((name, bool(ok), detail))
        return super().that(name, ok, detail)


MISSING = "missing"


def value_at(table, key):
    """`section.area` of a nested or a flat table; MISSING where it is not there."""
    if key in table:
        return table[key]
    for part in key.split("."):
        if not isinstance(table, dict) or part not in table:
            return MISSING
        table = table[part]
    return table


def with_value(table, key, value):
    """A copy of a nested table with one value changed."""
    out = copy.deepcopy(table)
    *path, last = key.split(".")
    place = out
    for part in path:
        place = place.setdefault(part, {})
    place[last] = value
    return out


# --- the tool ------------------------------------------------------------------------------

def binary():
    path = os.environ.get("WHEELDRAFT")
    if not path or not os.access(path, os.X_OK):
        sys.exit("Set WHEELDRAFT to the wheeldraft binary to be judged.")
    return str(Path(path).resolve())


def run(*arguments, codes=(0, 1)):
    """Runs the tool; any other exit code is an error with the tool's own words."""
    done = subprocess.run([binary(), *map(str, arguments)], capture_output=True, text=True, timeout=300)
    if done.returncode not in codes:
        raise RuntimeError(f"wheeldraft {' '.join(map(str, arguments))} ended with {done.returncode}:\n{done.stderr}{done.stdout}")
    return done.stdout


def properties(order):
    """The tool's numbers for an order file or a parsed order."""
    if isinstance(order, dict):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "order.json"
            path.write_text(json.dumps(order), encoding="utf-8")
            return json.loads(run("properties", path, "--format", "json"))
    return json.loads(run("properties", order, "--format", "json"))


def named_orders(kind=""):
    return sorted((ORDERS / kind).glob("*.json"))


# --- proving that a judge can fail ------------------------------------------------------------

def can_fail(checks, name, expected):
    """Feeds the judge its own numbers (must pass), then each of them a little wrong (must fail, that one alone)."""
    good = {}
    for key, (want, _, _) in expected.items():
        good = with_value(good, key, want)
    trial = Checks(quiet=True)
    trial.compare(name, expected, good)
    checks.that(f"{name}: right numbers pass", trial.failed == 0 and trial.passed == len(expected))
    for key, (want, rel, least) in expected.items():
        step = 3 * max(rel * abs(want or 0), least) or 1.0
        for wrong in ((want or 0) + step, (want or 0) - step, MISSING, math.nan):
            trial = Checks(quiet=True)
            trial.compare(name, expected, with_value(good, key, wrong))
            if trial.failed != 1:
                checks.that(f"{name}: {key} = {wrong} is noticed", False)
                break
        else:
            checks.that(f"{name}: a wrong {key} is noticed", True)


def main(judge, selftest):
    """`judge_x.py [selftest]`; further options are the judge's own."""
    parser = argparse.ArgumentParser()
    parser.add_argument("mode", nargs="?", choices=["judge", "selftest"], default="judge")
    parser.add_argument("--all", action="store_true", help="all random orders instead of a sample")
    parser.add_argument("--sample", type=int, default=6, help="random orders to judge")
    options = parser.parse_args()
    checks = Checks()
    (selftest if options.mode == "selftest" else judge)(checks, options)
    sys.exit(checks.report())
