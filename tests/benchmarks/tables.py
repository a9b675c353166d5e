"""Markdown tables and the figures in their cells."""


def table(heads, rows):
    """Return a Markdown table; the first column is text, the others stand to the right."""
    rule = [":---", *["---:"] * (len(heads) - 1)]
    return "\n".join("| " + " | ".join(row) + " |" for row in (heads, rule, *rows))


def cell(value, decimals=2):
    """Return a figure, or a dash where there is none."""
    return "-" if value is None else f"{value:.{decimals}f}"


def hours(seconds):
    """Return a duration in the unit that suits it."""
    if seconds < 90.0:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400.0 else f"{seconds / 3600:.1f} h"
