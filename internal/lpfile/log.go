package lpfile

import (
	"fmt"
	"io"
	"math"
	"time"

	"bittersum/solver"
)

// iterationLog writes the log of a run, or nothing if it has no writer.
type iterationLog struct {
	out    io.Writer
	headed bool
}

func newLog(out io.Writer) *iterationLog { return &iterationLog{out: out} }

func (l *iterationLog) line(format string, values ...any) {
	if l.out != nil {
		fmt.Fprintf(l.out, format+"\n", values...)
	}
}

// progress returns a callback that logs and then calls next, or next itself if nothing is logged.
func (l *iterationLog) progress(next func(solver.Progress)) func(solver.Progress) {
	if l.out == nil {
		return next
	}
	return func(p solver.Progress) {
		if !l.headed {
			l.headed = true
			l.line("%-18s %9s %7s %18s %18s %12s", "phase", "iteration", "node", "objective", "bound", "infeasible")
		}
		l.line("%-18s %9d %7d %18s %18s %12.3g", p.Phase, p.Iteration, p.Node, figure(p.Objective), figure(p.Bound), p.Infeasibility)
		if next != nil {
			next(p)
		}
	}
}

// figure formats a number, and a dash where there is none.
func figure(v float64) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return "-"
	}
	return fmt.Sprintf("%.11g", v)
}

func round(d time.Duration) time.Duration { return d.Round(10 * time.Microsecond) }
