package solver

import (
	"context"
	"fmt"
	"math/big"
)

// Proof is an outcome settled in rational arithmetic: every figure of the problem is read as Decimal
// reads it, and the outcome holds without any tolerance. Vectors that mean nothing for the status are
// nil. Signs follow Solution.
type Proof struct {
	// Status is Optimal, Infeasible or Unbounded when proved, else Limit or Unproved.
	Status Status
	// Reason says in a few words what ran out or why nothing is proved; for an infeasible problem
	// without Farkas multipliers, which bounds cross.
	Reason string
	// Objective, X, Activity, Dual and ReducedCost are as in Solution (Optimal); X and Activity are
	// also a feasible point of an unbounded problem.
	Objective   *big.Rat
	X, Activity []*big.Rat
	Dual        []*big.Rat
	ReducedCost []*big.Rat
	// Basis is the basis that carries the proof.
	Basis *Basis
	// Farkas and Ray are as in Solution.
	Farkas, Ray []*big.Rat
	// Pivots counts the exact pivots made beyond the basis that was to be proved.
	Pivots int
	// Nodes counts the linear programs of a mixed-integer proof.
	Nodes int
}

// Proved reports whether the outcome is settled.
func (p *Proof) Proved() bool {
	return p.Status == Optimal || p.Status == Infeasible || p.Status == Unbounded
}

// Solution returns the proof's figures rounded to the nearest float64, with a certificate of zeros.
func (p *Proof) Solution() *Solution {
	s := &Solution{
		Status: p.Status, Reason: p.Reason,
		X: floats(p.X), Activity: floats(p.Activity), Dual: floats(p.Dual), ReducedCost: floats(p.ReducedCost),
		Basis: p.Basis.Clone(), Farkas: floats(p.Farkas), Ray: floats(p.Ray), Iterations: p.Pivots,
	}
	if p.Objective != nil {
		s.Objective = float(p.Objective)
		s.Bound = s.Objective
	}
	return s
}

func floats(x []*big.Rat) []float64 {
	if x == nil {
		return nil
	}
	y := make([]float64, len(x))
	for i, r := range x {
		y[i] = float(r)
	}
	return y
}

// Prove settles a linear program in rational arithmetic, beginning from the basis of s, an
// outcome of Solve; a nil s begins from the all-logical basis. If the basis is not optimal in exact
// arithmetic it pivots on until the outcome is settled, so the proof may differ from s. Every proof is
// checked against the problem's figures before it is returned.
//
// A program with integer or semi-continuous columns is settled by a tree of linear programs, every node of
// which is closed in rational arithmetic; s gives the answer that is to be proved. That is for small
// programs. Such a proof has no dual values, and of an infeasible program no multipliers.
//
// opt.Iterations caps the exact pivots and opt.Time the wall time; reaching either gives status Limit.
// An error means that p is malformed.
func Prove(ctx context.Context, p *Problem, s *Solution, opt Options) (*Proof, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if len(p.Cones) > 0 {
		return &Proof{Reason: "only linear and mixed-integer linear programs are proved exactly"}, nil
	}
	if opt.Time > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, opt.Time)
		defer cancel()
	}
	r := &run{ctx: ctx, pivots: -1}
	if opt.Iterations > 0 {
		r.pivots = opt.Iterations
	}
	if p.HasIntegers() {
		return proveInteger(ctx, p, s, opt, r)
	}
	e := newExactProgram(p)
	if v := e.crossed(); v >= 0 {
		return &Proof{Status: Infeasible, Reason: "the bounds of " + p.variableName(v) + " cross"}, nil
	}
	basis := opt.Start
	if s != nil && s.Basis != nil {
		basis = s.Basis
	}
	if s != nil && s.Status == Infeasible && len(s.Farkas) == e.rows {
		if proof := e.proveSupport(ctx, p, s); proof != nil {
			return proof, nil
		}
	}
	var d *dictionary
	if basis == nil {
		d = e.dictionary(ctx)
	} else {
		d = e.liftedDictionary(ctx) // a few looks will do if the basis is the right one
	}
	if !d.load(ctx, basis) {
		return r.limit(d), nil
	}
	return d.prove(r), nil
}

// supportPivots is how many pivots proveSupport makes before it gives up.
const supportPivots = 150

// proveSupport looks for a proof of infeasibility among the limits that the Farkas multipliers of s make
// use of, which are mostly few, and returns nil if it finds none.
func (e *exactProgram) proveSupport(ctx context.Context, p *Problem, s *Solution) *Proof {
	f := newExactFinder(ctx, p, p.support(s.Farkas))
	f.run.pivots = supportPivots
	end, row := f.d.dual(f.run, false)
	if end != blocked {
		return nil
	}
	proof := &Proof{Status: Infeasible, Farkas: zeros(e.rows), Basis: s.Basis.Clone(), Pivots: f.d.pivots}
	for i, y := range f.d.farkas(row) {
		proof.Farkas[f.name[e.columns+i].Index] = y
	}
	if e.faultOfFarkas(proof.Farkas) != "" {
		return nil
	}
	return proof
}

