"""Pieces that fill their cloth exactly fit, in every unit, and the length is the closed form."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.plan import read_plan
from nesting.units import MM_PER

BRIEF = Stop(iterations=60, without_gain=30)


def laid(folder, cloth, *pieces, units="cm", svg_units="mm"):
    """Return the lay of rectangles (across, along, copies), read from files written here.

    Their sizes are texts of numbers in ``svg_units``, each drawn by itself far along the page.
    """
    shapes, tables = [], []
    for number, (across, along, copies) in enumerate(pieces):
        shapes.append(
            f'<g id="p{number}"><rect x="{number * 3}" y="7" width="{across}" height="{along}"/>'
            "</g>"
        )
        tables.append(
            f'[[piece]]\nname = "p{number}"\nfile = "p.svg"\ncloth = "c"\ncut = {copies}\n'
        )
    (folder / "p.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="1000{svg_units}" '
        f'height="1000{svg_units}" viewBox="0 0 1000 1000">{"".join(shapes)}</svg>',
        "utf-8",
    )
    plan = folder / "plan.toml"
    plan.write_text(
        f'units = "{units}"\n[[cloth]]\nname = "c"\n{cloth}\n' + "".join(tables), "utf-8"
    )
    (lay,) = lay_plan(read_plan(plan), stop=BRIEF, workers=1).lays
    return lay


@pytest.mark.parametrize(
    ("cloth", "pieces", "units", "svg_units", "length"),
    [
        ('width = 140', [(350, 900, 4)], "cm", "mm", 900.0),
        ('width = "1400 mm"\nselvage = "1 cm"', [(345, 900, 4)], "cm", "mm", 900.0),
        ('width = 140\nselvage = "1 cm"\ngap = "3 mm"', [(342.75, 900, 4)], "cm", "mm", 900.0),
        ('width = "52 1/2 in"', [(17.5, 30.125, 3)], "in", "in", 30.125 * 25.4),
        ('width = "54"\nselvage = "3/8"', [(17.75, 41.375, 6)], "in", "in", 2 * 41.375 * 25.4),
        ('width = "1 1/3 yd"', [("304.8", 500, 4)], "in", "mm", 500.0),
        ('width = "1/3 yd"', [("101.6", 333.3, 3)], "cm", "mm", 333.3),
        ('width = "1 yd"', [("0.33333333333333", 0.5, 3)], "yd", "in", 12.7),
        ('width = "54 1/8 in"', [("1374.775", 700, 2)], "cm", "mm", 1400.0),
        ('width = "137.4775 cm"', [(54.125, 20, 2)], "cm", "in", 1016.0),
        ('width = 90\nlength = "1 yd"', [(450, 914.4, 2)], "cm", "mm", 914.4),
        ('width = 90\nlength = "1 1/3 yd"\nselvage = "5 mm"', [(44.5, 121.92, 2)], "cm", "cm",
         1219.2),
        ('width = 90\nlength = 100\ngap = "2 mm"', [(449, 499, 4)], "cm", "mm", 1000.0),
        ('width = 100\nshrink = { along = 10, across = 7 }', [(310, 400, 3)], "cm", "mm", 400.0),
        ('width = 110\nselvage = 5\nshrink = { along = 3, across = 3 }', [(483.5, 200, 2)], "cm",
         "mm", 200.0),
    ],
)  # fmt: skip
def test_what_fills_the_width_lies_abreast(tmp_path, cloth, pieces, units, svg_units, length):
    """Each of these sums comes out even: so many abreast, and rows of the piece's own length."""
    lay = laid(tmp_path, cloth, *pieces, units=units, svg_units=svg_units)
    assert lay.status == "proven best", lay.reason
    assert lay.length == pytest.approx(length, abs=0.001)


FRACTIONS = st.sampled_from(
    [
        Fraction(1),
        *(Fraction(n, 8) for n in (1, 3, 5, 7)),
        Fraction(1, 3),
        Fraction(2, 3),
        Fraction(1, 7),
        Fraction(3, 10),
    ]
)


@settings(max_examples=25, deadline=None)
@given(
    unit=st.sampled_from(["cm", "in", "yd", "mm"]),
    whole=st.integers(0, 40), part=FRACTIONS, abreast=st.integers(1, 5), rows=st.integers(1, 2),
    selvage=st.sampled_from(["0", "1 cm", "3/8 in", "1/3 in"]),
    gap=st.sampled_from([0.0, 1.0, 2.54, 10 / 3]),
    owned=st.booleans(),
)  # fmt: skip
def test_any_even_sum_fits(
    tmp_path_factory, unit, whole, part, abreast, rows, selvage, gap, owned
):
    """Width = n pieces, their gaps and two selvages, to the last digit a double has."""
    across = float((whole + part) * Fraction(str(MM_PER[unit])))
    while not 20.0 <= across <= 900.0:
        across = across * 10 if across < 20.0 else across / 10
    lost = {"0": 0.0, "1 cm": 10.0, "3/8 in": 9.525, "1/3 in": 25.4 / 3}[selvage]
    width = abreast * across + (abreast - 1) * gap + 2 * lost
    long = across * 1.7
    length = rows * long + (rows - 1) * gap
    cloth = f'width = "{width!r} mm"\nselvage = "{selvage}"\ngap = "{gap!r} mm"'
    if owned:
        cloth += f'\nlength = "{length!r} mm"'
    lay = laid(
        tmp_path_factory.mktemp("even"),
        cloth,
        (repr(across), repr(long), abreast * rows),
        units="cm",
    )
    assert lay.status != "does not fit", lay.reason
    assert lay.length == pytest.approx(length, abs=0.001)


@pytest.mark.parametrize("over", [0.05, 0.5])
def test_what_is_too_wide_by_a_hair_does_not_fit(tmp_path, over):
    """Four pieces together over the width by half a tenth lie in two rows; none is squeezed."""
    lay = laid(tmp_path, "width = 140", (350 + over / 4, 900, 4))
    assert lay.length == pytest.approx(1800.0, abs=0.001)
    lay = laid(tmp_path, "width = 140\nlength = 90", (350, 900 + over, 4))
    assert lay.status == "does not fit"
