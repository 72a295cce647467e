package solver

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func follow(t require.TestingT, p *Problem, d Direction, from, to float64) *Path {
	s, err := Solve(context.Background(), p, Options{})
	require.NoError(t, err)
	require.Equal(t, Optimal, s.Status)
	path, err := Follow(context.Background(), p, s, d, from, to)
	require.NoError(t, err)
	return path
}

// requireSoundPath checks that the pieces meet and agree with fresh exact solves, in value and in slope,
// close to both ends, in the middle, and beyond the ends of the path.
func requireSoundPath(t require.TestingT, p *Problem, d Direction, path *Path) {
	value := func(delta float64) *Proof {
		proof, err := Prove(context.Background(), move(p, d, delta), nil, Options{})
		require.NoError(t, err)
		return proof
	}
	for k := range path.Pieces {
		piece := &path.Pieces[k]
		require.Less(t, piece.From, piece.To)
		if k > 0 {
			before := path.Pieces[k-1]
			require.Equal(t, before.To, piece.From)
			if len(d.Terms) == 0 { // else it may jump, which the solves below tell
				require.InDelta(t, before.ObjectiveTo, piece.ObjectiveFrom, 1e-7*(1+math.Abs(piece.ObjectiveFrom)))
			}
		}
		from, to := math.Max(piece.From, -1e3), math.Min(piece.To, 1e3)
		for _, share := range []float64{0.001, 0.5, 0.999} {
			delta := from + share*(to-from)
			objective, x := piece.At(delta)
			require.InDelta(t, p.Value(x), objective, 1e-7*(1+math.Abs(objective)))
			proof := value(delta)
			if proof.Status == Infeasible { // by the rounding of delta alone, or not at all
				s, err := Solve(context.Background(), move(p, d, delta), Options{})
				require.NoError(t, err)
				require.Equal(t, Optimal, s.Status, "at %v of %+v", delta, piece)
				continue
			}
			require.Equal(t, Optimal, proof.Status, "at %v of %+v", delta, piece)
			require.InDelta(t, float(proof.Objective), objective, 1e-7*(1+math.Abs(objective)))
			if width := 1e-4 * (to - from); width > 1e-7 && share == 0.5 {
				left, right := value(delta-width), value(delta+width)
				if left.Status != Optimal || right.Status != Optimal {
					continue
				}
				rise := (float(right.Objective) - float(left.Objective)) / (2 * width)
				require.InDelta(t, rise, piece.SlopeAt(delta), 1e-4*(1+math.Abs(rise)))
			}
		}
	}
	if n := len(path.Pieces); n > 0 {
		for _, end := range []struct {
			status Status
			at     float64
		}{{path.Low, path.Pieces[0].From - 1e-4}, {path.High, path.Pieces[n-1].To + 1e-4}} {
			if end.status != Optimal {
				require.Equal(t, end.status, value(end.at).Status, "beyond %v", end.at)
			}
		}
	}
}

// The whole curves of TestParametricLimitsTextbook, in floating point.
func TestFollowTextbook(t *testing.T) {
	for _, c := range []struct {
		id, row  string
		from, to float64
		want     []segment
	}{
		{"wyndor", "PLANT2", 0, 24, []segment{{0, 6, 12, 2.5}, {6, 18, 27, 1.5}, {18, 24, 45, 0}}},
		{"wyndor", "PLANT3", 0, 36, []segment{{0, 12, 0, 2.5}, {12, 24, 30, 1}, {24, 36, 42, 0}}},
		{"toyco", "OP1", 0, 600, []segment{{0, 230, 0, 5}, {230, 440, 1150, 1}, {440, 600, 1360, 0}}},
		{"dakota", "FINISH", 0, 40, []segment{{0, 16, 0, 15}, {16, 24, 240, 10}, {24, 40, 320, 0}}},
		{"windiet", "SUGAR", 0, 20, []segment{{0, 6, 60, 0}, {6, 20, 60, 7.5}}},
	} {
		t.Run(c.id+" "+c.row, func(t *testing.T) {
			p := textbookProblem(t, c.id)
			i := rowNamed(t, p, c.row)
			side, now := UpperSide, p.Rows[i].Upper
			if now >= Huge {
				side, now = LowerSide, p.Rows[i].Lower
			}
			d := Direction{Row: i, Limit: 1, Side: side}
			path := follow(t, p, d, c.from-now, c.to-now)
			var got []segment
			for _, piece := range path.Pieces {
				s := segment{piece.From + now, piece.To + now, piece.ObjectiveFrom, piece.Slope}
				if n := len(got); n > 0 && math.Abs(got[n-1].slope-s.slope) < 1e-9 {
					got[n-1].to = s.to
					continue
				}
				got = append(got, s)
			}
			requireSegments(t, c.want, got)
			requireSoundPath(t, p, d, path)
		})
	}
}

