"""Time HiGHS, as SciPy brings it, on a linear program in the free MPS that this project writes.

Prints the median of the solve calls in milliseconds and the objective. SciPy's own work on the way
into HiGHS is in that time; reading the file is not.
"""
import sys
import time

import numpy
from scipy.optimize import linprog
from scipy.sparse import csr_matrix


def read(path):
    section, kinds, order = "", {}, []
    columns, costs, entries, sides, spreads, bounds = {}, {}, [], {}, {}, {}
    objective = None
    for line in open(path):
        if line.startswith("*") or not line.strip():
            continue
        words = line.split()
        if line[0] != " ":
            section = words[0]
        elif section == "ROWS":
            if words[0] == "N" and objective is None:
                objective = words[1]
            else:
                kinds[words[1]] = words[0]
                order.append(words[1])
        elif section == "COLUMNS":
            if words[1] == "'MARKER'":
                sys.exit("integers are not timed here")
            j = columns.setdefault(words[0], len(columns))
            for row, value in zip(words[1::2], words[2::2]):
                if row == objective:
                    costs[j] = float(value)
                else:
                    entries.append((row, j, float(value)))
        elif section in ("RHS", "RANGES"):
            target = sides if section == "RHS" else spreads
            for row, value in zip(words[1::2], words[2::2]):
                target[row] = float(value)
        elif section == "BOUNDS":
            j = columns[words[2]]
            low, high = bounds.get(j, (0, None))
            value = float(words[3]) if len(words) > 3 else None
            low, high = {
                "UP": (low if value is None or value >= 0 or j in bounds else None, value),
                "LO": (value, high), "FX": (value, value), "FR": (None, None),
                "MI": (None, high), "PL": (low, None),
            }[words[0]]
            bounds[j] = (low, high)
    return kinds, order, columns, costs, entries, sides, spreads, bounds


def build(path):
    kinds, order, columns, costs, entries, sides, spreads, bounds = read(path)
    upper, equal = {}, {}
    above, fixed = [], []
    for row in order:
        kind, side = kinds[row], sides.get(row, 0.0)
        if kind == "E":
            equal[row] = len(fixed)
            fixed.append(side)
            continue
        spread = spreads.get(row)
        if kind == "L" or (kind == "G" and spread is not None):
            upper.setdefault(row, []).append((len(above), 1.0))
            above.append(side if kind == "L" else side + abs(spread))
        if kind == "G" or (kind == "L" and spread is not None):
            upper.setdefault(row, []).append((len(above), -1.0))
            above.append(-side if kind == "G" else abs(spread) - side)
    ub, eq = [], []
    for row, j, value in entries:
        if row in equal:
            eq.append((equal[row], j, value))
        for i, sign in upper.get(row, ()):
            ub.append((i, j, sign * value))

    def matrix(cells, rows):
        if rows == 0:
            return None
        i, j, v = (list(x) for x in zip(*cells)) if cells else ([], [], [])
        return csr_matrix((v, (i, j)), shape=(rows, len(columns)))

    cost = numpy.zeros(len(columns))
    for j, value in costs.items():
        cost[j] = value
    return dict(
        c=cost, A_ub=matrix(ub, len(above)), b_ub=above or None, A_eq=matrix(eq, len(fixed)), b_eq=fixed or None,
        bounds=[bounds.get(j, (0, None)) for j in range(len(columns))],
    )


def main():
    program = build(sys.argv[1])
    limit = float(sys.argv[2]) if len(sys.argv) > 2 else 300.0
    times, result = [], None
    while sum(times) < 1 or (len(times) < 3 and sum(times) < 20):
        begin = time.perf_counter()
        result = linprog(method="highs-ds", options={"time_limit": limit}, **program)
        times.append(time.perf_counter() - begin)
    print(f"{numpy.median(times) * 1e3:.3f} {result.fun if result.status == 0 else result.message.split(';')[0]}")


main()
