package solver

import "time"

// settleMax is the number of rows and columns together up to which a solve that did not settle in
// floating point is carried on in rational arithmetic.
const settleMax = 400

// settleExactly carries an unproved solution of p on in rational arithmetic, if p is small. What cannot be
// proved within the limits stays as it is.
func settleExactly(p *Problem, unproved *Solution, l *limits) *Solution {
	if len(p.Rows)+len(p.Columns) > settleMax {
		return unproved
	}
	opt := Options{Iterations: l.options.Iterations}
	if !l.deadline.IsZero() {
		if opt.Time = time.Until(l.deadline); opt.Time <= 0 {
			return unproved
		}
	}
	linear := *p
	if p.HasIntegers() || len(p.Cones) > 0 { // a session reads over these
		linear = *p.Clone()
		linear.Cones = nil
		for j := range linear.Columns {
			linear.Columns[j].Kind = Continuous
		}
	}
	proof, err := Prove(l.ctx, &linear, unproved, opt)
	if err != nil || !proof.Proved() {
		return unproved
	}
	solution := proof.Solution()
	solution.Iterations += unproved.Iterations
	return solution
}
