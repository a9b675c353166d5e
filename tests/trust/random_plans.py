"""Random plans over all rules, as a dressmaker writes them: a pattern file and a plan file."""

import json
from dataclasses import dataclass, field
from math import cos, pi, sin

from nesting.units import MM_PER

SIZES = (40.0, 420.0)
"""Least and greatest size of a drawn piece, mm."""


@dataclass
class Draft:
    """A plan in the making; ``rules`` are the words for all it asks for, to be counted by."""

    chance: object
    units: str
    drawn: list = field(default_factory=list)
    tables: list = field(default_factory=list)
    rules: set = field(default_factory=set)

    @property
    def toml(self):
        """The plan file."""
        return f'title = "Random"\nunits = "{self.units}"\n' + "\n".join(self.tables)

    @property
    def svg(self):
        """The pattern file: its page is in millimetres."""
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" width="3000mm" height="3000mm" '
            f'viewBox="0 0 3000 3000">{"".join(self.drawn)}</svg>\n'
        )

    def add(self, head, keys):
        """Add a table; keys without a value are left out."""
        lines = [f"{key} = {_toml(value)}" for key, value in keys.items() if value is not None]
        self.tables.append("\n".join([f"[[{head}]]", *lines]))

    def maybe(self, share, rule, value):
        """Return a value now and then, and count it as a rule; None otherwise."""
        if self.chance.random() >= share:
            return None
        self.rules.add(rule)
        return value() if callable(value) else value

    def exact(self, mm):
        """Return a length as a bare number in the plan's units."""
        return round(mm / MM_PER[self.units], 9)

    def length(self, low, high):
        """Return a random length, in one of the ways in which lengths are written."""
        mm = self.chance.uniform(low, high)
        way = self.chance.randrange(6)
        if way >= 3:
            return self.exact(round(mm, 1))
        self.rules.add("units mixed")
        if way == 0:
            return f"{mm / 10:.2f}".replace(".", ",") + " cm"
        eighths = max(1, round(mm / 25.4 * 8))
        whole = f"{eighths // 8} " if eighths >= 8 else ""
        return f"{whole}{eighths % 8}/8 in" if way == 1 else f"{mm / 25.4:.3f} in"


def _toml(value):
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(k)} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return json.dumps(value)


def random_plan(chance):
    """Return a random plan; the same chance gives the same plan."""
    draft = Draft(chance, chance.choice(("mm", "cm", "m", "in", "yd")))
    ground = chance.choice(("bolt", "bolt", "fold", "fold", "design", "design", "owned", "panels"))
    width = chance.uniform(450.0, 1300.0)
    _cloth(draft, ground, width)
    cloths = ["calico"]
    if draft.maybe(0.2, "several cloths", True):
        cloths.append("lawn")
        draft.add("cloth", {"name": "lawn", "width": draft.length(700, 1500), "price": 4.5,
                            "price_per": chance.choice(("m", "yd"))})  # fmt: skip
    names = [f"piece {n}" for n in range(1, chance.choice((2, 2, 3, 4)))]
    for number, name in enumerate(names):
        _piece(draft, name, number, ground, width, cloths)
    if ground == "design" and draft.maybe(0.4, "match", True):
        some = chance.sample(names, min(len(names), 2))
        axis = chance.choice(("along", "along", "across", "both"))
        draft.add("match", {"points": [f"{name}:centre" for name in some], "axis": axis})
    if ground != "panels":
        count = draft.maybe(0.08, "breadths", lambda: chance.randint(1, 2))
        if count:
            draft.add("breadths", {"name": "apron", "cloth": "calico", "count": count,
                                   "length": draft.length(100, 300), "hem": draft.length(5, 40),
                                   "seam": draft.length(5, 15)})  # fmt: skip
    return draft


