"""Random valid orders: the same 200 from the same seed, everywhere.

`python random_orders.py DIR` writes them for a look.
"""

import json
import math
import random
import sys
from pathlib import Path

SEED, COUNT = 20260302, 200


def rounded(value, unit):
    """A shop's number: tenths or hundredths of a millimetre, thousandths of an inch."""
    return round(value / 25.4, 3) if unit == "in" else round(value, 2)


class Maker:
    def __init__(self, seed):
        self.rng = random.Random(seed)
        self.unit = self.rng.choice(["mm", "mm", "in"])

    def chance(self, p):
        return self.rng.random() < p

    def len(self, value):
        """As written in the order."""
        return rounded(value, self.unit)

    def mm(self, written):
        return written * 25.4 if self.unit == "in" else written

    def between(self, low, high):
        """A written length between two lengths in millimetres."""
        return self.len(self.rng.uniform(low, high))

    def side(self, w):
        """Recess, taper and corner of a side; w holds sizes in mm. Depths stay within the side's share."""
        R, H, T = w["R"], w["H"], w["T"]
        side, rim, flat_from = {}, 0.0, H
        if self.chance(0.5):
            kind = self.rng.choice(["rim", "rim", "bore"])
            inner = 2 * (H + self.rng.uniform(0.15, 0.45) * (R - H))
            outer = self.rng.choice([2 * R, 2 * (H + self.rng.uniform(0.75, 0.97) * (R - H))])
            a, b = self.len(inner), self.len(outer)
            a, b = (a, b) if kind == "rim" else (b, a)
            depth = self.rng.uniform(0.01, 0.07) * T
            side["taper"] = {"from_diameter": a, "to_diameter": b}
            if self.chance(0.4):
                side["taper"]["angle_deg"] = round(max(0.05, math.degrees(math.atan(depth / abs(outer / 2 - inner / 2)))), 2)
            else:
                side["taper"]["depth"] = self.len(max(depth, 0.1))
            rim = 0.1 * T
            flat_from = outer / 2 if outer < 2 * R else inner / 2
        if self.chance(0.45):
            limit = min(inner, outer) / 2 if "taper" in side else R
            steps, r, depth = [], min(0.98 * limit, H + self.rng.uniform(0.3, 0.7) * (R - H)), rim
            for _ in range(self.rng.choice([1, 1, 2, 3])):
                rise = self.rng.uniform(0.03, 0.08) * T
                depth += rise
                step = {"diameter": self.len(2 * r), "depth": self.len(depth)}
                room = min(rise, (r - H) * 0.1) * 0.6
                if self.chance(0.6) and self.len(room) > 0:
                    step["fillet_radius"] = self.len(room)
                steps.append(step)
                r -= (r - H) * self.rng.uniform(0.2, 0.45)
            side["recess"] = steps
            flat_from = max(flat_from, self.mm(steps[0]["diameter"]) / 2)
        if self.chance(0.6):
            # The corner stays on the stretch of the side next to the rim.
            size = min(self.rng.uniform(0.02, 0.12) * T, 0.8 * (R - flat_from))
            if self.chance(0.6):
                side["corner"] = {"radius": self.len(max(size, 0.2))}
            else:
                side["corner"] = {"chamfer": self.len(max(size, 0.2))}
                if self.chance(0.5):
                    side["corner"]["angle_deg"] = self.rng.choice([20, 30, 55, 60])
        return side

    def side_grooves(self, w, base):
        R, H, T = w["R"], w["H"], w["T"]
        inner_r = H + self.rng.uniform(0.15, 0.6) * (R - H)
        g = {"inner_diameter": self.len(2 * inner_r)}
        inner_r = self.mm(g["inner_diameter"]) / 2
        n = base * self.rng.choice([1, 1, 2, 3])
        fill = self.rng.uniform(0.15, 0.6) if self.chance(0.85) else self.rng.uniform(1.1, 1.5)
        width = min(2 * math.pi * inner_r / n * fill, 0.05 * R, 0.25 * T)
        g["width"] = self.len(max(width, 0.4))
        width = self.mm(g["width"])
        g["depth"] = self.len(max(self.rng.uniform(0.06, 0.16) * T, 0.3))
        depth = self.mm(g["depth"])
        if self.chance(0.5) and 360 % n == 0:
            g["pitch_deg"] = 360 // n
        else:
            g["count"] = n
        g["start_deg"] = round(self.rng.uniform(-40, 200), 2)
        outer_r = R
        if self.chance(0.25):
            outer_r = inner_r + self.rng.uniform(0.6, 0.9) * (R - inner_r)
            g["outer_diameter"] = self.len(2 * outer_r)
            outer_r = self.mm(g["outer_diameter"]) / 2
        if self.chance(0.4):
            most = min(35.0, math.degrees(math.asin(0.8 * inner_r / R)))
            g["skew_deg"] = round(self.rng.uniform(-most, most), 1)
        g["bottom"] = self.rng.choice(["flat", "round", "vee"])
        if g["bottom"] == "vee":
            least = math.degrees(2 * math.atan(width / 2 / depth))
            g["vee_angle_deg"] = int(min(150, max(least + 5, self.rng.uniform(50, 110))))
        g["inner_end"] = self.rng.choice(["square", "round", "runout"])
        length = outer_r - inner_r
        if g["inner_end"] == "runout":
            rho = min(max(2 * depth, 20), 0.2 * (length * length) / depth)
            if rho < 1.5 * depth:
                g["inner_end"] = "square"
            else:
                g["cutter_diameter"] = self.len(2 * self.rng.uniform(0.6, 1) * rho)
                if self.mm(g["cutter_diameter"]) < 2.6 * depth:
                    g["inner_end"] = "square"
                    del g["cutter_diameter"]
        if g["inner_end"] == "round" and width > 0.4 * length:
            g["inner_end"] = "square"
        return g

    def face_grooves(self, w, base, omit):
        R, T = w["R"], w["T"]
        n = base * self.rng.choice([1, 2])
        # Helical tools are the kernel's slowest: none where the whole wheel must be built of many.
        width = self.len(max(0.4, min(2 * math.pi * R / n * self.rng.uniform(0.1, 0.5), 0.06 * R)))
        g = {"count": n, "width": width, "depth": self.len(max(0.3, self.rng.uniform(0.01, 0.04) * R)),
             "bottom": self.rng.choice(["flat", "round"]), "start_deg": round(self.rng.uniform(0, 90), 2)}
        if self.chance(0.4) and not (omit and n > 6):
            g["helix_deg"] = round(self.rng.uniform(-35, 35), 1)
        return g

    def order(self, number):
        rng = self.rng
        R = math.exp(rng.uniform(math.log(40), math.log(600)))
        od, t, bore = self.len(2 * R), self.len(2 * R * rng.uniform(0.06, 0.25)), self.len(2 * R * rng.uniform(0.15, 0.4))
        w = {"R": self.mm(od) / 2, "T": self.mm(t), "H": self.mm(bore) / 2}
        wheel = {"outside_diameter": od, "thickness": t, "bore": bore}
        if self.chance(0.3):
            wheel["bore_chamfer"] = self.len(max(0.1, 0.01 * w["T"]))
        omit = self.chance(0.2)
        base = rng.choice([4, 5, 6, 8]) if omit else rng.choice([6, 9, 12, 20, 30, 36, 60])
        for name in ("side_a", "side_b"):
            side = self.side(w)
            if self.chance(0.6):
                side["grooves"] = self.side_grooves(w, base)
                if omit:
                    n = side["grooves"].get("count") or round(360 / side["grooves"]["pitch_deg"])
                    side["grooves"]["omit"] = sorted(rng.sample(range(1, n + 1), rng.randint(1, n // 2)))
            if side:
                wheel[name] = side
        if self.chance(0.35):
            wheel["face"] = {"grooves": self.face_grooves(w, base, omit)}
        order = {"order": {"number": f"R{number:03}", "revision": "A", "item": f"Random wheel {number}"},
                 "units": self.unit, "wheel": wheel}
        if self.chance(0.5):
            order["blank"] = {"density": f"{rng.uniform(1.9, 2.4):.2f} g/cm3"}
        return order


def random_order(index, seed=SEED):
    return Maker(f"{seed}-{index}").order(index)


def chosen(options):
    """(name, order) of all, or of a sample that differs from run to run."""
    picks = range(COUNT) if options.all else sorted(random.SystemRandom().sample(range(COUNT), min(options.sample, COUNT)))
    return [(f"random-{i:03}", random_order(i)) for i in picks]


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for i in range(COUNT):
        (folder / f"random-{i:03}.json").write_text(json.dumps(random_order(i), indent=2) + "\n")
