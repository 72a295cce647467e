package solver

import (
	"context"
	"math/big"
	"strconv"
)

// Cut is the linear consequence of a cone for a direction of length 1 or less, one entry a factor.
type Cut struct {
	Cone      int
	Direction []float64
}

// Cuts are the linear consequences of cones that an answer rests on.
type Cuts struct {
	Cuts []Cut
	// Basis is that of the rows of the problem, followed by those of the cuts.
	Basis *Basis
}

// ProveBound settles in rational arithmetic the linear program in which the cuts of s, an outcome of Solve,
// stand in place of the cones of p. Every cut is weakened to short decimals that p's cones and bounds imply
// exactly, so that an Optimal proof's objective is a bound that no answer to p passes, and an Infeasible proof
// leaves p no answer. Its X may overstep cones by what Solve allows. Of p without cones it is Prove.
func ProveBound(ctx context.Context, p *Problem, s *Solution, opt Options) (*Proof, error) {
	if len(p.Cones) == 0 {
		return Prove(ctx, p, s, opt)
	}
	if p.HasIntegers() || s == nil || s.Cuts == nil {
		return &Proof{Reason: "there are no cuts to prove a bound by"}, nil
	}
	linear := p.Clone()
	linear.Cones = nil
	m := len(p.Rows)
	basis := s.Cuts.Basis.Clone()
	fits := basis != nil && len(basis.Rows) == m+len(s.Cuts.Cuts)
	if fits {
		basis.Rows = basis.Rows[:m:m]
	}
	for i, cut := range s.Cuts.Cuts {
		if fits && s.Status == Optimal && s.Cuts.Basis.Rows[m+i] == Basic {
			continue // holds nothing
		}
		row, ok := p.Cones[cut.Cone].weaker(cut.Direction, p.Columns)
		if !ok {
			return &Proof{Reason: "a cut over a column without a sign cannot be rounded"}, nil
		}
		linear.AddRow(row)
		if fits {
			basis.Rows = append(basis.Rows, s.Cuts.Basis.Rows[m+i])
		}
	}
	start := &Solution{Status: s.Status}
	if fits && s.Status == Optimal {
		start.Basis = basis
	}
	proof, err := Prove(ctx, linear, start, opt)
	if err != nil {
		return nil, err
	}
	proof.Activity, proof.Dual, proof.Farkas = proof.Activity[:min(m, len(proof.Activity))], proof.Dual[:min(m, len(proof.Dual))], nil
	proof.Basis = nil // of the rows with the cuts
	return proof, nil
}

// weaker returns a cut that c and the signs of the columns imply exactly, in short decimals. It is not ok
// where a column without a sign has a coefficient that is no short decimal.
func (c *Cone) weaker(direction []float64, columns []Column) (Row, bool) {
	u := inside(direction)
	sum := map[int]*big.Rat{}
	order := []int{}
	add := func(terms []Term, by *big.Rat) {
		for _, t := range terms {
			if sum[t.Column] == nil {
				sum[t.Column] = new(big.Rat)
				order = append(order, t.Column)
			}
			sum[t.Column].Add(sum[t.Column], new(big.Rat).Mul(by, Decimal(t.Value)))
		}
	}
	add(c.Linear, big.NewRat(1, 1))
	upper := Decimal(c.Upper)
	scale := Decimal(c.Scale)
	for i, factor := range c.Factors {
		by := new(big.Rat).Mul(scale, u[i])
		add(factor, by)
		if len(c.Constants) > 0 {
			upper.Sub(upper, by.Mul(by, Decimal(c.Constants[i])))
		}
	}
	row := Row{Name: c.Name, Lower: -Inf, Upper: shortBeside(upper, true)}
	for _, j := range order {
		up := columns[j].Lower < 0
		v := shortBeside(sum[j], up)
		if up && columns[j].Upper > 0 && Decimal(v).Cmp(sum[j]) != 0 {
			return row, false
		}
		if v != 0 {
			row.Terms = append(row.Terms, Term{j, v})
		}
	}
	return row, true
}

// inside returns a direction near to u, in short decimals, whose length is at most 1.
func inside(u []float64) []*big.Rat {
	const places = 1e10
	exact := make([]*big.Rat, len(u))
	square := new(big.Rat)
	for i, v := range u {
		exact[i] = big.NewRat(int64(v*places), places) // towards zero
		square.Add(square, new(big.Rat).Mul(exact[i], exact[i]))
	}
	if one := big.NewRat(1, 1); square.Cmp(one) > 0 { // the given one is too long itself, by square - 1 and no more
		for i := range exact {
			exact[i].Quo(exact[i], square)
		}
	}
	return exact
}

// shortBeside returns the decimal of few digits next to r, not below it (up) or not above it.
func shortBeside(r *big.Rat, up bool) float64 {
	const digits = 13
	near, _ := r.Float64()
	v, _ := strconv.ParseFloat(strconv.FormatFloat(near, 'e', digits-1, 64), 64)
	for step := 1e-13; ; step *= 2 {
		if sign := Decimal(v).Cmp(r); sign == 0 || (sign > 0) == up {
			return v
		}
		away := step * max(near, -near)
		if !up {
			away = -away
		}
		v, _ = strconv.ParseFloat(strconv.FormatFloat(near+away, 'e', digits-1, 64), 64)
	}
}