def _cloth(draft, ground, width):
    chance, maybe, length = draft.chance, draft.maybe, draft.length
    keys = {
        "name": "calico",
        "width": draft.exact(width),
        "selvage": maybe(0.4, "selvage", lambda: length(2, 15)),
        "nap": maybe(0.4, "nap", "one-way"),
        "sides": maybe(0.2, "sides alike", "alike"),
        "gap": maybe(0.25, "gap", lambda: length(1, 8)),
        "end_trim": maybe(0.3, "end trim", lambda: length(5, 60)),
        "step": maybe(0.3, "step", lambda: length(20, 130)),
        "price": 12.5,
        "price_per": chance.choice(("m", "yd")),
        "shrink": maybe(
            0.4, "shrinkage", {"along": chance.randint(0, 12), "across": chance.randint(0, 8)}
        ),
    }
    if ground == "fold":
        keys["fold"] = chance.choice(("lengthwise", "crosswise", "partial", "middle", "best"))
        draft.rules.add(f"fold {keys['fold']}")
        if keys["fold"] in {"crosswise", "best"}:
            keys["fold_cut"] = maybe(0.5, "fold cut apart", True)
        if keys["fold"] == "partial":
            keys["fold_depth"] = maybe(0.3, "fold depth", lambda: length(100, width / 3))
    elif maybe(0.35, "flaws", True):
        keys["flaws"] = [_flaw(draft, ground, width) for _ in range(chance.choice((1, 1, 2, 3)))]
    if ground == "design":
        draft.rules.add("repeat")
        keys["repeat"] = _repeat(draft)
    if ground == "owned":
        draft.rules.add("owned")
        keys["length"] = length(700, 2500)
    if ground == "panels":
        draft.rules.add("panels")
        keys["panels"] = [
            {"length": length(600, 1300), "width": length(400, width)}
            for _ in range(chance.choice((1, 2, 3)))
        ]
        keys["extra"] = maybe(0.3, "panels and more", "buy")
    draft.add("cloth", keys)


def _repeat(draft):
    chance = draft.chance
    drop = draft.maybe(0.3, "half drop", "half")
    along = draft.exact(chance.choice((32.0, 60.0, 100.0, 160.0, 230.5)))
    across = draft.exact(chance.choice((40.0, 75.0, 120.0, 200.0)))
    repeat = {"along": along}
    if drop or chance.random() < 0.6:
        repeat["across"] = across
    if drop:
        repeat["drop"] = drop
    if draft.maybe(0.4, "repeat placed", True):
        where = draft.length(0, 150)
        repeat["offset"] = [where, draft.length(0, 80) if "across" in repeat else "unknown"]
    return repeat


def _flaw(draft, ground, width):
    chance = draft.chance
    along = chance.uniform(0.0, 450.0)
    across = chance.uniform(0.0, 0.7 * (400.0 if ground == "panels" else width))
    size = [chance.uniform(3.0, 90.0) for _ in "xy"]
    flaw = {
        "along": [draft.exact(along), draft.exact(along + size[0])],
        "across": [draft.exact(across), draft.exact(across + size[1])],
        "kind": chance.choice(("stain", "hole")),
    }
    if chance.random() < 0.3:
        low, high = flaw.pop("along"), flaw.pop("across")
        flaw["outline"] = [[low[0], high[0]], [low[1], high[0]], [low[0], high[1]]]
    hide = draft.maybe(0.3, "flaw in an allowance", "allowance")
    return flaw | ({"hide": hide} if hide else {})


def _piece(draft, name, number, ground, width, cloths):
    chance, maybe = draft.chance, draft.maybe
    corner = (50.0 + 500.0 * number, 50.0)
    kind, wide, high = _draw(draft, name, corner)
    keys = {
        "name": name,
        "file": "pieces.svg",
        "cloth": chance.choice((cloths[0], cloths[-1], cloths)),
        "cut": _cut(draft),
        "grain": maybe(0.3, "other grain", lambda: chance.choice(("crosswise", "bias", "any"))),
        "tilt": maybe(0.15, "tilt", lambda: chance.choice((1, 2.5, 5))),
        "turn": maybe(0.15, "no turning", False),
        "top": maybe(0.15, "top reversed", "reverse"),
        "allowance": maybe(0.4, "allowance", lambda: draft.length(3, 20)),
        "points": {"mark": [draft.exact(corner[0] + wide / 2), draft.exact(corner[1] + high / 3)]},
    }
    if kind in {"oblong", "gore", "angle", "half"}:
        ends = ((corner[0], corner[1] + high), (corner[0] + wide, corner[1] + high))
        low, far = ([draft.exact(value) for value in end] for end in ends)
        keys["edges"] = maybe(
            0.4, "hem", lambda: {"hem": {"from": low, "to": far, "allowance": draft.length(5, 45)}}
        )
        if keys["edges"] and ground in {"bolt", "design", "owned"}:
            keys["border"] = maybe(
                0.25, "border", lambda: {"edge": "hem", "distance": draft.length(40, 90)}
            )
    if keys.get("border"):
        keys["grain"] = "crosswise"
    if keys["grain"] == "any" and chance.random() < 0.9:
        keys["tilt"] = None
    if ground == "design" and cloths[0] == keys["cloth"] and not keys.get("border"):
        keys["motif"] = maybe(0.6, "motif", lambda: _motif(draft))
    if not keys.get("motif"):
        keys["piecing"] = maybe(0.12, "piecing", lambda: {"allowance": draft.length(5, 12)})
    keys["train"] = maybe(0.01, "train", True)
    draft.add("piece", keys)


