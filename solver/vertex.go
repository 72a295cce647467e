package solver

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// vertex is a basis with its factors and the point and prices that follow from it. Variables are the
// columns and then the logicals of the rows.
type vertex struct {
	p             *Problem
	basis         *Basis
	head          []int
	lu            mat.LU
	value         []float64 // of every variable
	dual, reduced []float64 // of every row, of every variable
}

func (v *vertex) place(variable int) Place {
	if n := len(v.p.Columns); variable >= n {
		return v.basis.Rows[variable-n]
	}
	return v.basis.Columns[variable]
}

func (v *vertex) bounds(variable int) (lower, upper float64) {
	if n := len(v.p.Columns); variable >= n {
		return v.p.Rows[variable-n].Lower, v.p.Rows[variable-n].Upper
	}
	return v.p.Columns[variable].Lower, v.p.Columns[variable].Upper
}

// basicSolution computes the vertex of basis b in dense arithmetic.
func basicSolution(p *Problem, b *Basis) (*vertex, error) {
	n, m := len(p.Columns), len(p.Rows)
	v := &vertex{p: p, basis: b, value: make([]float64, n+m), reduced: make([]float64, n+m), dual: make([]float64, m)}
	position := make([]int, n+m)
	for k := range n + m {
		position[k] = -1
		lower, upper := v.bounds(k)
		switch v.place(k) {
		case Basic:
			position[k] = len(v.head)
			v.head = append(v.head, k)
		case AtLower:
			v.value[k] = lower
		case AtUpper:
			v.value[k] = upper
		}
		if v.place(k) != Basic && math.Abs(v.value[k]) >= Huge {
			return nil, errNotBasic
		}
	}
	if len(v.head) != m {
		return nil, errNotBasic
	}
	if m == 0 {
		for j, c := range p.Columns {
			v.reduced[j] = c.Cost
		}
		return v, nil
	}
	matrix := mat.NewDense(m, m, nil)
	right := mat.NewVecDense(m, nil)
	for i, row := range p.Rows {
		for _, t := range row.Terms {
			if at := position[t.Column]; at >= 0 {
				matrix.Set(i, at, t.Value)
			} else {
				right.SetVec(i, right.AtVec(i)-t.Value*v.value[t.Column])
			}
		}
		if at := position[n+i]; at >= 0 {
			matrix.Set(i, at, -1)
		} else {
			right.SetVec(i, right.AtVec(i)+v.value[n+i])
		}
	}
	v.lu.Factorize(matrix)
	x, err := v.solve(false, right)
	if err != nil {
		return nil, err
	}
	cost := mat.NewVecDense(m, nil)
	for at, k := range v.head {
		v.value[k] = x.AtVec(at)
		if k < n {
			cost.SetVec(at, p.Columns[k].Cost)
		}
	}
	y, err := v.solve(true, cost)
	if err != nil {
		return nil, err
	}
	for j, c := range p.Columns {
		v.reduced[j] = c.Cost
	}
	for i, row := range p.Rows {
		v.dual[i] = y.AtVec(i)
		v.reduced[n+i] = v.dual[i]
		for _, t := range row.Terms {
			v.reduced[t.Column] -= v.dual[i] * t.Value
		}
	}
	for _, k := range v.head {
		v.reduced[k] = 0
	}
	return v, nil
}

// solve returns B⁻¹b, or B⁻ᵀb if transposed. An ill-conditioned basis is no error here: what is read
// off it is checked by those who use it.
func (v *vertex) solve(transposed bool, b *mat.VecDense) (*mat.VecDense, error) {
	var x mat.VecDense
	if err := v.lu.SolveVecTo(&x, transposed, b); err != nil {
		if condition, ok := err.(mat.Condition); !ok || math.IsInf(float64(condition), 1) {
			return nil, fmt.Errorf("solver: the basis is singular: %w", err)
		}
	}
	return &x, nil
}
