package lpfile

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/big"
	"strings"
	"unicode/utf8"

	"bittersum/solver"
)

// Text writes r for people: the outcome, its certificate, and the columns and rows that matter, which
// are columns other than zero and rows with a dual value.
func Text(w io.Writer, r *Result) error {
	out := &writer{bufio.NewWriter(w)}
	out.outcome(r)
	s := r.shown()
	switch {
	case reached(s):
		out.columns(r, s)
		out.rows(r, s)
	case s.Farkas != nil:
		out.multipliers(r.Problem, s.Farkas)
	case s.Ray != nil:
		out.ray(r.Problem, s.Ray)
	}
	return out.Flush()
}

type writer struct{ *bufio.Writer }

func (w *writer) line(format string, values ...any) { fmt.Fprintf(w, format+"\n", values...) }

// describe names a program and its size.
func describe(p *solver.Problem) string {
	coefficients := 0
	for _, row := range p.Rows {
		coefficients += len(row.Terms)
	}
	kind := "minimise"
	if p.Sense == solver.Maximize {
		kind = "maximise"
	}
	integers := 0
	for _, c := range p.Columns {
		if c.Kind != solver.Continuous {
			integers++
		}
	}
	text := fmt.Sprintf("%s, %d rows, %d columns, %d coefficients", kind, len(p.Rows), len(p.Columns), coefficients)
	if integers > 0 {
		text += fmt.Sprintf(", %d not continuous", integers)
	}
	if p.Name != "" {
		text = p.Name + ": " + text
	}
	return text
}

func (w *writer) outcome(r *Result) {
	s := r.shown()
	w.line("program      %s", describe(r.Problem))
	status := r.Status().String()
	switch {
	case s.Reason != "":
		status += ": " + s.Reason
	case r.Status() != s.Status:
		status += ": the solver says " + s.Status.String()
	case r.costMargin() > 0:
		status += fmt.Sprintf(" for costs changed by at most %.2g", r.costMargin())
	}
	w.line("status       %s", status)
	if s.X != nil {
		objective := figure(s.Objective)
		if !reached(s) {
			objective += fmt.Sprintf(" at the point reached, which oversteps a limit by %.2g", s.Certificate.PrimalResidual)
		}
		w.line("objective    %s", objective)
	}
	if boundKnown(r.Problem, s) {
		w.line("bound        %s", figure(s.Bound))
	}
	work := fmt.Sprintf("%d iterations", s.Iterations)
	if s.Nodes > 0 {
		work += fmt.Sprintf(", %d nodes", s.Nodes)
	}
	w.line("work         %s", work)
	if reached(s) {
		c := s.Certificate
		text := fmt.Sprintf("primal residual %.2g", c.PrimalResidual)
		if s.Dual != nil {
			text += fmt.Sprintf(", dual residual %.2g", c.DualResidual)
		}
		w.line("certificate  %s, gap %.2g", text, c.Gap)
	}
	if r.Proof != nil {
		w.line("proof        %s", proofText(r.Proof))
	}
	if r.Opinion != nil {
		w.line("opinion      %s", opinionText(r))
	}
}

