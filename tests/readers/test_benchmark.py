"""Open benchmark instances: the XML with and without a namespace, and the JSON form."""

import json

import pytest

from nesting.errors import InputError, InputFileError
from nesting.readers.benchmark import read_benchmark
from tests.benchmarks.files import open_file

XML = """<nesting{ns}><name>Two</name><problem><boards><piece id="b" quantity="1">
<component idPolygon="p0" type="0"/></piece></boards><lot><piece id="q" quantity="2"><orientation>
<enumeration angle="0"/><enumeration angle="180"/></orientation>
<component idPolygon="p1" type="0"/></piece></lot></problem><polygons>
<polygon id="p0"><lines>{board}</lines></polygon><polygon id="p1"><lines>{piece}</lines></polygon>
</polygons></nesting>"""


def segments(*points):
    """Return XML segments along the points."""
    return "".join(f'<segment x0="{x}" y0="{y}"/>' for x, y in points)


def write(tmp_path, ns=""):
    """Write a small instance and return its path."""
    path = tmp_path / "two.xml"
    board = segments((0, 0), (90, 0), (90, 36), (0, 36))
    piece = segments((0, 0), (0, 24), (40, 12), (40, 0), (40, 0))
    path.write_text(XML.format(ns=ns, board=board, piece=piece))
    return path


@pytest.mark.parametrize("ns", ["", ' xmlns="http://www.fe.up.pt/~esicup/nesting.xsd"'])
def test_xml_with_and_without_a_namespace(tmp_path, ns):
    """The strip's width, the pieces with their quantity and turns; clockwise rings are turned."""
    instance = read_benchmark(write(tmp_path, ns))
    assert instance.name == "two"
    assert instance.problem.width == 36
    assert [len(item.shapes) for item in instance.problem.items] == [2, 2]
    assert [shape.area for shape in instance.problem.shapes] == [720, 720]
    assert len(instance.problem.shapes[0].outer) == 4


def test_json(tmp_path):
    """The plain form gives the same problem, holes included."""
    path = tmp_path / "frame.json"
    frame = {
        "outline": [[0, 0], [10, 0], [10, 10], [0, 10]],
        "holes": [[[2, 2], [8, 2], [8, 8], [2, 8]]],
        "quantity": 3,
    }
    path.write_text(json.dumps({"width": 20, "items": [frame]}))
    instance = read_benchmark(path)
    assert instance.name == "frame"
    assert instance.problem.area == 3 * 64


@pytest.mark.parametrize(
    ("name", "pieces", "width"),
    [("albano", 24, 4900), ("shirts", 99, 40), ("swim", 48, 5752), ("mao", 20, 2550)],
)
def test_the_textile_instances(name, pieces, width):
    """Number of pieces and strip width as published with the ESICUP data sets."""
    problem = read_benchmark(open_file(name)).problem
    assert len(problem.items) == pieces
    assert problem.width == width


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("a.xml", "<nesting>", "not a readable XML"),
        ("a.xml", "<nesting></nesting>", "not a benchmark instance"),
        ("a.xml", '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "not a readable XML"),
        ("a.json", "{", "Invalid JSON"),
        ("a.json", '{"width": -1, "items": []}', "width"),
        ("a.json", '{"width": 1, "items": [], "x": 1}', "items"),
        ("a.json", '{"width": 9, "items": [{"outline": [[0,0],[1,1],[2,2]]}]}', "no area"),
    ],
)
def test_bad_instances_are_named(tmp_path, name, text, said):
    """Each ends in one line naming the file and what is wrong."""
    path = tmp_path / name
    path.write_text(text)
    with pytest.raises((InputError, InputFileError)) as caught:
        read_benchmark(path)
    assert said in str(caught.value)
    assert name in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file(tmp_path):
    """It is said that there is no such file."""
    with pytest.raises(InputFileError, match="no such file"):
        read_benchmark(tmp_path / "none.xml")
