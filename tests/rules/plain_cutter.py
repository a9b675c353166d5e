"""A plain cutter in place of the engine: pieces one behind the other at the near selvage.

What she lays can be worked out by hand, and she writes down what she was asked.
"""

from dataclasses import dataclass, field, replace

from nesting.model.problem import Position

from .garments import result_of


@dataclass
class PlainCutter:
    """Lays every item in its first shape at the first free place, never beside another.

    ``minimum`` is what she says no layout falls short of, of her own length; ``stop_reason`` is
    what she says she stopped for. ``asked`` keeps share, target, useful and start of every call,
    ``shown`` the lays she could show of it.
    """

    minimum: float = 0.0
    stop_reason: str = "iterations"
    asked: list = field(default_factory=list)
    shown: list = field(default_factory=list)

    def __call__(self, compiled, share, *, target=None, useful=None, start=None, as_lays=None):
        """Return the layout, as the engine would."""
        self.asked.append((share, target, useful, start))
        x, placed = 0.0, []
        for item in compiled.problem.items:
            shape = compiled.problem.shapes[item.shapes[0]]
            x = _free(compiled.problem, shape.box, x)
            placed.append(Position(item.shapes[0], x - shape.box[0], -shape.box[1]))
            x += shape.box[2] - shape.box[0]
        found = result_of(compiled, [(p.shape, p.x, p.y) for p in placed])
        made = replace(found, minimum=self.minimum * found.length, stop_reason=self.stop_reason)
        self.shown.append(as_lays and as_lays(made))
        return made


def _free(problem, box, x):
    """Return the least x from which no obstacle's box is in the way of a shape at the selvage."""
    long, wide = box[2] - box[0], box[3] - box[1]
    obstacles = sorted(obstacle.shape.box for obstacle in problem.obstacles)
    for x0, y0, x1, _ in obstacles:
        if x0 < x + long - 1e-6 and x1 > x + 1e-6 and y0 < wide - 1e-6:
            x = x1
    return x
