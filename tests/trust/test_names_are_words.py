"""Whatever a name holds, it comes out as words: no mark-up, formula, command or control code."""

import csv
import io
import json
import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import ezdxf
import pdfplumber
import pypdf
import pytest

from nesting.drawings import DrawingOptions, write_drawing
from nesting.errors import InputError, control_letter, one_line
from nesting.model.layout import LaidFlaw
from nesting.model.reading_order import one_form
from nesting.readers.layout import read_layout
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan
from nesting.report.comparison_report import _csv as comparison_csv
from nesting.report.layout_file import write_layout

from ..cli.conftest import PIECES, PLAN, plan, run  # noqa: F401 - fixtures
from ..cli.conftest import one_line as the_line
from ..handmade import two_gores

NAMES = {
    "html": "<script>alert(1)</script><img src=x onerror=alert(1)>",
    "entities": "&amp; &lt;b&gt; &#x1b; \"two\" 'one' &xxe;",
    "section": "]]> --> <!-- <![CDATA[ ?>",
    "formula": r"$x^2$ \frac{1}{2} $\sqrt{",
    "format": "%s%n%x {{ 7 * 7 }} {% raw %} ${HOME}",
    "link": "javascript:alert(1) https://example.invalid/",
    "pdf": r"\) /JS (app.alert\(1\)) >> endobj \( ((",
    "markup": "[red]scarlet[/red] [link=x]",
    "plotter": "gore;PU0,0;SP0;IN;",
    "cell": '=HYPERLINK("x"),"',
}
"""Names that mean something to one of the formats, in letters that every font has."""
ODD = {
    "lines": "first\nsecond\r\n  0\n  EOF",
    "codes": "nul\x00 bell\x07 end\x03 escape\x1b[31m",
    "backwards": "gore\u202eerog\u2066",
}
"""What no file is read with, but a program that uses the library may bring."""
ALL = {**NAMES, **ODD}
every_name = pytest.mark.parametrize("name", ALL.values(), ids=ALL)


def named(name):
    """Return a layout in which everything that has a name has this one."""
    _, layout = two_gores()
    (lay,) = layout.lays
    lay = replace(
        lay,
        cloth=name,
        placements=tuple(replace(p, piece=name, points={name: (90, 90)}) for p in lay.placements),
        flaws=(LaidFlaw(lay.placements[0].outline[:3] * 0.01, name),),
    )
    return replace(layout, title=name, lays=(lay,), warnings=(name,))


def drawn(folder, name, ending, **options):
    """Return the file that a layout of this name is drawn to."""
    return write_drawing(named(name), folder / f"drawn.{ending}", DrawingOptions(**options))


def bare(words):
    """Return words without their blanks, as drawings break and space them anew."""
    return "".join(words.split())


@every_name
def test_a_drawing_at_exact_size_has_no_element_of_a_name(tmp_path, name):
    """SVG parsed: elements, attributes and classes are those of a plain name, words are words."""

    def skeleton(path):
        root = ET.parse(path).getroot()  # noqa: S314 - our own file
        return [
            (e.tag, sorted(e.attrib), e.get("class")) for e in root.iter() if "text" not in e.tag
        ]

    path = drawn(tmp_path, name, "svg", full_size=True)
    words = [e.text or "" for e in ET.parse(path).getroot().iter() if "title" in e.tag]  # noqa: S314
    said = "".join("\N{REPLACEMENT CHARACTER}" if c in "\0\a\3\x1b" else c for c in name)
    assert sum(bare(said) in bare(word) for word in words) == 3
    assert skeleton(path) == skeleton(drawn(tmp_path, "gore", "svg", full_size=True))


@every_name
def test_a_reduced_drawing_has_no_element_of_a_name(tmp_path, name):
    """The marker as SVG is well-formed, and has only the elements and links of its own shapes."""
    root = ET.parse(drawn(tmp_path, name, "svg")).getroot()  # noqa: S314 - our own file
    tags = {e.tag.rpartition("}")[2] for e in root.iter()}
    assert tags <= {
        "svg", "metadata", "RDF", "Work", "type", "format", "creator", "Agent", "title", "date",
        "defs", "style", "g", "path", "use", "clipPath", "rect", "pattern",
    }  # fmt: skip
    for element in root.iter():
        for key, value in element.attrib.items():
            assert not key.startswith("on")
            assert not key.endswith("href") or value.startswith("#")


@pytest.mark.parametrize(
    ("kind", "options"),
    [
        *((kind, {}) for kind in ("pdf", "formula", "html", "link", "codes")),
        ("pdf", {"full_size": True}),
        ("pdf", {"full_size": True, "paper": "long"}),
        ("formula", {"each": True}),
        *((kind, {"words": "cutting list"}) for kind in ("pdf", "html", "lines")),
    ],
)
def test_a_pdf_does_nothing_and_says_the_name(tmp_path, kind, options):
    """No action, script, link or file in any of its objects; another library reads the words."""
    name = ALL[kind]
    path = drawn(tmp_path, name, "pdf", **options)
    reader = pypdf.PdfReader(path, strict=True)
    pages = [str(page) for page in reader.pages]
    keys = set(re.findall(r"'/[A-Za-z]+'", " ".join((str(reader.trailer["/Root"]), *pages))))
    assert not keys & {"'/JS'", "'/URI'", "'/Launch'", "'/OpenAction'", "'/AA'",
                       "'/Names'", "'/AcroForm'", "'/JavaScript'", "'/EmbeddedFiles'"}  # fmt: skip
    assert "'/MediaBox'" in keys
    assert not any(page.annotations for page in reader.pages)
    assert bare(reader.metadata.title) == bare(name)
    if kind not in ODD:
        with pdfplumber.open(path) as pdf:
            words = "".join(page.extract_text() for page in pdf.pages)
        assert bare(name) in bare(words)


