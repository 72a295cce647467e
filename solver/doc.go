// Package solver finds, proves and explains optima of linear and mixed-integer programs.
//
// A problem is
//
//	minimise (or maximise)  offset + Σ c_j x_j
//	subject to              rowLower_i <= Σ a_ij x_j <= rowUpper_i   for every row i
//	                        lower_j    <= x_j         <= upper_j     for every column j
//
// where any bound may be infinite. Every row has a logical variable s_i = Σ a_ij x_j that carries
// the row's bounds, so a basis always holds as many variables as there are rows, redundant rows are
// harmless and two-sided rows are native.
//
// One sign convention holds everywhere. The dual value of a row is the derivative of the objective,
// as stated by the problem's sense, with respect to the row's binding limit. The reduced cost of a
// column is the derivative of the objective with respect to the value at which that column is held.
// Hence, with A_j the j-th column of A, reduced cost d_j = c_j - A_j·y in either sense.
//
// Solve works in floating point and certifies what it finds; a Session solves a program again and again as
// its costs and bounds change. Prove settles the outcome in rational arithmetic, that of small programs with
// integer columns too. Sensitivity says how far a limit can move before its price changes, Follow and Advance
// walk on from there, ParametricCosts does the same for costs, AlternativeOptima finds what else is as good and
// FindConflict why nothing is. What is said to be exact reads a float64 as the shortest decimal that prints it
// (Decimal), or as the decimal that Problem.Figures holds for it, so that ties, degenerate vertices and limits
// that only just hold are told apart and not guessed at.
//
// An infeasible or unbounded problem, and a limit that ran out, are outcomes and not errors: see
// Status. The package prints nothing and knows nothing of what the columns stand for.
package solver
