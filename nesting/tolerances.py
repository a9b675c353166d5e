"""Every tolerance of the package, in millimetres unless said, each with its reason.

A chalk line is about 1 mm wide and scissors wander by as much, so the whole way from the file
to the chalk line is held under 0.5 mm. Nothing here is ever loosened to make a test pass.
"""

from __future__ import annotations

FLATTEN = 0.1
"""Largest distance between a curve and the chords that stand for it (a tenth of a chalk line)."""

TURN_OF_CHORDS = 6.0
"""Most degrees by which one chord of a curve turns from the next: along an allowance d the mitre
of two chords then stands out by d / 730, under a tenth of a millimetre for hems up to 7 cm."""

SIMPLIFY_OUTWARD = 0.3
"""Most that an outline may grow where the engine's copy of it is simplified outward."""

JOIN_ENDS = 0.05
"""Ends of separate lines and arcs nearer than this are one corner (drawing programs round)."""

ON_OUTLINE = 1.0
"""Farthest that a notch, a fold line or a named point may stand off the outline it belongs to
(the width of a chalk line); it is moved on to the outline, and that is said."""

SAME_POINT = 1e-6
"""Coordinates nearer than this are the same point (float noise after unit conversion)."""

STRETCH_END = 1.0
"""The end of a named stretch may miss the outline by this: a chalk line, and no more guessed."""

OVERLAP_DEPTH = 0.01
"""Deepest overlap of two cut lines the independent check lets pass (a tenth of a hair)."""

EDGE_SLACK = 0.01
"""How far a cut line may stand over the usable width or the cut end in the check."""

CONGRUENT = 0.01
"""Largest distance between a placed outline and the same outline recomputed by the check."""

LENGTH_REPORT = 0.01
"""Largest difference between a reported and a recomputed length."""

MOTIF = 0.1
"""How far a point may lie from its place of the repeat, or matched points from each other's (a
tenth of a chalk line; the eye sees a step in a stripe from about 0.5 mm)."""

ANGLE_DEG = 0.01
"""Degrees by which a placed grain line may differ from its rule (0.5 mm over 3 m)."""

SMALLEST_PIECE = 5.0
"""An outline less than this in both directions is a slip of the drawing, not a piece."""

LARGEST_PIECE = 20_000.0
"""An outline larger than this in any direction has its units wrong."""

LARGEST_FILE_BYTES = 50_000_000
"""Pattern files larger than this are refused before they are read."""