def _motif(draft):
    chance = draft.chance
    place = [chance.choice((0, draft.exact(chance.uniform(0.0, 30.0)))) for _ in "xy"]
    if "across" not in draft.tables[0] or chance.random() < 0.5:
        place[1] = "free"
    elif chance.random() < 0.3:
        place[chance.randrange(2)] = "free" if chance.random() < 0.5 else place[0]
    if place == ["free", "free"]:
        place[0] = 0
    return {"point": chance.choice(("mark", "centre")), "on": place}


def _cut(draft):
    way = draft.chance.randrange(4)
    if way == 0:
        draft.rules.add("pair")
        return "pair"
    if way == 1:
        draft.rules.add("both hands")
        return {"as_drawn": draft.chance.randint(1, 3), "mirrored": draft.chance.randint(0, 2)}
    return draft.chance.randint(1, 4)


def _draw(draft, name, corner):
    """Draw a piece on the page; return its kind, width and height."""
    chance = draft.chance
    kind = chance.choice(("oblong", "gore", "gore", "angle", "star", "curve", "half"))
    wide, high = (round(chance.uniform(*SIZES), 1) for _ in "xy")
    part = [round(chance.uniform(0.3, 0.7), 2) for _ in range(4)]
    corners = {
        "oblong": [(0, 0), (1, 0), (1, 1), (0, 1)],
        "gore": [(0, 0), (part[0], 0), (1, 1), (0, 1)],
        "angle": [(0, 0), (part[0], 0), (part[1], part[2]), (1, part[3]), (1, 1), (0, 1)],
        "star": _star(chance),
        "half": [(0, 0), (part[0], 0.1), (part[1], part[2]), (1, 1), (0, 1)],
    }.get(kind)
    x, y = corner
    if corners is None:
        path = (f"M {x} {y} H {x + wide * part[0]:g} Q {x + wide * part[0]:g} "
                f"{y + high * part[1]:g} {x + wide:g} {y + high:g} "
                f"A {wide:g} {wide:g} 0 0 1 {x:g} {y + high:g} Z")  # fmt: skip
    else:
        at = [f"{x + wide * a:.3f} {y + high * b:.3f}" for a, b in corners]
        path = f"M {' L '.join(at)} Z"
    lines = [f'<path d="{path}"/>', _line("grain", x + 4, y + 0.8 * high, x + 4, y + 0.2 * high)]
    if kind == "half":
        draft.rules.add("half")
        lines.append(_line("fold", x, y, x, y + high))
    if kind in {"oblong", "gore", "angle", "half"}:
        hole = (x + 0.3 * wide * part[0], y + 0.85 * high, 0.08 * min(wide, high))
        if draft.maybe(0.1, "cutout", True) and hole[2] > 5.0:
            lines.append('<circle class="cutout" cx="{}" cy="{}" r="{}"/>'.format(*hole))
        if chance.random() < 0.4:
            lines.append(_line("notch", x + wide / 2, y + high, x + wide / 2, y + high - 4))
            lines.append(f'<circle class="drill" cx="{x + 9}" cy="{y + high - 9}" r="1"/>')
    draft.drawn.append(f'<g id="{name}">{"".join(lines)}</g>')
    return kind, wide, high


def _star(chance):
    corners = chance.randint(5, 11)
    radii = [chance.uniform(0.25, 0.5) for _ in range(corners)]
    return [
        (0.5 + r * cos(2 * pi * k / corners), 0.5 + r * sin(2 * pi * k / corners))
        for k, r in enumerate(radii)
    ]


def _line(role, x1, y1, x2, y2):
    return f'<line class="{role}" x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>'
