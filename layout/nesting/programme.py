"""A linear programme handed to HiGHS."""

from __future__ import annotations

import highspy
import numpy as np

from layout.geometry.field import Floats


def solved(lp: highspy.HighsLp, exact: float) -> Floats | None:
    """The best values of all columns, every row kept to within `exact`; None where there are none."""
    # The constructor of highspy's own class prints a banner before it can be told not to.
    solver = highspy.Highs.__new__(highspy.Highs)
    super(highspy.Highs, solver).__init__()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("primal_feasibility_tolerance", exact)
    solver.passModel(lp)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return np.asarray(solver.getSolution().col_value)
