"""Which features of the order format an order has, so that a set of orders can be shown to cover every pair of them."""

from itertools import combinations

from half_section import corner_pieces

# Pairs that no order can have: two values of one field, where the wheel has a single place for it.
ONE_FACE = [("face grooves with a flat bottom", "face grooves with a round bottom"), ("straight face grooves", "helical face grooves")]


def of_side(side, wheel):
    steps = len(side.recess)
    if steps:
        yield f"recess of {'one step' if steps == 1 else 'several steps'}"
    if any(step.fillet for step in side.recess):
        yield "recess fillet"
    if len(side.nominal) > 1:
        yield "taper that thins the " + ("rim" if side.nominal[0][1] < side.nominal[-1][1] else "bore")
    if side.corner:
        yield f"corner {side.corner[0]}"
    if side.grooves:
        yield from of_side_grooves(side.grooves, side, wheel)


def of_side_grooves(g, side, wheel):
    yield f"side grooves with a {g.bottom} bottom"
    yield f"{g.inner_end} inner end"
    if g.skew:
        yield "skew"
    if g.outer_radius:
        yield "ended short"
    elif side.corner and corner_pieces(wheel, side)[0] < wheel.radius:
        yield "grooves over a corner"
    outer = g.outer_radius or wheel.radius
    if len(side.nominal) > 1 and side.nominal_depth(g.inner_radius) != side.nominal_depth(outer):
        yield "grooves over a taper"
    if side.recess and g.inner_radius < side.recess[0].radius:
        yield "grooves into a recess"


def of_face(g):
    yield f"face grooves with a {g.bottom} bottom"
    yield "helical face grooves" if g.helix else "straight face grooves"


def features(wheel):
    found = set(of_side(wheel.side_a, wheel)) | set(of_side(wheel.side_b, wheel))
    if wheel.bore_chamfer:
        found.add("bore chamfer")
    if wheel.face:
        found |= set(of_face(wheel.face))
    if wheel.side_a.grooves and wheel.side_b.grooves:
        found.add("grooves on both sides")
    if any(g.omit for g in wheel.groove_sets()):
        found.add("omitted grooves")
    return found


FEATURES = sorted({
    "recess of one step", "recess of several steps", "recess fillet", "taper that thins the rim", "taper that thins the bore", "corner radius",
    "corner chamfer", "bore chamfer", "grooves on both sides", "omitted grooves", "skew", "ended short", "grooves over a corner",
    "grooves over a taper", "grooves into a recess", "straight face grooves", "helical face grooves",
    *(f"side grooves with a {bottom} bottom" for bottom in ("flat", "round", "vee")),
    *(f"{end} inner end" for end in ("square", "round", "runout")),
    *(f"face grooves with a {bottom} bottom" for bottom in ("flat", "round"))})


def pairs(found):
    return set(combinations(sorted(found), 2))


WANTED = pairs(FEATURES) - {tuple(sorted(pair)) for pair in ONE_FACE}


def covering(covered, candidates):
    """Names of few candidates {name: features} that together have the wanted pairs not covered yet, greedily; and what stays without."""
    missing, chosen = WANTED - covered, []
    while missing:
        name = max(candidates, key=lambda n: len(missing & pairs(candidates[n])))
        gained = missing & pairs(candidates[name])
        if not gained:
            break
        chosen.append(name)
        missing -= gained
    return chosen, missing
