"""Pattern files as files: found by their ending, or refused before anything is read."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting import tolerances
from nesting.errors import InputFileError, YardageError
from nesting.readers.pattern import read_pattern

from .drawings import new_dxf, refused, saved, svg, told


def a_dxf(folder, name="pattern.dxf", version="R2010"):
    """Write a DXF file with one piece."""
    document = new_dxf(version=version)
    document.modelspace().add_polyline2d(
        [(0, 0), (300, 0), (300, 200)], close=True, dxfattribs={"layer": "gore"}
    )
    return saved(document, folder, name)


def test_both_kinds_are_read_by_their_ending(tmp_path):
    """In either case."""
    assert read_pattern(a_dxf(tmp_path, "a.DXF")).pieces[0].name == "gore"
    page = svg(tmp_path, '<circle id="patch" cx="50" cy="50" r="40"/>')
    assert read_pattern(page.rename(tmp_path / "b.SVG")).pieces[0].name == "patch"


def test_binary_dxf_is_read(tmp_path):
    """The binary form says the same."""
    document = new_dxf(version="R2000")
    document.modelspace().add_lwpolyline([(0, 0), (300, 0), (300, 200)], close=True)
    document.saveas(tmp_path / "a.dxf", fmt="bin")
    (piece,) = read_pattern(tmp_path / "a.dxf").pieces
    assert len(piece.outline) == 3


def test_what_is_no_file_is_refused(tmp_path):
    """Missing, a folder, empty, of another kind, too large: before it is read."""
    refused(tmp_path / "missing.dxf", "there is no such file")
    refused(tmp_path / "missing.pdf", "there is no such file")
    (tmp_path / "folder.dxf").mkdir()
    refused(tmp_path / "folder.dxf", "it is a folder")
    (tmp_path / "empty.svg").touch()
    refused(tmp_path / "empty.svg", "it is empty (0 bytes)")
    for name, said in (("gore.pdf", ".pdf is not a kind"), ("gore", "a name without an ending")):
        (tmp_path / name).write_text("x")
        refused(tmp_path / name, said, ".dxf or .svg")
    for name in ("large.dxf", "large.svg"):
        with (tmp_path / name).open("wb") as stream:
            stream.truncate(200_000_000)
        refused(tmp_path / name, "it is 200 MB, over the 50 MB allowed")
    assert tolerances.LARGEST_FILE_BYTES == 50_000_000


def test_errors_are_also_builtin_errors(tmp_path):
    """A caller who only knows OSError catches them too."""
    with pytest.raises(OSError, match="no such file"):
        read_pattern(tmp_path / "missing.dxf")


def test_an_unknown_unit_is_refused(tmp_path):
    """The caller's own slip, not the file's."""
    with pytest.raises(YardageError, match="'ell' is not a unit; use mm, cm, m, in or yd"):
        read_pattern(a_dxf(tmp_path), units="ell")


@pytest.mark.parametrize(
    "content",
    [b"once upon a time\n" * 50, b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 9, b"\0" * 5000,
     b'<svg xmlns="http://www.w3.org/2000/svg"/>'],
)  # fmt: skip
def test_what_is_no_dxf_is_refused(tmp_path, content):
    """Whatever the name says."""
    path = tmp_path / "gore.dxf"
    path.write_bytes(content)
    refused(path, "does not begin like a DXF file")


@pytest.mark.parametrize("version", ["R12", "R2010"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9, 0.999])
def test_a_truncated_dxf_is_refused(tmp_path, version, share):
    """Part of the pattern is lost, so nothing of it is cut."""
    path = a_dxf(tmp_path, version=version)
    content = path.read_bytes()
    path.write_bytes(content[: int(len(content) * share)])
    refused(path, "breaks off before its end", "EOF")


def test_repairs_are_told(tmp_path):
    """A line of an undefined style is mended by the library; the piece is whole."""
    document = new_dxf(version="R2000")
    document.modelspace().add_lwpolyline(
        [(0, 0), (300, 0), (300, 200)], close=True, dxfattribs={"layer": "gore", "linetype": "X"}
    )
    found = read_pattern(saved(document, tmp_path))
    assert [piece.name for piece in found.pieces] == ["gore"]
    assert any("linetype" in line for line in told(found, "repaired"))


def test_faults_that_do_no_harm_are_told(tmp_path):
    """A layer name that is not allowed stays as it is."""
    document = new_dxf(version="R2000")
    document.modelspace().add_lwpolyline(
        [(0, 0), (300, 0), (300, 200)], close=True, dxfattribs={"layer": "gore"}
    )
    path = saved(document, tmp_path)
    path.write_text(path.read_text().replace("gore", "go<re"))
    found = read_pattern(path)
    assert [piece.name for piece in found.pieces] == ["go<re"]
    assert any("Invalid layer name" in line for line in told(found, "assumed"))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("no xml at all", "not whole XML"),
        ("<svg><g></svg>", "not whole XML"),
        ('<svg xmlns="http://www.w3.org/2000/svg"><g id="a">', "not whole XML"),
        ("<html><body/></html>", "its first element is <html>, not <svg>"),
        ('<!DOCTYPE svg [<!ENTITY a "b">]><svg>&a;</svg>', "declares XML entities"),
        (
            '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg>&a;</svg>',
            "declares XML entities",
        ),
    ],
)
def test_what_is_no_svg_is_refused(tmp_path, content, said):
    """Nothing is expanded, nothing is fetched."""
    path = tmp_path / "gore.svg"
    path.write_text(content)
    refused(path, said)


def test_a_plain_doctype_is_no_entity(tmp_path):
    """Old drawing programs write the DTD of SVG 1.1; it is neither fetched nor refused."""
    path = svg(tmp_path, '<circle id="patch" cx="50" cy="50" r="40"/>')
    doctype = (
        '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    )
    path.write_text(doctype + path.read_text())
    assert read_pattern(path).pieces[0].name == "patch"


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.data(), st.sampled_from(["dxf", "svg"]))
def test_damaged_files_are_read_or_refused(tmp_path, data, ending):
    """Lines lost, doubled or replaced: pieces or one line, never another exception."""
    if ending == "dxf":
        path = a_dxf(tmp_path, version="R2000")
    else:
        path = svg(
            tmp_path,
            '<g id="a"\n><path d="M0\n0\nh100\nv100\nz"\n/><circle\nid="drill"\ncx="5"\ncy="5"\n'
            'r="1"\n/></g\n>',
        )
    lines = path.read_text().split("\n")
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(lines) - 1))
        new = data.draw(
            st.sampled_from(["", "nan", "1e400", "-1", "0", "1e9", "LINE", "z", 'r="1mm"', "é"])
        )
        lines[place : place + data.draw(st.integers(0, 2))] = [new]
    path.write_text("\n".join(lines))
    try:
        pieces = read_pattern(path).pieces
    except YardageError as error:
        assert "\n" not in str(error)  # noqa: PT017  (either outcome is right)
    else:
        assert pieces
        assert all(np.isfinite(piece.outline).all() for piece in pieces)


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    """The system's own reason is passed on."""
    path = a_dxf(tmp_path)

    def denied(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "open", denied)
    with pytest.raises(InputFileError, match="it cannot be read \\(Permission denied\\)"):
        read_pattern(path)


def test_damage_where_no_mending_is_safe(tmp_path):
    """A coordinate the library could only guess is not guessed."""
    path = a_dxf(tmp_path, version="R2000")
    text = path.read_text()
    assert "300.0" in text
    path.write_text(text.replace("300.0", "3oo.0", 1))
    refused(path, "3oo.0", "export it again")
