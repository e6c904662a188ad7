"""The plane that needs the least work: a small linear program, solved by its dual.

Amounts d = plane − readings. What an amount costs is the greatest price · d over the prices allowed for that reading:
−1 … 1 makes |d|; no lower bound forbids d < 0; no bound at all forbids any amount. The dual then has a column for
each reading but only three rows, whose own duals are the plane, and is solved in a millisecond; its value bounds the
work of every plane from below, so an equal sum of amounts proves itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import highspy
import numpy as np

# The public class greets on standard output as soon as it is made, where only JSON may stand; its base is silent.
from highspy._core import _Highs

from layout.errors import RoomError
from layout.survey.gaps import Floats

_AT_BOUND = 1e-9
_TIGHT = 1e-6
"""mm. A reading as near as this to the solver's plane lies on it."""

FREE = np.inf


@dataclass(frozen=True, slots=True)
class Fit:
    """A plane (by `places`), the amounts in mm that bring each reading to it, and what no plane can cost less than."""

    plane: Floats
    amounts: Floats
    bound: float


def places(at: Floats, along: Floats) -> Floats:
    """Return (readings, 3) the rows of 1, across, along: centered and scaled, so that no unit upsets the solver."""
    return np.column_stack((np.ones(len(at)), _scaled(at), _scaled(along)))


def _scaled(values: Floats) -> Floats:
    middle = (values.max() + values.min()) / 2
    half = (values.max() - values.min()) / 2
    return np.asarray((values - middle) / (half or 1.0))


def fit(rows: Floats, readings: Floats, low: Floats, high: Floats) -> Fit:
    """Return the cheapest plane's amounts under prices `low` … `high`.

    Of equally cheap planes it is the one farthest toward the room (rather shimmed than planed), then toward the last
    line, then toward the lines' far ends: one plane, whatever vertex a solver stops at. Raises RoomError where the
    solver gives up.
    """
    plane, prices = _solve(rows, readings, low, high)
    bound = -float(prices @ readings)
    rank = np.linalg.matrix_rank(rows)
    for weight in rows.T:
        inside = (prices > low + _AT_BOUND) & (prices < high - _AT_BOUND)
        if np.linalg.matrix_rank(rows[inside]) == rank:
            break
        # By complementary slackness the cheapest planes are those that pass through the readings priced inside their
        # bounds, and lie on the side of the others that their price names.
        at_high = prices >= high - _AT_BOUND
        low = np.where(inside | at_high, -FREE, 0.0) - weight
        high = np.where(inside | ~at_high, FREE, 0.0) - weight
        plane, prices = _solve(rows, readings, low, high)
    amounts = rows @ plane - readings
    tight = np.abs(amounts) < _TIGHT
    plane = plane - np.linalg.lstsq(rows[tight], amounts[tight], rcond=None)[0]
    amounts = rows @ plane - readings
    amounts[np.abs(amounts) < _TIGHT] = 0.0
    return Fit(plane, amounts, bound)


def _solve(rows: Floats, readings: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Return the plane and the prices that minimize price · reading with rows' · prices = 0 within their bounds."""
    count, width = rows.shape
    program = highspy.HighsLp()
    program.num_col_, program.num_row_ = count, width
    program.col_cost_ = readings
    program.col_lower_ = np.where(np.isinf(low), -highspy.kHighsInf, low)
    program.col_upper_ = np.where(np.isinf(high), highspy.kHighsInf, high)
    program.row_lower_ = program.row_upper_ = np.zeros(width)
    program.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    program.a_matrix_.start_ = np.arange(0, count * width + 1, width)
    program.a_matrix_.index_ = np.tile(np.arange(width), count)
    program.a_matrix_.value_ = rows.ravel()
    solver = _Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("solver", "simplex")
    solver.setOptionValue("presolve", "off")
    solver.setOptionValue("primal_feasibility_tolerance", 1e-9)
    solver.setOptionValue("dual_feasibility_tolerance", 1e-9)
    solver.passModel(program)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        raise RoomError("lines", "no plane can be worked out for readings so far from each other; look at the numbers")
    solution = solver.getSolution()
    return np.array(solution.row_dual), np.array(solution.col_value)
