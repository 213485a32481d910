"""What the judges of solids as files share: which orders they take, how a file is asked for, and how a refusal counts."""

import json
import os
import random
import subprocess
import tempfile
from pathlib import Path

import judging
import random_orders
from order_model import resolve

MANY = 100                       # grooves of a wheel that take a library long
MOST_SECONDS = 300


class Wrong(Exception):
    """The file does not hold what it must."""


def write(order, folder, ending, *more):
    """The file of an order's solid, or None and the words with which it was refused."""
    source, target = Path(folder) / "order.json", Path(folder) / f"wheel.{ending}"
    source.write_text(json.dumps(order), encoding="utf-8")
    done = subprocess.run([judging.binary(), "solid", source, "-o", target, *more], capture_output=True, text=True, timeout=MOST_SECONDS)
    if done.returncode == 2:
        if target.exists():
            raise Wrong("refused, and a file left behind")
        return None, done.stderr
    return target, done.stderr


def lines_of(name, order, ending, inspect):
    """The lines on one order: its refusal in words, or what `inspect(lines, path, folder)` finds."""
    lines = judging.Gathered()
    try:
        with tempfile.TemporaryDirectory() as folder:
            path, words = write(order, folder, ending)
            if path is None:
                grooved = bool(resolve(order, name).groove_sets())
                lines.that(f"{name} refused in words", grooved and "cannot be made as a solid" in words, words.splitlines()[0] if words else "")
            else:
                inspect(lines, path, folder)
    except Exception as fault:      # a library or tool that gives up is a failed check, never a skipped one
        lines.that(name, False, f"{type(fault).__name__}: {fault}")
    return lines.lines


def orders(options, variable):
    """Named and random orders, (name, order), and whether one is light: so many random ones as the environment's variable says, and then all are."""
    count = int(os.environ.get(variable, "0"))
    named = [(p.stem, json.loads(p.read_text(encoding="utf-8"))) for p in judging.named_orders() + judging.named_orders("limits")]
    numbers = random.SystemRandom().sample(range(random_orders.COUNT), min(count, random_orders.COUNT))
    chosen = [(f"random-{i:03}", random_orders.random_order(i)) for i in sorted(numbers)] if count else random_orders.chosen(options)
    return named + chosen, lambda order: count or sum(len(g.angles()) for g in resolve(order).groove_sets()) <= MANY


def is_refused(lines):
    """Whether the lines on an order are those of its refusal."""
    return lines[0][0].endswith("refused in words")