// One ingredient that brings 5 of what is asked per gram and holds back a twentieth of a litre, in
// closed form: x grams in t = 1 + x/20 litres give v = 5x/t, so x = v/(5 - v/20), which costs 3x. At
// most 2 g are to be had, so v ends at 100/11.
func TestFollowClosedForm(t *testing.T) {
	p := &Problem{
		Columns: []Column{{Name: "x", Cost: 3, Upper: 2}, {Name: "t", Lower: 1, Upper: Inf}},
		Rows: []Row{
			{Name: "recovery", Lower: 1, Upper: 1, Terms: []Term{{0, -0.05}, {1, 1}}},
			{Name: "content", Lower: 0, Upper: 0, Terms: []Term{{0, 5}, {1, -4}}},
		},
	}
	d := Direction{Row: 1, Terms: []Term{{1, 1}}}
	path := follow(t, p, d, -10, 10)
	require.Equal(t, Infeasible, path.Low)
	require.Equal(t, Infeasible, path.High)
	require.InDelta(t, -4, path.Pieces[0].From, 1e-9)
	require.Len(t, path.Pieces, 1)
	piece := path.Pieces[0]
	require.InDelta(t, 100.0/11-4, piece.To, 1e-9)
	for _, v := range []float64{0.5, 3, 4, 7, 9} {
		z, x := piece.At(v - 4)
		require.InDelta(t, 3*v/(5-v/20), z, 1e-12)
		require.InDelta(t, v/(5-v/20), x[0], 1e-12)
		require.InDelta(t, 15/((5-v/20)*(5-v/20)), piece.SlopeAt(v-4), 1e-12)
	}
	requireSoundPath(t, p, d, path)
}

// At the break-point of this program any of several bases is optimal, and the start is one itself.
func TestFollowDegenerate(t *testing.T) {
	p := &Problem{
		Columns: []Column{{Cost: 1, Upper: Inf}, {Cost: 2, Upper: Inf}, {Cost: 4, Upper: Inf}},
		Rows: []Row{
			{Lower: 4, Upper: Inf, Terms: []Term{{0, 1}, {1, 1}, {2, 1}}},
			{Lower: -Inf, Upper: 4, Terms: []Term{{0, 1}}},
			{Lower: -Inf, Upper: 8, Terms: []Term{{0, 2}}},
			{Lower: -Inf, Upper: 12, Terms: []Term{{0, 3}, {1, 1}}},
			{Lower: -Inf, Upper: 4, Terms: []Term{{0, 1}, {1, 0.25}}},
		},
	}
	d := Direction{Row: 0, Limit: 1, Side: LowerSide}
	path := follow(t, p, d, -10, 100)
	requireSoundPath(t, p, d, path)
	require.InDelta(t, 1, path.Find(-1).Slope, 1e-9)
	require.Greater(t, path.Find(1).Slope, 1.0)
	require.Equal(t, Optimal, path.High)
}

