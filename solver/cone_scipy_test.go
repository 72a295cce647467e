package solver_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os/exec"
	"testing"

	"bittersum/solver"
	"bittersum/solver/internal/generate"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scipySLSQP minimises a linear objective under rows and cones by sequential quadratic programming
// (Kraft 1988, as SciPy brings it), from a given point.
const scipySLSQP = `
import json, sys, numpy as np
from scipy.optimize import minimize
d = json.load(sys.stdin)
c, A, lo, hi = (np.array(d[k], float) for k in ("c", "A", "lo", "hi"))
cons = [{"type": "ineq", "fun": lambda x: A @ x - lo, "jac": lambda x: A},
        {"type": "ineq", "fun": lambda x: hi - A @ x, "jac": lambda x: -A}]
for k in d["cones"]:
    m, s = np.array(k["mean"]), np.array(k["sd"])
    cons.append({"type": "ineq", "fun": lambda x, m=m, s=s, k=k: k["upper"] - m @ x - k["scale"] * np.linalg.norm(s * x),
                 "jac": lambda x, m=m, s=s, k=k: -m - k["scale"] * s * s * x / max(np.linalg.norm(s * x), 1e-300)})
best = None
for start in d["starts"]:
    r = minimize(lambda x: c @ x, np.array(start), jac=lambda x: c, bounds=list(zip(d["lower"], d["upper"])),
                 constraints=cons, method="SLSQP", options={"maxiter": 2000, "ftol": 1e-12})
    if r.success and (best is None or r.fun < best):
        best = r.fun
print(json.dumps(best))
`

// scipyPython returns the name of a Python that has SciPy.
func scipyPython(t *testing.T) string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import scipy").Run() == nil {
			return name
		}
	}
	t.Skip("no python3 with scipy is installed")
	return ""
}

type scipyCone struct {
	Mean  []float64 `json:"mean"`
	SD    []float64 `json:"sd"`
	Scale float64   `json:"scale"`
	Upper float64   `json:"upper"`
}

// Recipes whose contents are uncertain: a cap must hold with the standard deviation of the mix, of
// which the ingredients' own are independent.
func TestConesAgreeWithSciPy(t *testing.T) {
	python := scipyPython(t)
	for seed := uint64(2); seed < 7; seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			p := generate.Recipe(12, 4, seed, false)
			r := rand.New(rand.NewPCG(seed, 3))
			n := len(p.Columns)
			for j := range p.Columns {
				p.Columns[j].Lower, p.Columns[j].Upper = 0, min(p.Columns[j].Upper, 1000)
			}
			plain, err := solver.Solve(context.Background(), p, solver.Options{})
			require.NoError(t, err)
			require.Equal(t, solver.Optimal, plain.Status)

			// Caps that the cheapest recipe just breaks once its spread counts.
			var cones []scipyCone
			for range 2 {
				k := scipyCone{Scale: 1.645}
				cone := solver.Cone{Scale: k.Scale}
				for j := range n {
					mean := 0.1 + r.Float64()
					sd := mean * (0.05 + 0.4*r.Float64())
					k.Mean, k.SD = append(k.Mean, mean), append(k.SD, sd)
					cone.Linear = append(cone.Linear, solver.Term{Column: j, Value: mean})
					cone.Factors = append(cone.Factors, []solver.Term{{Column: j, Value: sd}})
				}
				k.Upper = cone.Activity(plain.X) * 0.995
				cone.Upper = k.Upper
				cones = append(cones, k)
				p.Cones = append(p.Cones, cone)
			}
			s, err := solver.Solve(context.Background(), p, solver.Options{})
			require.NoError(t, err)
			require.Equal(t, solver.Optimal, s.Status, s.Reason)
			assert.LessOrEqual(t, s.Certificate.PrimalResidual, 1e-5)
			assert.Greater(t, s.Objective, plain.Objective)

			want := runSLSQP(t, python, p, cones, [][]float64{plain.X, s.X})
			// SciPy's method stops at about 1e-7 of the objective.
			assert.InEpsilon(t, want, s.Objective, 1e-6)
		})
	}
}

func runSLSQP(t *testing.T, python string, p *solver.Problem, cones []scipyCone, starts [][]float64) float64 {
	t.Helper()
	n := len(p.Columns)
	input := map[string]any{"cones": cones, "starts": starts}
	var cost, lower, upper, low, high []float64
	var rows [][]float64
	for _, c := range p.Columns {
		cost, lower, upper = append(cost, c.Cost), append(lower, c.Lower), append(upper, c.Upper)
	}
	for _, row := range p.Rows {
		dense := make([]float64, n)
		most := 0.0
		for _, term := range row.Terms {
			dense[term.Column] = term.Value
			most = max(most, term.Value, -term.Value)
		}
		for j := range dense {
			dense[j] /= most
		}
		rows = append(rows, dense)
		low, high = append(low, max(row.Lower/most, -1e9)), append(high, min(row.Upper/most, 1e9))
	}
	for name, value := range map[string]any{"c": cost, "lower": lower, "upper": upper, "A": rows, "lo": low, "hi": high} {
		input[name] = value
	}
	text, err := json.Marshal(input)
	require.NoError(t, err)
	cmd := exec.Command(python, "-c", scipySLSQP)
	cmd.Stdin = bytes.NewReader(text)
	var errors bytes.Buffer
	cmd.Stderr = &errors
	out, err := cmd.Output()
	require.NoError(t, err, errors.String())
	var best *float64
	require.NoError(t, json.Unmarshal(out, &best))
	require.NotNil(t, best, "SciPy found no optimum")
	return *best
}
