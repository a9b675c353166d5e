"""Densities others have published, in per cent, with where each is from.

"read": seen in the source or in a reprint; "from memory": not looked up.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    """A method: how the table calls it, where it is published, and its values by instance."""

    label: str
    reference: str
    values: dict[str, float]


SOURCES = (
    Source(
        "annealing 2006",
        "simulated annealing hybrid: Gomes & Oliveira, EJOR 171 (2006); read in the files",
        {"albano": 87.43, "shirts": 86.80, "swim": 74.37, "mao": 81.01},
    ),
    Source(
        "beam search 2010",
        "Bennell & Song, J. Heuristics 16 (2010); read",
        {"albano": 87.88, "shirts": 88.04, "swim": 75.04},
    ),
    Source(
        "best of 2013",
        "Elkeran, EJOR 231 (2013); textile values from memory. The two jigsaws (Dighe & Jakiela "
        "1996) are cut from a rectangle, so that 100 is the optimum by construction",
        {
            "albano": 89.58, "shirts": 88.96, "swim": 75.94, "mao": 85.44,
            "dighe1": 100.0, "dighe2": 100.0,
        },
    ),
)  # fmt: skip

BEST = SOURCES[-1]

INSTANCES = ("albano", "shirts", "swim", "mao", "dighe1", "dighe2")
"""All open instances of the report, in the order of its tables."""
