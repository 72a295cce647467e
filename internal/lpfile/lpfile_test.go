package lpfile

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/solver"
)

// Wyndor Glass: F. S. Hillier and G. J. Lieberman, Introduction to Operations Research, section 3.1. The
// optimum is 36 at (2, 6); section 4.7 gives the shadow prices 0, 3/2 and 1.
const wyndor = `NAME          WYNDOR
OBJSENSE
    MAX
ROWS
 N  PROFIT
 L  PLANT1
 L  PLANT2
 L  PLANT3
COLUMNS
    DOORS     PROFIT              3.   PLANT1              1.
    DOORS     PLANT3              3.
    WINDOWS   PROFIT              5.   PLANT2              2.
    WINDOWS   PLANT3              2.
    SHUTTERS  PROFIT              1.   PLANT2              1.
    SHUTTERS  PLANT3              1.
RHS
    RHS       PLANT1              4.   PLANT2             12.
    RHS       PLANT3             18.
ENDATA
`

const (
	apart   = "NAME\nROWS\n N c\n G r\n L s\nCOLUMNS\n x c 1 r 1\n x s 1\nRHS\n RHS r 2 s 1\nENDATA\n"
	endless = "NAME\nROWS\n N c\n G r\nCOLUMNS\n x c -1 r 1\nENDATA\n"
	whole   = "NAME\nOBJSENSE MAX\nROWS\n N c\n L r\nCOLUMNS\n x c 1 r 2\n y c 0.25 r 1\nRHS\n RHS r 7\nBOUNDS\n LI B x 0\n UP B y 2\nENDATA\n"
)

func save(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "program.mps")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func run(t *testing.T, text string, opt Options) *Result {
	t.Helper()
	r, err := Run(context.Background(), save(t, text), opt)
	require.NoError(t, err)
	return r
}

// textOf returns the text without the counts of iterations, which are no part of the answer.
func textOf(t *testing.T, r *Result) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, Text(&out, r))
	return regexp.MustCompile(`\d+ iterations`).ReplaceAllString(out.String(), "N iterations")
}

func TestTextOptimal(t *testing.T) {
	r := run(t, wyndor, Options{Exact: true, SecondOpinion: time.Minute})
	assert.Equal(t, 0, r.Code())
	assert.Equal(t, `program      WYNDOR: maximise, 3 rows, 3 columns, 6 coefficients
status       optimal
objective    36
work         N iterations
certificate  primal residual 0, dual residual 0, gap 0
proof        optimal in rational arithmetic, exactly 36
opinion      optimal, objective 36

column   value  reduced cost  at
DOORS        2             0  between
WINDOWS      6             0  between
(1 further columns are zero)

row     activity  dual value  at
PLANT2        12         1.5  upper
PLANT3        18           1  upper
(1 further rows have no dual value)
`, textOf(t, r))
}

func TestTextWithoutOptimum(t *testing.T) {
	r := run(t, apart, Options{Exact: true})
	assert.Equal(t, 4, r.Code())
	assert.Equal(t, `program      minimise, 2 rows, 1 columns, 2 coefficients
status       infeasible
work         N iterations
proof        infeasible in rational arithmetic

No point meets all rows: weighted so, they contradict the bounds.
row  weight
r        -1
s         1
`, textOf(t, r))

	r = run(t, endless, Options{})
	assert.Equal(t, 4, r.Code())
	assert.Equal(t, `program      minimise, 1 rows, 1 columns, 1 coefficients
status       unbounded
work         N iterations

The objective improves for ever along this direction.
column  slope
x           1
`, textOf(t, r))
}

func TestTextInteger(t *testing.T) {
	r := run(t, whole, Options{Exact: true})
	// By hand: x = 3, y = 1.
	assert.InDelta(t, 3.25, r.Solution.Objective, 1e-9)
	assert.Equal(t, 0, r.Code())
	assert.Contains(t, textOf(t, r), "proof        optimal in rational arithmetic, exactly 13/4, 3 nodes\n")
	assert.Contains(t, textOf(t, r), "status       optimal\nobjective    3.25\nbound        3.25\n")

	r = run(t, whole, Options{})
	assert.Equal(t, 0, r.Code())
	assert.Contains(t, textOf(t, r), "column  value\nx           3\ny           1\n")
}

func TestLimit(t *testing.T) {
	r := run(t, wyndor, Options{Solve: solver.Options{Time: time.Nanosecond}})
	assert.Equal(t, 5, r.Code())
	assert.Contains(t, textOf(t, r), "status       limit: ")
}

// thin has no point, by less than any tolerance.
const thin = "NAME\nROWS\n N c\n G r\n L s\nCOLUMNS\n x c 1 r 1\n x s 1\nRHS\n RHS r 1.0000000000000001 s 1\nENDATA\n"

// Where the proof says otherwise than floating point, the proof is told: no point of a program without any.
func TestProofSaysOtherwise(t *testing.T) {
	r := run(t, thin, Options{Exact: true})
	assert.Equal(t, solver.Optimal, r.Solution.Status)
	assert.Equal(t, 4, r.Code())
	assert.Equal(t, `program      minimise, 2 rows, 1 columns, 2 coefficients
status       infeasible
work         N iterations
proof        infeasible in rational arithmetic

No point meets all rows: weighted so, they contradict the bounds.
row  weight
r        -1
s         1
`, textOf(t, r))
	var out bytes.Buffer
	require.NoError(t, JSON(&out, r))
	assert.NotContains(t, out.String(), `"columns"`)
	assert.Contains(t, out.String(), `"value": "-1"`)
	assert.Contains(t, out.String(), `"status": "infeasible"`)
}

