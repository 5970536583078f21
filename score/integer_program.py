"""A small integer program and HiGHS behind it, which can begin from a solution and says how good the best can be."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Any, NamedTuple


class Solved(NamedTuple):
    """What came out.

    Attributes:
        values: of each column; empty where nothing was found in time.
        worth: of these values.
        bound: no values can be worth more; infinite where time was too short to say.
    """

    values: tuple[float, ...]
    worth: float
    bound: float


@dataclass(slots=True)
class IntegerProgram:
    """Columns with what each unit is worth, and rows between two bounds; worth is maximised."""

    worths: list[float] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    lows: list[float] = field(default_factory=list)
    highs: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    columns: list[int] = field(default_factory=list)
    factors: list[float] = field(default_factory=list)

    def column(self, worth: float, least: float, most: float, whole: bool = True) -> int:
        """Add a column; its number."""
        self.worths.append(worth)
        self.least.append(least)
        self.most.append(most)
        self.whole.append(whole)
        return len(self.worths) - 1

    def row(self, factors: Mapping[int, float], low: float, high: float) -> int:
        """Add a row, the sum of columns times factors between two bounds; its number."""
        self.columns += factors.keys()
        self.factors += factors.values()
        self.starts.append(len(self.columns))
        self.lows.append(low)
        self.highs.append(high)
        return len(self.lows) - 1

    def solve(
        self,
        seconds: float,
        gap: float,
        start: Sequence[float] = (),
        *,
        presolve: bool = True,
        cut: bool = False,
    ) -> Solved:
        """The best values there are, or the best in time.

        Args:
            seconds: at the most.
            gap: share of the worth that may be left.
            start: values to begin with, one a column; empty for none.
            presolve: look for what can be left out first; where many columns exclude each other that takes longest.
            cut: no column has to be whole.
        """
        import highspy

        solver = _quiet_solver(highspy)
        solver.setOptionValue("time_limit", max(0.05, seconds))
        solver.setOptionValue("mip_rel_gap", gap)
        solver.setOptionValue("threads", 1)
        solver.setOptionValue("presolve", "choose" if presolve else "off")
        solver.passModel(self.model(highspy, cut=cut))
        if start:
            solution = highspy.HighsSolution()
            solution.col_value = list(start)
            solver.setSolution(solution)
        solver.run()
        info = solver.getInfo()
        feasible = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
        values = tuple(solver.getSolution().col_value) if feasible else ()
        bound = -info.mip_dual_bound
        if cut or not any(self.whole):
            # Without whole columns the best is its own bound, where it was reached.
            optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
            bound = -info.objective_function_value if optimal else inf
        return Solved(values, -info.objective_function_value, bound=bound if bound == bound else inf)

    def model(self, highspy: Any, *, cut: bool) -> Any:
        """The program as the solver takes it; `cut` as in `solve`."""
        import numpy as np

        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(self.worths), len(self.lows)
        model.col_cost_ = -np.array(self.worths)
        model.col_lower_, model.col_upper_ = np.array(self.least), np.array(self.most)
        model.row_lower_, model.row_upper_ = np.array(self.lows), np.array(self.highs)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.array(self.starts)
        model.a_matrix_.index_ = np.array(self.columns)
        model.a_matrix_.value_ = np.array(self.factors)
        kinds = highspy.HighsVarType
        model.integrality_ = [kinds.kInteger if whole and not cut else kinds.kContinuous for whole in self.whole]
        return model


class LoadedProgram:
    """A program that stays loaded, no column of which has to be whole, so that it is solved again from where it was."""

    def __init__(self, program: IntegerProgram) -> None:
        import highspy

        self._solver = _quiet_solver(highspy)
        self._solver.setOptionValue("threads", 1)
        self._solver.passModel(program.model(highspy, cut=True))

    def solve(self, highs: Mapping[int, float]) -> tuple[float, tuple[float, ...]]:
        """The most it is worth with other upper bounds of some rows, and what one more of each would add."""
        for row, high in highs.items():
            self._solver.changeRowBounds(row, 0.0, float(high))
        self._solver.run()
        duals = self._solver.getSolution().row_dual
        return -self._solver.getInfo().objective_function_value, tuple(max(0.0, -duals[row]) for row in highs)


def _quiet_solver(highspy: Any) -> Any:
    """A solver that prints nothing: its own beginning would print a line before it can be told not to."""

    class Quiet(highspy.Highs):  # type: ignore[misc]
        def __init__(self) -> None:
            super(highspy.Highs, self).__init__()
            self.setOptionValue("output_flag", False)

    return Quiet()