// crossed returns a variable whose lower bound exceeds its upper bound, or -1.
func (e *exactProgram) crossed() int {
	for v := range e.lower {
		if e.lower[v] != nil && e.upper[v] != nil && e.lower[v].Cmp(e.upper[v]) > 0 {
			return v
		}
	}
	return -1
}

func (r *run) limit(d *dictionary) *Proof {
	proof := &Proof{Status: Limit, Reason: "exact pivots ran out"}
	if d != nil {
		proof.Basis, proof.Pivots = d.basis(), d.pivots
	}
	if err := r.ctx.Err(); err != nil {
		proof.Reason = LimitReason(err)
	}
	return proof
}

// prove solves the dictionary and returns the checked outcome.
func (d *dictionary) prove(r *run) *Proof {
	end, row, column := d.solve(r)
	if end == stopped || r.ctx.Err() != nil {
		return r.limit(d)
	}
	proof := &Proof{Basis: d.basis(), Pivots: d.pivots}
	var fault string
	switch {
	case row >= 0:
		proof.Status = Infeasible
		proof.Farkas = d.farkas(row)
		fault = d.program.faultOfFarkas(proof.Farkas)
	case column >= 0:
		proof.Status = Unbounded
		d.setPoint(proof)
		proof.Ray = d.ray(column, d.improving(column))
		fault = d.program.faultOfRay(proof)
	default:
		proof.Status = Optimal
		d.setPoint(proof)
		d.setPrices(proof)
		fault = d.program.faultOfOptimum(proof)
	}
	if fault != "" {
		return &Proof{Status: Unproved, Reason: "the exact check failed: " + fault, Basis: proof.Basis, Pivots: d.pivots}
	}
	return proof
}

func (d *dictionary) setPoint(proof *Proof) {
	n := d.program.columns
	x := d.worths()
	proof.X, proof.Activity = x[:n:n], x[n:]
	proof.Objective = d.program.objective(proof.X)
}

func (d *dictionary) setPrices(proof *Proof) {
	n := d.program.columns
	prices := d.prices()
	proof.ReducedCost, proof.Dual = prices[:n:n], prices[n:]
}

// objective returns the objective at x in the problem's own sense.
func (e *exactProgram) objective(x []*big.Rat) *big.Rat {
	value := new(big.Rat)
	var product big.Rat
	for j, c := range e.cost {
		if c.Sign() != 0 && x[j].Sign() != 0 {
			value.Add(value, product.Mul(c, x[j]))
		}
	}
	return value.Add(e.minimized(value), e.offset)
}

// farkas returns the row multipliers with which the dictionary's row, whose variable cannot reach its
// bound, is a combination of the program's rows.
func (d *dictionary) farkas(row int) []*big.Rat {
	n, m := d.program.columns, d.program.rows
	y := make([]*big.Rat, m)
	for i := range y {
		y[i] = new(big.Rat)
	}
	entries := d.table.row(row)
	if v := d.head[row]; v >= n {
		y[v-n].SetFrac(entries.over, big.NewInt(-1))
	}
	for j, v := range d.cobasis {
		if v >= n {
			y[v-n].SetInt(&entries.entries[j])
		}
	}
	var gap, drift big.Int
	above := d.room(row, AtUpper, &gap, &drift) && lexicographicSign(&gap, &drift) < 0
	for i := range y {
		if above {
			y[i].Neg(y[i])
		}
		y[i].Quo(y[i], d.program.unit[n+i])
	}
	return y
}

// ray returns the columns' direction when the nonbasic variable of column q moves by one of its units.
func (d *dictionary) ray(q, direction int) []*big.Rat {
	n := d.program.columns
	ray := make([]*big.Rat, n)
	for j := range ray {
		ray[j] = new(big.Rat)
	}
	step := big.NewInt(int64(direction))
	set := func(v int, amount, unit *big.Int) {
		if v < n {
			ray[v] = d.measured(v, new(big.Int).Mul(amount, step), unit)
		}
	}
	set(d.cobasis[q], big.NewInt(1), big.NewInt(1))
	column := d.table.column(q)
	for i, v := range d.head {
		set(v, &column.entries[i], column.over)
	}
	return ray
}

// linear reports whether p is nothing but a linear program.
func (p *Problem) linear() bool { return !p.HasIntegers() && len(p.Cones) == 0 }

// variableName describes a variable, numbered columns first and then rows.
func (p *Problem) variableName(v int) string {
	if v < len(p.Columns) {
		return fmt.Sprintf("column %d %q", v, p.Columns[v].Name)
	}
	i := v - len(p.Columns)
	return fmt.Sprintf("row %d %q", i, p.Rows[i].Name)
}