@every_name
def test_dxf_keeps_its_pairs(tmp_path, name):
    """Read back by another library: no fault, as many entities, and the name in its place."""
    document, plain = (ezdxf.readfile(drawn(tmp_path, one, "dxf")) for one in (name, "gore"))
    assert not document.audit().has_errors
    assert [len(b) for b in document.blocks] == [len(b) for b in plain.blocks]
    texts = [e.dxf.text for block in document.blocks for e in block.query("TEXT")]
    said = one_line(name).encode("cp1252", "dxfreplace").decode("cp1252")
    assert f"Piece Name: 1 {said}, copy 1 R" in texts


@every_name
def test_a_label_of_a_plotter_ends_with_its_name(tmp_path, name):
    """Without its labels an HP-GL file has the same strokes whatever the names are."""

    def strokes(path):
        commands = re.sub("SI[^\x03]*\x03", "", path.read_text("ascii"))
        assert set(re.findall("[A-Z]{2}", commands)) == {"IN", "SP", "PU", "PD"}
        return commands

    assert strokes(drawn(tmp_path, name, "plt")) == strokes(drawn(tmp_path, "gore", "plt"))


@every_name
def test_no_cell_is_a_formula(tmp_path, name):
    """Every row of the chalk table is whole, and no cell of words begins as a formula does."""
    text = drawn(tmp_path, name, "csv").read_bytes().decode()
    heads, *rows = csv.reader(io.StringIO(text, newline=""))
    assert {len(row) for row in rows} == {len(heads)}
    assert all(bare(name) in bare(row[2]) for row in rows)
    assert not any(row[2].startswith(("=", "+", "-", "@")) for row in rows)


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1"])
def test_no_cell_of_a_comparison_is_a_formula(name):
    """Cells and headings of comparisons too; a negative figure stays a figure."""
    heads, row = csv.reader(io.StringIO(comparison_csv([{"cloth": name, name: -1.5}])))
    assert heads == ["cloth", f"'{name}"]
    assert row == [f"'{name}", "-1.5"]


@every_name
def test_the_layout_file_brings_back_any_name_or_refuses_it(tmp_path, name):
    """JSON gives the name back letter for letter; control letters are refused by their number."""
    path = write_layout(named(name), tmp_path / "layout.json")
    if letter := control_letter(name):
        with pytest.raises(InputError, match=re.escape(letter)):
            read_layout(path)
    else:
        assert read_layout(path).lays[0].placements[0].piece == name


@every_name
def test_a_plan_brings_any_name_or_refuses_it(plan, name):  # noqa: F811
    """TOML likewise, for cloths and titles; marks that turn the direction are left out."""
    quoted = json.dumps(name)
    text = PLAN.replace('"Apron"', quoted).replace('"holland"', quoted)
    plan.write_text(text, encoding="utf-8")
    name = one_form(name)
    if letter := control_letter(name):
        with pytest.raises(InputError, match=re.escape(letter)):
            read_plan(plan)
    else:
        read = read_plan(plan)
        assert (read.title, read.cloths[0].name) == (name, name)


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_the_terminal_shows_any_name(run, plan, name):  # noqa: F811
    """`yardage check` prints the name, brackets and all, and nothing a terminal obeys."""
    quoted = json.dumps(name)
    text = PLAN.replace('"Apron"', quoted).replace('"holland"', quoted)
    plan.write_text(text, encoding="utf-8")
    done = run("check", plan)
    assert done.exit_code == 0
    assert done.stdout.startswith(f"{name}\n")
    assert not control_letter(done.stdout)


def test_no_escape_reaches_the_terminal(run, plan, tmp_path):  # noqa: F811
    """From a file's name, a piece of the pattern file, a key or a value: U+FFFD is shown."""
    escape = "\x1b[31mred\x9b0m\u202e"
    odd = tmp_path / f"{escape}.toml"
    odd.write_text(PLAN.replace('title = "Apron"\n', ""), encoding="utf-8")
    (tmp_path / "pieces.svg").write_text(
        PIECES.replace("</svg>", '<g id="odd\x9b1m\u202e"><path d="M 0 0 H 9 V 9 Z"/></g></svg>'),
        encoding="utf-8",
    )
    done = run("check", odd)
    assert done.exit_code == 0, done.stderr
    assert "\ufffd[31mred" in done.stdout
    for old, new in (
        ('"panel"', '"pannel"'), ('cut = "pair"', f"cut = {json.dumps(escape)}"),
        ("selvage = 1", f"{json.dumps(escape)} = 1"),
        ("width = 90", f"width = {json.dumps(escape)}"),
    ):  # fmt: skip
        plan.write_text(PLAN.replace(old, new, 1), encoding="utf-8")
        done = run("check", plan)
        assert done.exit_code == 1
        assert not control_letter(the_line(done))


def test_notes_of_a_pattern_file_are_plain(tmp_path):
    """What a reader has to say of a file holds no control letter of that file."""
    path = tmp_path / "pieces.svg"
    path.write_text(PIECES.replace('id="gusset"', 'id="gus\x9b1m\u202eset"'), encoding="utf-8")
    notes = read_pattern(path).notes
    assert not any(control_letter(str(note)) for note in notes)
