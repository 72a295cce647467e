package solver

import (
	"math"
	"math/big"
	"slices"
)

// Curve is the optimal objective as a function of a parameter t: piecewise linear, without gaps, and
// exact but for the rounding of its figures to float64.
type Curve struct {
	// Pieces run from the least t to the greatest; each begins where the one before ends.
	Pieces []Piece
	// Low and High say what stops the curve at its two ends: Optimal that the stated end was reached,
	// Infeasible or Unbounded that the problem is so beyond.
	Low, High Status
}

// Piece is one interval of a curve over which the optimal X follows one line.
type Piece struct {
	From, To float64
	// ObjectiveFrom and ObjectiveTo are the optimal values at From and To; at an infinite end they are
	// infinite unless the slope is zero.
	ObjectiveFrom, ObjectiveTo float64
	// Slope is the derivative of the objective with respect to t.
	Slope float64
	// XFrom and XTo are optimal columns at From and To (nil at an infinite end), and XRate their
	// derivative with respect to t.
	XFrom, XTo, XRate []float64
	// Basis, Dual and ReducedCost are optimal at From, or at To if only that end is finite.
	Basis             *Basis
	Dual, ReducedCost []float64
	// Entering and Leaving are the variables by which Basis differs from that of the piece before.
	Entering, Leaving []Variable

	// The line passes through these figures at t = anchor.
	anchor, objective float64
	x                 []float64
}

// At returns the objective and the columns at t, which lies in the piece.
func (p *Piece) At(t float64) (objective float64, x []float64) {
	x = make([]float64, len(p.x))
	for j := range x {
		x[j] = p.x[j] + (t-p.anchor)*p.XRate[j]
	}
	return p.objective + (t-p.anchor)*p.Slope, x
}

// exactPiece is a piece in exact arithmetic. Its figures are those at the anchor, a point within it.
type exactPiece struct {
	from, to         *big.Rat // nil is infinite
	anchor           *big.Rat
	objective, slope *big.Rat   // in the problem's own sense
	x, rate          []*big.Rat // of all variables
	prices, drift    []*big.Rat // of all variables, in the problem's own sense, and their rate
	basis            *Basis
}

// continues reports whether q goes on along the line of p.
func (p *exactPiece) continues(q *exactPiece) bool {
	return p.slope.Cmp(q.slope) == 0 && slices.EqualFunc(p.rate, q.rate, func(a, b *big.Rat) bool { return a.Cmp(b) == 0 })
}

// mirrored turns a piece of the walk along -t into one along t.
func (p *exactPiece) mirrored() *exactPiece {
	q := *p
	q.from, q.to, q.anchor = negative(p.to), negative(p.from), negative(p.anchor)
	q.slope = negative(p.slope)
	q.rate, q.drift = negatives(p.rate), negatives(p.drift)
	return &q
}

func negative(x *big.Rat) *big.Rat {
	if x == nil {
		return nil
	}
	return new(big.Rat).Neg(x)
}

func negatives(x []*big.Rat) []*big.Rat {
	y := make([]*big.Rat, len(x))
	for i := range x {
		y[i] = negative(x[i])
	}
	return y
}

func zeros(n int) []*big.Rat {
	x := make([]*big.Rat, n)
	for i := range x {
		x[i] = new(big.Rat)
	}
	return x
}

// join makes one curve of the pieces of a walk down from zero, in the order walked, and of a walk up.
func (e *exactProgram) join(down, up []*exactPiece) []Piece {
	var joined []*exactPiece
	add := func(piece *exactPiece) {
		n := len(joined)
		switch {
		case n == 0 || !joined[n-1].continues(piece):
			joined = append(joined, piece)
		case joined[n-1].from == nil:
			whole := *piece
			whole.from = nil
			joined[n-1] = &whole
		default:
			whole := *joined[n-1]
			whole.to = piece.to
			joined[n-1] = &whole
		}
	}
	for _, piece := range slices.Backward(down) {
		add(piece.mirrored())
	}
	for _, piece := range up {
		add(piece)
	}
	pieces := make([]Piece, len(joined))
	for k, piece := range joined {
		pieces[k] = e.rounded(piece)
		if k > 0 {
			pieces[k].Entering, pieces[k].Leaving = e.exchanged(joined[k-1].basis, piece.basis)
		}
	}
	return pieces
}

// rounded gives a piece its float64 figures.
func (e *exactProgram) rounded(p *exactPiece) Piece {
	n := e.columns
	piece := Piece{
		From: math.Inf(-1), To: math.Inf(1),
		Slope: float(p.slope), XRate: floats(p.rate[:n]), Basis: p.basis,
		anchor: float(p.anchor), objective: float(p.objective), x: floats(p.x[:n]),
	}
	far := func(sign int) float64 {
		if p.slope.Sign() == 0 {
			return piece.objective
		}
		return math.Inf(sign * p.slope.Sign())
	}
	line := func(t *big.Rat) (float64, float64, []float64) {
		length := new(big.Rat).Sub(t, p.anchor)
		return float(t), float(lineAt(p.objective, p.slope, length)), floats(linesAt(p.x[:n], p.rate[:n], length))
	}
	piece.ObjectiveFrom, piece.ObjectiveTo = far(-1), far(1)
	priced := p.anchor
	if p.to != nil {
		piece.To, piece.ObjectiveTo, piece.XTo = line(p.to)
		priced = p.to
	}
	if p.from != nil {
		piece.From, piece.ObjectiveFrom, piece.XFrom = line(p.from)
		priced = p.from
	}
	prices := floats(linesAt(p.prices, p.drift, new(big.Rat).Sub(priced, p.anchor)))
	piece.ReducedCost, piece.Dual = prices[:n:n], prices[n:]
	return piece
}

func lineAt(value, slope, length *big.Rat) *big.Rat {
	moved := new(big.Rat).Mul(length, slope)
	return moved.Add(moved, value)
}

func linesAt(values, slopes []*big.Rat, length *big.Rat) []*big.Rat {
	moved := make([]*big.Rat, len(values))
	for i := range values {
		moved[i] = lineAt(values[i], slopes[i], length)
	}
	return moved
}

// exchanged lists the variables that are basic in only one of two bases.
func (e *exactProgram) exchanged(before, after *Basis) (entering, leaving []Variable) {
	compare := func(before, after []Place, first int) {
		for k := range before {
			switch v := e.variable(first + k); {
			case before[k] != Basic && after[k] == Basic:
				entering = append(entering, v)
			case before[k] == Basic && after[k] != Basic:
				leaving = append(leaving, v)
			}
		}
	}
	compare(before.Columns, after.Columns, 0)
	compare(before.Rows, after.Rows, e.columns)
	return entering, leaving
}