// What a limit leaves: the point reached, by how much it oversteps, and a bound where there is one.
func TestWhatALimitLeaves(t *testing.T) {
	// By hand: x + y >= 4 cannot be met in one iteration from the point of zeros, which costs nothing.
	text := "NAME\nROWS\n N c\n G r\n G s\nCOLUMNS\n x c 1 r 1\n x s 2\n y c 2 r 1\n y s 1\nRHS\n RHS r 4 s 5\nENDATA\n"
	r := run(t, text, Options{Solve: solver.Options{Iterations: 1}})
	assert.Equal(t, 5, r.Code())
	assert.Contains(t, textOf(t, r), " at the point reached, which oversteps a limit by ")
	assert.NotContains(t, textOf(t, r), "column  value", "a point that does not hold is no table")
	var out bytes.Buffer
	require.NoError(t, JSON(&out, r))
	var got map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	assert.Greater(t, got["infeasibility"], 0.5)
	assert.LessOrEqual(t, got["bound"], 4.0, "the optimum is 4, at x = 4")
	assert.GreaterOrEqual(t, got["bound"], 0.0)

	begun := time.Now()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	r, err := Run(ctx, save(t, text), Options{Exact: true})
	require.NoError(t, err)
	assert.Contains(t, textOf(t, r), "interrupted")
	assert.Contains(t, textOf(t, r), "proof        none: interrupted")
	assert.Less(t, time.Since(begun), time.Minute)
}

// An optimum whose prices are off by much says by how much.
func TestOptimalWithin(t *testing.T) {
	r := run(t, wyndor, Options{})
	assert.Zero(t, r.costMargin())
	r.Solution.Certificate.DualResidual = 0.03
	assert.Contains(t, textOf(t, r), "status       optimal for costs changed by at most 0.03\n")
	var out bytes.Buffer
	require.NoError(t, JSON(&out, r))
	assert.Contains(t, out.String(), `"cost_margin": 0.03`)
	r = run(t, wyndor, Options{Exact: true})
	r.Solution.Certificate.DualResidual = 0.03
	assert.Zero(t, r.costMargin(), "the proof knows no margin")
}

func TestStandardInput(t *testing.T) {
	r, err := Run(context.Background(), "-", Options{Input: strings.NewReader(wyndor)})
	require.NoError(t, err)
	assert.Equal(t, 36.0, r.Solution.Objective)
}

func TestContradictingOpinionProvesNothing(t *testing.T) {
	r := run(t, wyndor, Options{SecondOpinion: time.Minute})
	r.Opinion.Objective += 1
	assert.Equal(t, 5, r.Code())
	assert.Contains(t, textOf(t, r), "opinion      optimal, objective 37; this contradicts the solver\n")
	r.Opinion.Status = solver.Infeasible
	assert.Equal(t, 5, r.Code())
	*r.Opinion = solver.Opinion{Reason: "no answer in time"}
	assert.Equal(t, 0, r.Code())
	assert.Contains(t, textOf(t, r), "opinion      none: no answer in time\n")
}

func TestJSON(t *testing.T) {
	var out bytes.Buffer
	r := run(t, wyndor, Options{Exact: true, SecondOpinion: time.Minute})
	require.NoError(t, JSON(&out, r))
	var got map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	assert.Equal(t, "bittersum/lp/1", got["schema"])
	assert.Equal(t, "optimal", got["status"])
	assert.Equal(t, "maximise", got["sense"])
	assert.Equal(t, 36.0, got["objective"])
	assert.Equal(t, map[string]any{"name": "DOORS", "value": 2.0, "reduced_cost": 0.0, "at": "between"}, got["columns"].([]any)[0])
	assert.Equal(t, map[string]any{"name": "PLANT2", "activity": 12.0, "dual": 1.5, "at": "upper"}, got["rows"].([]any)[1])
	proof := got["proof"].(map[string]any)
	assert.Equal(t, "36", proof["objective"])
	assert.Equal(t, []any{"0", "3/2", "1"}, proof["duals"])
	assert.Equal(t, true, got["second_opinion"].(map[string]any)["agrees"])

	out.Reset()
	require.NoError(t, JSON(&out, run(t, apart, Options{})))
	got = nil
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	assert.Equal(t, "infeasible", got["status"])
	assert.Len(t, got["farkas"], 2)
	assert.NotContains(t, got, "objective")
}

func TestLog(t *testing.T) {
	var log bytes.Buffer
	calls := 0
	run(t, whole, Options{Log: &log, Solve: solver.Options{Progress: func(solver.Progress) { calls++ }}})
	assert.Regexp(t, `^read       .*: maximise, 1 rows, 2 columns, 2 coefficients, 1 not continuous\n`, log.String())
	assert.Contains(t, log.String(), "branch and bound")
	assert.Regexp(t, `solved     .*: optimal\n$`, log.String())
	assert.Positive(t, calls)
}

func TestBadFile(t *testing.T) {
	var fault *FileError
	_, err := Run(context.Background(), filepath.Join(t.TempDir(), "none.mps"), Options{})
	require.True(t, errors.As(err, &fault))
	require.ErrorIs(t, err, os.ErrNotExist)

	path := save(t, "NAME\nROWS\n X  c\nENDATA\n")
	_, err = Run(context.Background(), path, Options{})
	require.True(t, errors.As(err, &fault))
	assert.Contains(t, err.Error(), path+`: mps: line 3: row type "X" is not N, L, G or E`)
}
