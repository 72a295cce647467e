// Package lpfile solves a program that stands in an MPS file and writes the outcome as text or JSON.
package lpfile

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"time"

	"bittersum/solver"
	"bittersum/solver/mps"
)

// Options say what is asked of a run beyond the outcome itself.
type Options struct {
	// Solve tunes the solver. Its Time binds solve and proof together. Its Progress is used for the log if Log is
	// set.
	Solve solver.Options
	// Input is read when the path is "-".
	Input io.Reader
	// Exact asks for a proof in rational arithmetic.
	Exact bool
	// SecondOpinion is how long to wait for an independent solver; zero asks for none.
	SecondOpinion time.Duration
	// Log, if set, takes the iteration log, which holds times and so differs from run to run.
	Log io.Writer
}

// Result is the outcome of one run.
type Result struct {
	Path     string
	Problem  *solver.Problem
	Solution *solver.Solution
	Proof    *solver.Proof   // if asked for
	Opinion  *solver.Opinion // if asked for
}

// FileError says that the file cannot be read or is no program in MPS.
type FileError struct {
	Path string
	Err  error
}

func (e *FileError) Error() string { return fmt.Sprintf("%s: %v", e.Path, e.Err) }
func (e *FileError) Unwrap() error { return e.Err }

// Run reads the MPS file at path and solves its program. A *FileError means that the file is at fault;
// that there is no optimum, or none was found within a limit, is an outcome and no error.
func Run(ctx context.Context, path string, opt Options) (*Result, error) {
	begin := time.Now()
	p, err := read(path, opt.Input)
	if err != nil {
		return nil, &FileError{path, err}
	}
	l := newLog(opt.Log)
	l.line("read       %v: %s", round(time.Since(begin)), describe(p))
	opt.Solve.Progress = l.progress(opt.Solve.Progress)

	begin = time.Now()
	limited := ctx
	if opt.Solve.Time > 0 {
		var cancel context.CancelFunc
		limited, cancel = context.WithTimeout(ctx, opt.Solve.Time)
		defer cancel()
		opt.Solve.Time = 0
	}
	s, err := solver.Solve(limited, p, opt.Solve)
	if err != nil {
		return nil, err
	}
	l.line("solved     %v: %s", round(time.Since(begin)), s.Status)
	r := &Result{Path: path, Problem: p, Solution: s}
	if opt.Exact {
		begin = time.Now()
		if r.Proof, err = prove(limited, p, s, opt.Solve); err != nil {
			return nil, err
		}
		l.line("proof      %v: %s, %d further pivots", round(time.Since(begin)), r.Proof.Status, r.Proof.Pivots)
	}
	if opt.SecondOpinion > 0 {
		waiting, cancel := context.WithTimeout(ctx, opt.SecondOpinion)
		defer cancel()
		opinion, err := solver.SecondOpinion(waiting, p)
		if err != nil {
			return nil, err
		}
		r.Opinion = &opinion
	}
	return r, nil
}

// grace is how long a proof may take to hear that its time is over.
const grace = 10 * time.Millisecond

// prove is solver.Prove, held to the end of ctx. A single step of exact arithmetic on numbers of many thousand
// digits can take seconds and hears nothing; what it would find is then no longer waited for.
func prove(ctx context.Context, p *solver.Problem, s *solver.Solution, opt solver.Options) (*solver.Proof, error) {
	if ctx.Err() != nil {
		return &solver.Proof{Status: solver.Limit, Reason: solver.LimitReason(ctx.Err())}, nil
	}
	type outcome struct {
		proof *solver.Proof
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		proof, err := solver.Prove(ctx, p, s, opt)
		done <- outcome{proof, err}
	}()
	select {
	case o := <-done:
		return o.proof, o.err
	case <-ctx.Done():
	}
	select {
	case o := <-done:
		return o.proof, o.err
	case <-time.After(grace):
		return &solver.Proof{Status: solver.Limit, Reason: solver.LimitReason(ctx.Err())}, nil
	}
}