func TestFollowEnds(t *testing.T) {
	p := textbookProblem(t, "wyndor")
	path := follow(t, p, Direction{Row: 0, Limit: 1, Side: UpperSide}, math.Inf(-1), Inf)
	require.Equal(t, Infeasible, path.Low)
	require.InDelta(t, -4, path.Pieces[0].From, 1e-12)
	last := path.Pieces[len(path.Pieces)-1]
	require.Equal(t, Inf, last.To)
	require.Nil(t, last.XTo)
	require.InDelta(t, 36, last.ObjectiveTo, 1e-9)

	s, err := Solve(context.Background(), p, Options{})
	require.NoError(t, err)
	for _, bad := range []Direction{
		{Row: 9, Limit: 1}, {Row: -1, Column: 7, Limit: 1}, {Row: -1, Terms: []Term{{0, 1}}}, {Row: 0, Terms: []Term{{8, 1}}},
	} {
		_, err := Follow(context.Background(), p, s, bad, -1, 1)
		require.Error(t, err)
	}
	_, err = Follow(context.Background(), p, s, Direction{Row: 0, Limit: 1}, 1, 2)
	require.Error(t, err)
	_, err = Follow(context.Background(), p, &Solution{Status: Infeasible}, Direction{Row: 0, Limit: 1}, -1, 1)
	require.Equal(t, errNotBasic, err)
}

// Random programs and random moves: bounds of rows and columns, and limits that multiply a form.
func TestFollowProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := optimalTiny().Draw(rt, "problem")
		d := Direction{Row: -1, Limit: 1, Side: BothSides}
		switch {
		case len(p.Rows) > 0 && rapid.Bool().Draw(rt, "a row"):
			d.Row = rapid.IntRange(0, len(p.Rows)-1).Draw(rt, "row")
			if rapid.Bool().Draw(rt, "a form") {
				// Columns without bounds make a program jump where their coefficient vanishes.
				d.Limit = 0
				for j := range p.Columns {
					p.Columns[j].Lower = math.Max(p.Columns[j].Lower, -9)
					p.Columns[j].Upper = math.Min(p.Columns[j].Upper, 9)
				}
				for j := range p.Columns {
					if g := rapid.SampledFrom([]float64{0, 1, 2, 0.5}).Draw(rt, "weight"); g != 0 {
						d.Terms = append(d.Terms, Term{j, g})
					}
				}
			}
		case len(p.Columns) > 0:
			d.Column = rapid.IntRange(0, len(p.Columns)-1).Draw(rt, "column")
		default:
			rt.Skip("nothing moves")
		}
		if len(d.Terms) > 0 && len(p.Rows[d.Row].Terms) == 0 {
			rt.Skip("the row is empty at the start, and nowhere else")
		}
		s, err := Solve(context.Background(), p, Options{})
		require.NoError(rt, err)
		if s.Status != Optimal {
			rt.Skip("no optimum within the bounds")
		}
		path, err := Follow(context.Background(), p, s, d, -1.5, 1.75)
		require.NoError(rt, err)
		requireSoundPath(rt, p, d, path)
		if len(d.Terms) > 0 || path.Low == Unbounded || path.High == Unbounded {
			return
		}
		exact, err := ParametricLimits(context.Background(), p, s, movesOf(p, d), -1.5, 1.75)
		require.NoError(rt, err)
		require.Equal(rt, exact.Low, path.Low)
		require.Equal(rt, exact.High, path.High)
		for k := range exact.Pieces {
			piece := &exact.Pieces[k]
			middle := (piece.From + piece.To) / 2
			require.InDelta(rt, piece.Slope, path.Find(middle).SlopeAt(middle), 1e-7)
		}
	})
}

// movesOf states a direction as moves of the bounds that are finite.
func movesOf(p *Problem, d Direction) []Move {
	v := ColumnVariable(d.Column)
	if d.Row >= 0 {
		v = RowVariable(d.Row)
	}
	lower, upper := p.bounds(v)
	var moves []Move
	if *lower > -Huge {
		moves = append(moves, Move{Bound{v, LowerSide}, d.Limit})
	}
	if *upper < Huge {
		moves = append(moves, Move{Bound{v, UpperSide}, d.Limit})
	}
	return moves
}