func proofText(p *solver.Proof) string {
	if !p.Proved() {
		return "none: " + p.Reason
	}
	text := fmt.Sprintf("%s in rational arithmetic", p.Status)
	if p.Objective != nil {
		text += ", " + rational(p.Objective)
	}
	if p.Nodes > 0 {
		text += ", " + counted(p.Nodes, "node")
	}
	return text
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// rational writes a fraction, cut short to its value if it is long.
func rational(v *big.Rat) string {
	const widest = 40
	if text := v.RatString(); len(text) <= widest {
		return "exactly " + text
	}
	return "objective " + v.FloatString(20) + " to 20 places"
}

func opinionText(r *Result) string {
	o := r.Opinion
	if o.Status == solver.Unproved {
		return "none: " + o.Reason
	}
	text := o.Status.String()
	if o.Status == solver.Optimal {
		text += ", objective " + figure(o.Objective)
	}
	if !r.Agrees() {
		text += "; this contradicts the solver"
	}
	return text
}

// table writes lines of a name, numbers and a word, with the names as wide as they need be.
type table struct {
	heading []string
	lines   [][]string
}

func (t *table) add(cells ...string) { t.lines = append(t.lines, cells) }

func (w *writer) table(t table) {
	width := make([]int, len(t.heading))
	for _, line := range append([][]string{t.heading}, t.lines...) {
		for i, cell := range line {
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	for _, line := range append([][]string{t.heading}, t.lines...) {
		var text strings.Builder
		for i, cell := range line {
			gap := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
			if i == 0 || i == len(line)-1 && t.heading[i] == "at" {
				text.WriteString(cell + gap)
			} else {
				text.WriteString(gap + cell)
			}
			text.WriteString("  ")
		}
		w.line("%s", strings.TrimRight(text.String(), " "))
	}
}

func (w *writer) columns(r *Result, s *solver.Solution) {
	t := table{heading: []string{"column", "value"}}
	if s.ReducedCost != nil {
		t.heading = append(t.heading, "reduced cost", "at")
	}
	for j, c := range r.Problem.Columns {
		if s.X[j] == 0 {
			continue
		}
		cells := []string{nameOf("column", c.Name, j), figure(s.X[j])}
		if s.ReducedCost != nil {
			cells = append(cells, figure(s.ReducedCost[j]), limitOf(s.X[j], c.Lower, c.Upper))
		}
		t.add(cells...)
	}
	w.line("")
	w.table(t)
	if rest := len(r.Problem.Columns) - len(t.lines); rest > 0 {
		w.line("(%d further columns are zero)", rest)
	}
}

func (w *writer) rows(r *Result, s *solver.Solution) {
	if len(s.Dual) == 0 {
		return
	}
	t := table{heading: []string{"row", "activity", "dual value", "at"}}
	for i, row := range r.Problem.Rows {
		if s.Dual[i] != 0 {
			t.add(nameOf("row", row.Name, i), figure(s.Activity[i]), figure(s.Dual[i]), limitOf(s.Activity[i], row.Lower, row.Upper))
		}
	}
	w.line("")
	w.table(t)
	if rest := len(r.Problem.Rows) - len(t.lines); rest > 0 {
		w.line("(%d further rows have no dual value)", rest)
	}
}

func (w *writer) multipliers(p *solver.Problem, farkas []float64) {
	w.line("")
	w.line("No point meets all rows: weighted so, they contradict the bounds.")
	t := table{heading: []string{"row", "weight"}}
	for i, y := range farkas {
		if y != 0 {
			t.add(nameOf("row", p.Rows[i].Name, i), figure(y))
		}
	}
	w.table(t)
}

func (w *writer) ray(p *solver.Problem, ray []float64) {
	w.line("")
	w.line("The objective improves for ever along this direction.")
	t := table{heading: []string{"column", "slope"}}
	for j, v := range ray {
		if v != 0 {
			t.add(nameOf("column", p.Columns[j].Name, j), figure(v))
		}
	}
	w.table(t)
}

// limitOf says at which bound a value lies, to nine digits.
func limitOf(v, lower, upper float64) string {
	near := func(bound float64) bool {
		return !math.IsInf(bound, 0) && math.Abs(v-bound) <= 1e-9*(1+math.Abs(bound))
	}
	switch {
	case near(lower) && near(upper):
		return "fixed"
	case near(lower):
		return "lower"
	case near(upper):
		return "upper"
	}
	return "between"
}

// nameOf returns the name, or the kind and number counted from 1 for one that has none.
func nameOf(kind, name string, i int) string {
	if name == "" {
		return fmt.Sprintf("%s %d", kind, i+1)
	}
	return name
}