func read(path string, input io.Reader) (*solver.Problem, error) {
	if path == "-" {
		return mps.Read(input)
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return mps.Read(file)
}

// Status is the outcome: that of the proof if one was asked for and found, else that of the solver. It
// is Unproved if a proof was asked for and not found, or if the second opinion contradicts.
func (r *Result) Status() solver.Status {
	status := r.Solution.Status
	if r.Proof != nil {
		status = solver.Unproved
		if r.Proof.Proved() {
			status = r.Proof.Status
		}
	}
	if r.Opinion != nil && !r.Agrees() {
		status = solver.Unproved
	}
	return status
}

// shown is the solution that is written out: the solver's, or that of a proof that says otherwise.
func (r *Result) shown() *solver.Solution {
	s := r.Solution
	if r.Proof == nil || !r.Proof.Proved() {
		return s
	}
	if r.Proof.Status == s.Status && (s.Status != solver.Optimal || math.Abs(r.Proof.Solution().Objective-s.Objective) <= opinionTolerance*r.size()) {
		return s
	}
	proved := r.Proof.Solution()
	proved.Iterations, proved.Nodes = s.Iterations, s.Nodes
	return proved
}

// feasibleFrom is how far the point of a limit may overstep the program's limits and still be told in full.
const feasibleFrom = 1e-6

// reached reports whether a solution has a point that is worth a table: at a limit, one that is feasible.
func reached(s *solver.Solution) bool {
	return s.X != nil && (s.Status != solver.Limit || s.Certificate.PrimalResidual <= feasibleFrom)
}

// costMargin is by how much each cost must at most be changed for the point found to be the optimum beyond all
// doubt, where that is more than rounding leaves: a reduced cost has the wrong sign by so much. It is zero
// where the outcome is proved.
func (r *Result) costMargin() float64 {
	s := r.Solution
	if s.Status != solver.Optimal || s.Dual == nil || r.Proof != nil && r.Proof.Proved() {
		return 0
	}
	dearest := 0.0
	for _, c := range r.Problem.Columns {
		dearest = math.Max(dearest, math.Abs(c.Cost))
	}
	if s.Certificate.DualResidual <= 1e-6*dearest {
		return 0
	}
	return s.Certificate.DualResidual
}

// boundKnown reports whether the solution's bound says something: with integers, or at a limit.
func boundKnown(p *solver.Problem, s *solver.Solution) bool {
	return (p.HasIntegers() && s.Status == solver.Optimal || s.Status == solver.Limit) && !math.IsInf(s.Bound, 0)
}

// opinionTolerance is the relative difference of objectives from which a second opinion contradicts.
const opinionTolerance = 1e-6

// Agrees reports whether the second opinion says the same as the solver, or nothing. Only an outcome
// that claims something can be contradicted.
func (r *Result) Agrees() bool {
	s, o := r.Solution, r.Opinion
	if o.Status == solver.Unproved || s.Status == solver.Unproved || s.Status == solver.Limit {
		return true
	}
	if o.Status != s.Status {
		return false
	}
	return o.Status != solver.Optimal || math.Abs(o.Objective-s.Objective) <= opinionTolerance*r.size()
}

// size is the sum of the terms of the objective in magnitude.
func (r *Result) size() float64 {
	size := math.Abs(r.Problem.Offset)
	for j, c := range r.Problem.Columns {
		size += math.Abs(c.Cost * r.Solution.X[j])
	}
	return math.Max(size, 1e-9)
}

// Code is the exit code of a command that reports r: 0 for an optimum, 4 for a program that is proved to
// have none, 5 where nothing is proved.
func (r *Result) Code() int {
	switch r.Status() {
	case solver.Optimal:
		return 0
	case solver.Infeasible, solver.Unbounded:
		return 4
	}
	return 5
}

// CodeBadFile is the exit code for a *FileError.
const CodeBadFile = 3
