"""Linear programs of least cost, solved by HiGHS, with the prices that prove the answer. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Real = NDArray[np.float64]
    Whole = NDArray[np.int64]

__all__ = ["Answer", "Program", "least_cost"]


@dataclass(frozen=True)
class Program:
    """Variables (columns) with costs and bounds, and rows that are bounded sums of columns.

    `entries` are row, column and value of each number of the matrix, ordered by column; bounds may be infinite.
    """

    cost: Real
    least: NDArray[Any]
    most: NDArray[Any]
    row_least: NDArray[Any]
    row_most: NDArray[Any]
    entries: tuple[Whole, Whole, Real]


@dataclass(frozen=True)
class Answer:
    """The amount of each column, and the change of cost for one more of a column or of a row's bound."""

    amounts: Real
    prices: Real
    row_prices: Real


def least_cost(program: Program) -> Answer:
    """The amounts of least cost, by the dual simplex method. Raises ArithmeticError if HiGHS finds none."""
    import highspy
    import numpy as np

    row, column, value = program.entries
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(program.cost), len(program.row_least)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = program.cost, program.least, program.most
    lp.row_lower_, lp.row_upper_ = program.row_least, program.row_most
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.searchsorted(column, np.arange(lp.num_col_ + 1))
    lp.a_matrix_.index_, lp.a_matrix_.value_ = row, value
    solver = highspy._Highs()  # the bare binding: the class above it prints a banner when it is made (1.16)
    for option, chosen in (("output_flag", False), ("threads", 1), ("solver", "simplex"), ("simplex_strategy", 1)):
        solver.setOptionValue(option, chosen)
    solver.passModel(lp)
    solver.run()
    status = solver.getModelStatus()
    if status != highspy.HighsModelStatus.kOptimal:
        raise ArithmeticError(f"the linear program was not solved: {solver.modelStatusToString(status)}")
    found = solver.getSolution()
    return Answer(np.array(found.col_value), np.array(found.col_dual), np.array(found.row_dual))
