package solver

import "math/big"

// exactTerm is one coefficient other than zero.
type exactTerm struct {
	column int
	value  big.Int
}

// exactProgram is a problem in exact arithmetic, as a minimisation. Variables are numbered columns
// first, then the rows' logical variables. Variable v is measured in units of unit[v], chosen so that
// every coefficient is an integer without a common factor in its row.
type exactProgram struct {
	rows, columns int
	maximize      bool
	offset        *big.Rat
	terms         [][]exactTerm // per row
	unit          []*big.Rat    // per variable
	lower, upper  []*big.Rat    // per variable, in the problem's own units; nil is infinite
	cost          []*big.Rat    // per column, in the problem's own units, negated to maximise
}

func newExactProgram(p *Problem) *exactProgram {
	e := &exactProgram{
		rows: len(p.Rows), columns: len(p.Columns),
		maximize: p.Sense == Maximize,
		offset:   p.ExactOffset(),
	}
	e.setBounds(p)
	e.cost = make([]*big.Rat, e.columns)
	for j := range p.Columns {
		e.cost[j] = e.minimized(p.ExactCost(j))
	}
	e.scale(p)
	return e
}

func (e *exactProgram) setBounds(p *Problem) {
	n := e.columns + e.rows
	e.lower, e.upper = make([]*big.Rat, n), make([]*big.Rat, n)
	for v := range n {
		e.lower[v], e.upper[v] = p.ExactBounds(e.variable(v))
	}
}

// minimized turns an objective figure of the problem's sense into one of a minimisation, and back.
func (e *exactProgram) minimized(r *big.Rat) *big.Rat {
	if e.maximize {
		return new(big.Rat).Neg(r)
	}
	return r
}

// scale divides every column, and then every row, by its content.
func (e *exactProgram) scale(p *Problem) {
	exact := make([][]*big.Rat, e.rows)
	columns := make([]content, e.columns)
	for i, row := range p.Rows {
		exact[i] = make([]*big.Rat, len(row.Terms))
		for k, t := range row.Terms {
			exact[i][k] = p.ExactTerm(i, k)
			columns[t.Column].add(exact[i][k])
		}
	}
	e.unit = make([]*big.Rat, e.columns+e.rows)
	for j := range columns {
		e.unit[j] = new(big.Rat).Inv(columns[j].value())
	}
	e.terms = make([][]exactTerm, e.rows)
	for i, row := range p.Rows {
		var whole content
		for k, t := range row.Terms {
			exact[i][k].Mul(exact[i][k], e.unit[t.Column])
			whole.add(exact[i][k])
		}
		e.unit[e.columns+i] = whole.value()
		inverse := new(big.Rat).Inv(e.unit[e.columns+i])
		e.terms[i] = make([]exactTerm, 0, len(row.Terms))
		for k, t := range row.Terms {
			if exact[i][k].Sign() != 0 {
				exact[i][k].Mul(exact[i][k], inverse)
				e.terms[i] = append(e.terms[i], exactTerm{column: t.Column})
				e.terms[i][len(e.terms[i])-1].value.Set(exact[i][k].Num())
			}
		}
	}
}

// integers brings rationals, one per variable and nil for none, into the variables' units and onto
// their least common denominator.
func (e *exactProgram) integers(vectors ...[]*big.Rat) (denominator *big.Int, scaled [][]*big.Int) {
	denominator = big.NewInt(1)
	quotients := make([][]*big.Rat, len(vectors))
	for k, vector := range vectors {
		quotients[k] = make([]*big.Rat, len(vector))
		for v, r := range vector {
			if r == nil || r.Sign() == 0 {
				quotients[k][v] = r
				continue
			}
			quotients[k][v] = new(big.Rat).Quo(r, e.unit[v])
			raise(denominator, quotients[k][v].Denom())
		}
	}
	scaled = make([][]*big.Int, len(vectors))
	for k, vector := range quotients {
		scaled[k] = make([]*big.Int, len(vector))
		for v, r := range vector {
			scaled[k][v] = multiplied(r, denominator)
		}
	}
	return denominator, scaled
}
