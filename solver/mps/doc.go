// Package mps reads and writes linear and mixed-integer programs as MPS files, the format that nearly
// every solver takes, so that any answer can be checked elsewhere.
//
// Read takes both layouts, told apart by the file itself: fixed, where fields begin at the columns 2,
// 5, 15, 25, 40 and 50 and names may hold blanks, and free, where blanks part the fields. A file that
// makes sense in both layouts with different meanings is refused.
//
// Where readers of MPS differ, Read follows these rules:
//
//   - The first N row is the objective, unless OBJNAME names another; further N rows are kept as free
//     rows.
//   - A right-hand side v on the objective stands for the constant -v. One on another free row means
//     nothing.
//   - RANGES value R: L rows become [rhs-|R|, rhs], G rows [rhs, rhs+|R|], E rows [rhs, rhs+R] for
//     R >= 0 and [rhs+R, rhs] for R < 0.
//   - A negative UP bound makes the lower bound -infinite unless the file states a lower bound for
//     that column.
//   - An integer column of a MARKER block for which BOUNDS states nothing lies within [0, 1].
//   - Of several sets of RHS, RANGES or BOUNDS the first one is used.
//   - Markers other than INTORG and INTEND are refused, and so is any section beyond these.
//   - A magnitude of 1e30 and more in a bound or right-hand side is infinite.
package mps
