"""Linear programmes whose least value is proven in spite of rounding.

A solver's optimum is right up to its tolerances only. Weak duality is exact: any multipliers of
at least 0, the solver's own put right, give a lower bound in a few sums and products, whose
rounding is a matter of the last digits (Neumaier and Shcherbina 2004).
"""

from __future__ import annotations

import numpy as np
from ortools.linear_solver import pywraplp

from ..geometry.rings import FloatArray


def least_value(
    cost: FloatArray, rows: FloatArray, demand: FloatArray, low: FloatArray, high: FloatArray
) -> tuple[float, FloatArray] | None:
    """Minimise cost z over rows z >= demand and low <= z <= high.

    Returns
    -------
    tuple or None
        A value that no z falls short of, and the solver's best z; None if it failed, which
        proves nothing.
    """
    solver = pywraplp.Solver.CreateSolver("GLOP")
    variables = [solver.NumVar(a, b, "") for a, b in zip(low.tolist(), high.tolist(), strict=True)]
    infinity = solver.infinity()
    constraints = [solver.Constraint(need, infinity) for need in demand.tolist()]
    which, column = np.nonzero(rows)
    for r, c, value in zip(
        which.tolist(), column.tolist(), rows[which, column].tolist(), strict=True
    ):
        constraints[r].SetCoefficient(variables[c], value)
    objective = solver.Objective()
    for variable, value in zip(variables, cost.tolist(), strict=True):
        objective.SetCoefficient(variable, value)
    objective.SetMinimization()
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    found = np.array([variable.solution_value() for variable in variables])
    dual = np.maximum([constraint.dual_value() for constraint in constraints], 0.0)
    return weak_dual(dual, cost, rows, demand, low, high), found


def weak_dual(
    dual: FloatArray,
    cost: FloatArray,
    rows: FloatArray,
    demand: FloatArray,
    low: FloatArray,
    high: FloatArray,
) -> float:
    """Return the lower bound that multipliers of at least 0 prove, whatever they are."""
    reduced = cost - dual @ rows
    ends = np.where(reduced > 0.0, reduced * low, reduced * high)
    value = float(dual @ demand + ends.sum())
    sizes = float(np.abs(dual) @ np.abs(demand) + np.abs(ends).sum())
    # The reduced costs carry rounding too, which counts as far as each variable can go.
    carried = (np.abs(cost) + np.abs(dual) @ np.abs(rows)) @ np.maximum(np.abs(low), np.abs(high))
    return value - 1e-14 * (sizes + float(carried)) * len(demand)
