// Package peer runs other solvers on a program, for tests that compare with them. It is used by tests
// alone.
package peer

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"bittersum/solver"
	"bittersum/solver/mps"
)

// Answer is what another solver says.
type Answer struct {
	Status    solver.Status // Unproved if it gave no clear answer
	Objective float64       // in the sense of the program and with its constant
	Exact     *big.Rat      // the objective as a fraction, by esolver alone
	Log       string
}

// Program is a solver that can be run as a process.
type Program struct {
	Name string
	run  func(ctx context.Context, file string) (Answer, error)
}

// The programs known here: glpsol (GLPK), clp and cbc (COIN-OR) and esolver (QSopt_ex), which is
// exact. Cbc and glpsol take integers.
var (
	Glpsol  = Program{"glpsol", runGlpsol}
	Clp     = Program{"clp", runClp}
	Cbc     = Program{"cbc", runCbc}
	Esolver = Program{"esolver", runEsolver}
)

// Present reports whether the program is installed.
func (p Program) Present() bool {
	_, err := exec.LookPath(p.Name)
	return err == nil
}

// timeLimit ends a peer that runs away.
const timeLimit = 60 * time.Second

// Solve writes the problem to a file in folder and lets the program solve it.
func (p Program) Solve(folder string, problem *solver.Problem) (Answer, error) {
	var text bytes.Buffer
	if err := mps.Write(&text, problem); err != nil {
		return Answer{}, err
	}
	answer, err := p.SolveText(folder, text.Bytes())
	if problem.Sense == solver.Maximize {
		answer.Objective = -answer.Objective
		if answer.Exact != nil {
			answer.Exact.Neg(answer.Exact)
		}
	}
	return answer, err
}

// SolveText lets the program solve what stands in MPS in a text, which is put into a file in folder.
func (p Program) SolveText(folder string, text []byte) (Answer, error) {
	file := filepath.Join(folder, p.Name+".mps")
	if err := os.WriteFile(file, text, 0o600); err != nil {
		return Answer{}, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), timeLimit)
	defer cancel()
	return p.run(ctx, file)
}

func command(ctx context.Context, folder, name string, arguments ...string) (string, error) {
	cmd := exec.CommandContext(ctx, name, arguments...)
	cmd.Dir = folder
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) && ctx.Err() == nil {
		err = nil // the log says what happened
	}
	return string(out), err
}

// runGlpsol runs without the presolver, which would leave infeasible and unbounded apart from each
// other unsaid.
func runGlpsol(ctx context.Context, file string) (Answer, error) {
	result := file + ".sol"
	os.Remove(result)
	log, err := command(ctx, filepath.Dir(file), "glpsol", "--freemps", file, "--nopresol", "-w", result)
	if err != nil {
		return Answer{}, err
	}
	text, err := os.ReadFile(result)
	if err != nil {
		return Answer{Log: log}, fmt.Errorf("glpsol wrote no solution: %s", log)
	}
	return readGlpsol(string(text), log), nil
}

// readGlpsol reads the line "s bas rows columns primal dual objective" or "s mip rows columns status
// objective" of the plain solution format.
func readGlpsol(text, log string) Answer {
	for line := range strings.Lines(text) {
		w := strings.Fields(line)
		switch {
		case len(w) == 7 && w[0] == "s" && w[1] == "bas":
			value, _ := strconv.ParseFloat(w[6], 64)
			switch {
			case w[4] == "f" && w[5] == "f":
				return Answer{Status: solver.Optimal, Objective: value, Log: log}
			case w[4] == "n":
				return Answer{Status: solver.Infeasible, Objective: 0, Log: log}
			case w[4] == "f" && w[5] == "n":
				return Answer{Status: solver.Unbounded, Objective: 0, Log: log}
			}
		case len(w) == 6 && w[0] == "s" && w[1] == "mip":
			value, _ := strconv.ParseFloat(w[5], 64)
			switch w[4] {
			case "o":
				return Answer{Status: solver.Optimal, Objective: value, Log: log}
			case "n":
				return Answer{Status: solver.Infeasible, Objective: 0, Log: log}
			}
			if strings.Contains(log, "PROBLEM HAS NO PRIMAL FEASIBLE SOLUTION") || strings.Contains(log, "PROBLEM HAS NO FEASIBLE SOLUTION") {
				return Answer{Status: solver.Infeasible, Objective: 0, Log: log}
			}
		}
	}
	return Answer{Status: solver.Unproved, Objective: math.NaN(), Log: log}
}

