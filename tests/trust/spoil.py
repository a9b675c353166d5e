"""Files made wrong on purpose: right ones, altered where their format has its joints."""

import copy
import json
import re
from functools import cache
from io import StringIO
from xml.etree.ElementTree import ParseError, tostring

from defusedxml import ElementTree
from defusedxml.common import DefusedXmlException

from nesting.report.layout_file import layout_json

from ..handmade import two_gores
from ..readers.drawings import new_dxf

NUMBERS = (
    "0", "-1", "1e308", "-1e308", "1e-308", "nan", "inf", "-inf", "99999999999999999999", "1e400",
    "0.1", "2147483648", "-0.0", "3,5", "1/0", "0x10", "1e", ".", "--2", "٣",
)  # fmt: skip
WORDS = (
    "", " ", "../../out", "/dev/null", "con", "a\u202eb", "\u0000", "é" * 3000, "<script>",
    "&amp;",
    "file:///etc/hostname", "none", "SEQEND", "true", "\ud7ff", "%s%n", "#", "piece",
)  # fmt: skip
SVG = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" \
width="500mm" height="400mm" viewBox="0 0 500 400">
<defs><rect id="patch" width="60" height="70"/></defs>
<g id="panel" transform="translate(5 5) rotate(3)"><path d="M 0 0 H 200 V 300 Q 100 350 0 300 Z"/>
<line class="grain" x1="100" y1="250" x2="100" y2="50"/>
<circle class="drill" cx="50" cy="60" r="2"/>
<polyline class="sew" points="10,10 190,10 190,290"/>
<line class="notch" x1="0" y1="50" x2="5" y2="50"/>
<path class="internal" d="M20 20 C 40 40 60 10 80 80 A 20 30 0 0 1 120 120"/></g>
<g id="gusset"><title>gusset</title><polygon points="250,0 350,0 300,120"/>
<ellipse class="cutout" cx="300" cy="40" rx="9" ry="6"/><text x="290" y="30">top</text></g>
<use id="pocket" xlink:href="#patch" x="400" y="200"/></svg>
"""
PLAN = """title = "Spoiled"
units = "cm"
currency = "EUR"
[[cloth]]
name = "damask"
width = 112
selvage = "1 cm"
nap = "one-way"
shrink = { along = 10, across = 5 }
repeat = { along = 64, across = 32, drop = "half", offset = ["unknown", 4] }
gap = "2 mm"
price = 9.5
price_per = "m"
step = "10 cm"
flaws = [ { along = ["90 cm", "100 cm"], across = ["60 cm", "80 cm"], hide = "allowance" } ]
[[cloth]]
name = "scraps"
width = "1 1/2 yd"
fold = "open"
panels = [ { length = "98 cm", width = "120 cm" }, { length = 70, width = 50 } ]
[[piece]]
name = "panel"
file = "pieces.svg"
cloth = "damask"
cut = "pair"
grain = "lengthwise"
allowance = "15 mm"
points = { hip = [10, 10] }
motif = { point = "hip", on = [10, "free"] }
edges = { hem = { from = [20.47, 1.55], to = [0.5, 0.5], allowance = 2 } }
[[piece]]
name = "gusset"
file = "pieces.svg"
cloth = ["scraps", "damask"]
cut = { as_drawn = 1, mirrored = 1 }
tilt = 3
turn = false
[[trim]]
name = "ribbon"
length = ["80 cm", 40]
price = 2
price_per = "m"
"""
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@cache
def right_files(kind):
    """Return right files of a kind, as texts."""
    return {"dxf": _drawings, "svg": lambda: (SVG,), "toml": lambda: (PLAN,),
            "json": lambda: (layout_json(two_gores()[1]),)}[kind]()  # fmt: skip


def _drawings():
    texts = []
    for version in ("R12", "R2000"):
        document = new_dxf(version=version)
        block = document.blocks.new("panel")
        for layer, entity in (("1", "line"), ("8", "sew"), ("4", "notch"), ("7", "grain")):
            attributes = {"layer": layer}
            if entity == "notch":
                block.add_point((0, 30), dxfattribs=attributes)
            elif entity == "grain":
                block.add_line((10, 5), (10, 60), dxfattribs=attributes)
            else:
                off = 0 if entity == "line" else 2
                ring = [(off, off), (50 - off, off), (50 - off, 70), (off, 70)]
                block.add_polyline2d(ring, close=True, dxfattribs=attributes)
        block.add_text("PIECE NAME: PANEL", dxfattribs={"layer": "1"})
        block.add_arc((90, 20), 9, 0, 200)
        document.modelspace().add_blockref("panel", (5, 5), dxfattribs={"rotation": 3})
        stream = StringIO()
        document.write(stream)
        texts.append(stream.getvalue())
    return tuple(texts)


def spoiled(kind, random):
    """Return a right file of a kind with one to six things altered, as bytes."""
    text = random.choice(right_files(kind))
    for _ in range(random.choice((1, 1, 2, 3, 6))):
        text = altered(kind, text, random)
    content = text.encode("utf-8", "surrogatepass")
    if random.random() < 0.15:
        at = random.randrange(len(content) + 1)
        content = random.choice((
            content[:at], content[:at] + random.randbytes(3) + content[at + 1 :],
            content.decode("utf-8", "replace").encode("utf-16"), b"\xef\xbb\xbf" + content,
            content.replace(b"\n", b"\r\n"),
        ))  # fmt: skip
    return content


def altered(kind, text, random):
    """Return a text with one thing altered where its format has its joints."""
    return random.choice((_value, _value, _value, _units, _tree, _tree, _bare))(kind, text, random)


def _value(_kind, text, random):
    """Replace one number by another."""
    found = list(_NUMBER.finditer(text))
    if not found:
        return text
    one = random.choice(found)
    return text[: one.start()] + random.choice(NUMBERS) + text[one.end() :]


def _bare(_kind, text, random):
    """Replace one word, or what stands between two quotes, by another."""
    found = list(re.finditer(random.choice((r"[A-Za-z_]{2,}", r'(?<=")[^"\n]*(?=")')), text))
    if not found:
        return text
    one = random.choice(found)
    other = random.choice((*WORDS, random.choice(found).group()))
    return text[: one.start()] + other + text[one.end() :]


def _units(kind, text, random):
    """Drop, repeat, exchange or nest pairs of group codes, tags or lines."""
    pattern = {"dxf": r"[^\n]*\n[^\n]*\n?", "svg": r"<[^>]*>|[^<]+"}.get(kind, r"[^\n]*\n?")
    units = re.findall(pattern, text) or [""]
    a, b = sorted((random.randrange(len(units)), random.randrange(len(units))))
    way = random.randrange(5)
    if way == 0:
        del units[a : a + random.randrange(1, 5)]
    elif way == 1:
        units[b:b] = units[a : a + random.randrange(1, 30)]
    elif way == 2:
        units[a], units[b] = units[b], units[a]
    elif way == 3:
        units[a:a] = [units[b]] * random.choice((2, 50, 2000))
    else:
        del units[b:]
    return "".join(units)


def _element(text, random):
    """Drop, repeat, nest or rename an element of a page, which stays whole XML."""
    try:
        root = ElementTree.fromstring(text)
    except (ParseError, ValueError, DefusedXmlException):
        return text
    parents = [element for element in root.iter() if len(element)]
    if not parents:
        return text
    parent, other = random.choice(parents), random.choice(list(root.iter()))
    child = random.choice(list(parent))
    way = random.randrange(4)
    if way == 0:
        parent.remove(child)
    elif way == 1:
        parent.extend(copy.deepcopy(child) for _ in range(random.choice((1, 40))))
    elif way == 2:
        other.append(copy.deepcopy(child))
    else:
        name = random.choice(
            ("d", "transform", "id", "class", "width", "viewBox", "style", "href")
        )
        child.set(name, random.choice((*NUMBERS, "scale(0)", "matrix(1 0 0 1e9 0 0)", "M0,0z")))
    return tostring(root, encoding="unicode")


def _tree(kind, text, random):
    """Put a value in the place of another, or of a part of the tree that a layout or page is."""
    if kind == "svg":
        return _element(text, random)
    if kind != "json":
        return _value(kind, text, random)
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError):
        return text
    node = whole
    while isinstance(node, dict | list) and node:
        key = random.choice(list(node)) if isinstance(node, dict) else random.randrange(len(node))
        if not isinstance(node[key], dict | list) or random.random() < 0.2:
            node[key] = random.choice(
                (None, [], {}, "", 0, -1, 1e308, True, [[0, 0]] * 3, [[1e200, 0]] * 4)
            )
            break
        node = node[key]
    return json.dumps(whole, indent=1)