var clpOptimal = regexp.MustCompile(`(?m)^Optimal objective (\S+) `)

func runClp(ctx context.Context, file string) (Answer, error) {
	log, err := command(ctx, filepath.Dir(file), "clp", file, "-primalTolerance", "1e-9", "-dualTolerance", "1e-9", "-presolve", "off", "-primalsimplex", "-quit")
	if err != nil {
		return Answer{}, err
	}
	switch {
	case strings.Contains(log, "errors on input") && !strings.Contains(log, "read with 0 errors"):
		return Answer{Log: log}, fmt.Errorf("clp cannot read the file: %s", log)
	case clpOptimal.MatchString(log):
		value, err := strconv.ParseFloat(clpOptimal.FindStringSubmatch(log)[1], 64)
		return Answer{Status: solver.Optimal, Objective: value, Log: log}, err
	case strings.Contains(log, "PrimalInfeasible objective") || strings.Contains(log, "Primal infeasible"):
		return Answer{Status: solver.Infeasible, Objective: 0, Log: log}, nil
	case strings.Contains(log, "DualInfeasible objective") || strings.Contains(log, "Dual infeasible"):
		return Answer{Status: solver.Unbounded, Objective: 0, Log: log}, nil
	}
	return Answer{Status: solver.Unproved, Objective: math.NaN(), Log: log}, nil
}

var cbcValue = regexp.MustCompile(`(?m)^Objective value: +(\S+)`)

func runCbc(ctx context.Context, file string) (Answer, error) {
	log, err := command(ctx, filepath.Dir(file), "cbc", file, "-ratioGap", "0", "-allowableGap", "0", "-solve", "-quit")
	if err != nil {
		return Answer{}, err
	}
	switch {
	case strings.Contains(log, "Optimal solution found") && cbcValue.MatchString(log):
		value, err := strconv.ParseFloat(cbcValue.FindStringSubmatch(log)[1], 64)
		return Answer{Status: solver.Optimal, Objective: value, Log: log}, err
	case strings.Contains(log, "infeasible"):
		return Answer{Status: solver.Infeasible, Objective: 0, Log: log}, nil
	case strings.Contains(log, "unbounded"):
		return Answer{Status: solver.Unbounded, Objective: 0, Log: log}, nil
	}
	return Answer{Status: solver.Unproved, Objective: math.NaN(), Log: log}, nil
}

// runEsolver reads the exact value, a fraction, as the nearest float.
func runEsolver(ctx context.Context, file string) (Answer, error) {
	result := file + ".sol"
	os.Remove(result)
	log, err := command(ctx, filepath.Dir(file), "esolver", "-O", result, file)
	if err != nil {
		return Answer{}, err
	}
	text, err := os.ReadFile(result)
	if err != nil {
		return Answer{Log: log}, fmt.Errorf("esolver wrote no solution: %s", log)
	}
	answer := Answer{Status: solver.Unproved, Objective: math.NaN(), Log: log}
	for line := range strings.Lines(string(text)) {
		switch key, value, _ := strings.Cut(strings.TrimSpace(line), " = "); {
		case key == "status" && value == "OPTIMAL":
			answer.Status = solver.Optimal
		case key == "status" && value == "INFEASIBLE":
			answer.Status = solver.Infeasible
		case key == "status" && value == "UNBOUNDED":
			answer.Status = solver.Unbounded
		case key == "Value":
			exact, ok := new(big.Rat).SetString(value)
			if !ok {
				return answer, fmt.Errorf("%q is not a fraction", value)
			}
			answer.Exact = exact
			answer.Objective, _ = exact.Float64()
			return answer, nil
		}
	}
	return answer, nil
}
