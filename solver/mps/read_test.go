package mps

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/solver"
)

// The sections that a case does not care about.
const (
	top = "NAME          SMALL\nROWS\n N  COST\n L  LIM1\n G  LIM2\n E  MYEQN\nCOLUMNS\n" +
		"    X         COST                1.   LIM1              1.\n    X         LIM2              1.\n" +
		"    Y         COST              2.   LIM1              1.\n    Y         MYEQN            -1.\n" +
		"    Z         COST             -1.   MYEQN             1.\n"
	rhs = "RHS\n    RHS       LIM1                4.   LIM2              1.\n    RHS       MYEQN             7.\n"
)

func mustRead(t *testing.T, text string) *solver.Problem {
	t.Helper()
	p, err := Read(strings.NewReader(text))
	require.NoError(t, err)
	return p
}

func TestReadRanges(t *testing.T) {
	// The table of signs is that of IBM, MPSX/370 Program Reference (1979), section RANGES, as also
	// given in the GLPK 5.0 reference manual, appendix B.
	for _, c := range []struct {
		row, value   string
		lower, upper float64
	}{
		{"LIM1", "2.5", 1.5, 4}, {"LIM1", "-2.5", 1.5, 4},
		{"LIM2", "2.5", 1, 3.5}, {"LIM2", "-2.5", 1, 3.5},
		{"MYEQN", "2.5", 7, 9.5}, {"MYEQN", "-2.5", 4.5, 7}, {"MYEQN", "0", 7, 7},
		{"LIM1", "1e30", -solver.Inf, 4},
	} {
		p := mustRead(t, top+rhs+"RANGES\n    RNG       "+c.row+strings.Repeat(" ", 10-len(c.row))+c.value+"\nENDATA\n")
		for _, row := range p.Rows {
			if row.Name == c.row {
				assert.Equal(t, [2]float64{c.lower, c.upper}, [2]float64{row.Lower, row.Upper}, "%+v", c)
			}
		}
	}
}

func TestReadBounds(t *testing.T) {
	inf := solver.Inf
	for _, c := range []struct {
		lines string
		want  solver.Column // of Y
	}{
		{"", solver.Column{Lower: 0, Upper: inf}},
		{" UP BND       Y                  4.", solver.Column{Lower: 0, Upper: 4}},
		{" UP BND       Y                  -4.", solver.Column{Lower: -inf, Upper: -4}},
		{" UP BND       Y                  -4.\n LO BND       Y                  -9.", solver.Column{Lower: -9, Upper: -4}},
		{" LO BND       Y                  0.\n UP BND       Y                  -4.", solver.Column{Lower: 0, Upper: -4}},
		{" MI BND       Y", solver.Column{Lower: -inf, Upper: inf}},
		{" MI BND       Y\n UP BND       Y                  3.", solver.Column{Lower: -inf, Upper: 3}},
		{" FR BND       Y", solver.Column{Lower: -inf, Upper: inf}},
		{" FX BND       Y                  -2.", solver.Column{Lower: -2, Upper: -2}},
		{" PL BND       Y", solver.Column{Lower: 0, Upper: inf}},
		{" BV BND       Y", solver.Column{Lower: 0, Upper: 1, Kind: solver.Integer}},
		{" LI BND       Y                  2.", solver.Column{Lower: 2, Upper: inf, Kind: solver.Integer}},
		{" UI BND       Y                  8.", solver.Column{Lower: 0, Upper: 8, Kind: solver.Integer}},
		{" SC BND       Y                  8.\n LO BND       Y                  2.", solver.Column{Lower: 2, Upper: 8, Kind: solver.SemiContinuous}},
		{" UP BND       Y                  1e30", solver.Column{Lower: 0, Upper: inf}},
		{" LO BND       Y                  1.5D+01", solver.Column{Lower: 15, Upper: inf}},
		{" UP BND       Y                  4.\n UP OTHER     Y                  9.", solver.Column{Lower: 0, Upper: 4}},
		// The free layout, with and without a set.
		{"\tUP BND Y 4", solver.Column{Lower: 0, Upper: 4}},
		{"\tUP Y 4", solver.Column{Lower: 0, Upper: 4}},
		{"\tFR Y", solver.Column{Lower: -inf, Upper: inf}},
		{"\tFR BND Y", solver.Column{Lower: -inf, Upper: inf}},
		{"\tBV Y 1", solver.Column{Lower: 0, Upper: 1, Kind: solver.Integer}},
	} {
		p := mustRead(t, top+rhs+"BOUNDS\n"+c.lines+"\nENDATA\n")
		c.want.Name, c.want.Cost = "Y", 2
		assert.Equal(t, c.want, p.Columns[1], c.lines)
	}
}

func TestReadIntegers(t *testing.T) {
	p := mustRead(t, `NAME INTS FREE
OBJSENSE
    MAX
ROWS
 N cost
 N other
 L r
COLUMNS
 a cost 1 r 1
 m1 'MARKER' 'INTORG'
 b cost 1 r 1
 c cost 1 other 5
 m2 'MARKER' 'INTEND'
 d cost 1
RHS
 r 10 cost -3
BOUNDS
 PL c
ENDATA
`)
	assert.Equal(t, solver.Maximize, p.Sense)
	assert.Equal(t, "INTS", p.Name)
	// The constant is minus the right-hand side; Netlib's e226 is the known case.
	assert.Equal(t, 3.0, p.Offset)
	assert.Equal(t, []solver.Column{
		{Name: "a", Cost: 1, Upper: solver.Inf},
		{Name: "b", Cost: 1, Upper: 1, Kind: solver.Integer},
		{Name: "c", Cost: 1, Upper: solver.Inf, Kind: solver.Integer},
		{Name: "d", Cost: 1, Upper: solver.Inf},
	}, p.Columns)
	assert.Equal(t, solver.Row{Name: "other", Lower: -solver.Inf, Upper: solver.Inf, Terms: []solver.Term{{Column: 2, Value: 5}}}, p.Rows[0])
}

func TestReadObjectiveName(t *testing.T) {
	p := mustRead(t, "NAME\nOBJNAME\n second\nOBJSENSE MAXIMIZE\nROWS\n N first\n N second\nCOLUMNS\n x first 1 second 2\nENDATA\n")
	assert.Equal(t, 2.0, p.Columns[0].Cost)
	assert.Equal(t, "first", p.Rows[0].Name)
}

func TestReadBlanksInFixedNames(t *testing.T) {
	text := "NAME\r\nROWS\r\n N  THE COST\r\n* a remark\r\n L  ROW ONE\r\nCOLUMNS\r\n" +
		"    X 1       THE COST          1.     ROW ONE           2.\r\nRHS\r\n              ROW ONE           5.\r\nENDATA\r\n"
	p := mustRead(t, text)
	assert.Equal(t, "X 1", p.Columns[0].Name)
	assert.Equal(t, solver.Row{Name: "ROW ONE", Lower: -solver.Inf, Upper: 5, Terms: []solver.Term{{Column: 0, Value: 2}}}, p.Rows[0])
}

func TestReadFaults(t *testing.T) {
	long := "NAME\n " + strings.Repeat("x", maxLine+1)
	for name, c := range map[string]struct{ text, want string }{
		"empty":               {"", "mps: line 1: the file ends before ENDATA"},
		"cut short":           {top, "mps: line 13: the file ends before ENDATA"},
		"binary":              {"\x7fELF\x02\x00", "mps: line 1: control character '\\x7f'; this is not an MPS file"},
		"not Latin-1 either":  {"NAME \x9d\n", "mps: line 1: control character '\\u009d'; this is not an MPS file"},
		"LP format":           {"\\ a diet\nMaximize\n obj: 3 x + 2 y\nSubject To\n c1: x + y <= 4\nEnd\n", `mps: line 1: "\\" begins no section of MPS; this looks like an LP file, which is another format`},
		"LP format, bare":     {"Minimize\n obj: 3 x\nEnd\n", `mps: line 1: "Minimize" begins no section of MPS; this looks like an LP file, which is another format`},
		"too small":           {"ROWS\n N c\nCOLUMNS\n x c 1e-999999999\nENDATA\n", `mps: line 4: "1e-999999999" is nearer to zero than any number that can be held here; write 0`},
		"infinite constant":   {top + "RHS\n    RHS       COST            1e30\nENDATA\n", "mps: the constant of the objective is -1e+30, which counts as infinite"},
		"long line":           {long, "mps: line 2: longer than 65536 bytes"},
		"no section":          {" N COST\nENDATA\n", "mps: line 1: a data line stands before the first section"},
		"unknown section":     {"QUADOBJ\nENDATA\n", "mps: line 1: section QUADOBJ is not known or not supported"},
		"no objective":        {"ROWS\n L  R\nCOLUMNS\nENDATA\n", "mps: line 3: there is no N row to be the objective"},
		"row type":            {"ROWS\n X  R\nENDATA\n", `mps: line 2: row type "X" is not N, L, G or E`},
		"row twice":           {"ROWS\n N  R\n L  R\nENDATA\n", `mps: line 3: row "R" stands twice`},
		"columns first":       {"COLUMNS\nENDATA\n", "mps: line 1: section COLUMNS stands before ROWS"},
		"section twice":       {top + rhs + "RHS\nENDATA\n", "mps: line 16: section RHS stands twice"},
		"words on section":    {top + "RHS  LIM1  4\nENDATA\n", "mps: line 13: section RHS takes no further words on its line"},
		"unknown row":         {top + "RHS\n    RHS       LIM9              4.\nENDATA\n", `mps: line 14: there is no row "LIM9"`},
		"two right-hand":      {top + rhs + "    RHS       LIM1              5.\nENDATA\n", `mps: line 16: row "LIM1" has two right-hand sides`},
		"unknown column":      {top + "BOUNDS\n UP BND       W                  4.\nENDATA\n", `mps: line 14: there is no column "W"`},
		"bound type":          {top + "BOUNDS\n XX BND       X                  4.\nENDATA\n", `mps: line 14: bound type "XX" is not LO, UP, FX, FR, MI, PL, BV, LI, UI or SC`},
		"bound number":        {top + "BOUNDS\n UP BND       X\nENDATA\n", "mps: line 14: bound type UP needs a number"},
		"two bounds":          {top + "BOUNDS\n UP BND       X                  4.\n UP BND       X                  5.\nENDATA\n", `mps: line 15: column "X" has two upper bounds`},
		"no upper bound":      {top + "BOUNDS\n SC BND       X                1e30\nENDATA\n", `mps: line 14: semi-continuous column "X" needs a finite upper bound of at least 0`},
		"column parted":       {top + "    X         MYEQN             1.\nENDATA\n", `mps: line 13: column "X" goes on after another column began`},
		"coefficient twice":   {top + "    Z         MYEQN             2.\nENDATA\n", `mps: line 13: column "Z" has two coefficients in row "MYEQN"`},
		"infinite":            {top + "    W         LIM1            1e31\nENDATA\n", `mps: line 13: coefficient 1e31 of column "W" in row "LIM1" is infinite`},
		"marker":              {top + "    M         'MARKER'                 'SOSORG'\nENDATA\n", `mps: line 13: marker "SOSORG" is not supported`},
		"marker open":         {top + "    M         'MARKER'                 'INTORG'\nENDATA\n", "mps: the marker INTORG is never closed by INTEND"},
		"sense":               {"OBJSENSE\n    UPWARD\nENDATA\n", `mps: line 2: OBJSENSE is MAX or MIN, not "UPWARD"`},
		"sense missing":       {"OBJSENSE\n" + top + "ENDATA\n", "mps: section OBJSENSE says neither MAX nor MIN"},
		"unclear bound":       {"ROWS\n N c\nCOLUMNS\n x c 1\n y c 1\nBOUNDS\n FR x y\nENDATA\n", `mps: line 7: it is unclear whether "x" is the set or the column`},
		"not a number":        {"ROWS\n N c\nCOLUMNS\n x c 0x1p3\nENDATA\n", `mps: line 4: "0x1p3" is not a number`},
		"words":               {"ROWS\n N c\nCOLUMNS\n x c\nENDATA\n", "mps: line 4: a COLUMNS line holds a column and one or two pairs of row and number, not 2 words"},
		"no columns":          {"NAME\nROWS\n N  COST\nENDATA\n", "mps: line 4: there is no COLUMNS section"},
		"infinite right side": {top + "RHS\n    RHS       LIM2            1e30\nENDATA\n", `mps: row "LIM2" of type G has the right-hand side 1e+30, which counts as infinite and which nothing meets`},
	} {
		_, err := Read(strings.NewReader(c.text))
		if assert.Error(t, err, name) {
			assert.Truef(t, strings.HasPrefix(err.Error(), c.want), "%s: got %q, want %q", name, err, c.want)
		}
	}
}

// A word that begins with $ begins a remark, unless it is a name of the file; in fixed columns only the third
// and the fifth field can.
func TestReadRemarks(t *testing.T) {
	p := mustRead(t, "NAME x FREE\nROWS $ of two kinds\n N c $ the cost\n L r\nCOLUMNS\n x c 1 $ r 5\n x r 2\nRHS\n RHS r 5 $ most\nBOUNDS\n UP B x 4 $most\nENDATA\n")
	assert.Equal(t, []solver.Column{{Name: "x", Cost: 1, Upper: 4}}, p.Columns)
	assert.Equal(t, []solver.Row{{Name: "r", Lower: -solver.Inf, Upper: 5, Terms: []solver.Term{{Column: 0, Value: 2}}}}, p.Rows)
	p = mustRead(t, "ROWS\n N $c\n L $r\nCOLUMNS\n $x $c 1 $r 3\nBOUNDS\n UP B $x 4 $ most\nENDATA\n")
	assert.Equal(t, []solver.Column{{Name: "$x", Cost: 1, Upper: 4}}, p.Columns)
	assert.Equal(t, []solver.Term{{Column: 0, Value: 3}}, p.Rows[0].Terms)
	p = mustRead(t, top+"RHS\n    RHS       LIM1              4.   $ LIM2            1.\nENDATA\n")
	assert.Equal(t, 4.0, p.Rows[0].Upper)
	assert.Equal(t, 0.0, p.Rows[1].Lower)
}

// Names in Latin-1 are read as such, and the range of a free row, the objective's too, bounds nothing.
func TestReadLatinNamesAndIdleRanges(t *testing.T) {
	p := mustRead(t, "ROWS\n N c\n N frei\n L s\xfc\xdfe\nCOLUMNS\n x c 1 s\xfc\xdfe 1\nRHS\n RHS s\xfc\xdfe 4\nRANGES\n R c 5 frei 4\nENDATA\n")
	assert.Equal(t, "süße", p.Rows[1].Name)
	assert.Equal(t, solver.Row{Name: "frei", Lower: -solver.Inf, Upper: solver.Inf}, p.Rows[0])
	assert.Zero(t, p.Offset)
}

// In fixed columns the set is "B X" and the column "5"; parted by blanks, the set is B, the column X and
// the number 5.
func TestReadRefusesTwoMeanings(t *testing.T) {
	text := "ROWS\n N  C\n L  R\nCOLUMNS\n    X         R                 1.\n    5         R                 1.\n" +
		"BOUNDS\n FR B X       5\nENDATA\n"
	_, err := Read(strings.NewReader(text))
	require.ErrorContains(t, err, "one meaning in fixed columns and another in the free layout")
}

func FuzzRead(f *testing.F) {
	f.Add(top + rhs + "RANGES\n    RNG       LIM1              2.5\nBOUNDS\n UP BND       X                  4.\nENDATA\n")
	f.Add("NAME a FREE\nOBJSENSE\n MAX\nROWS\n N c\n E r\nCOLUMNS\n m 'MARKER' 'INTORG'\n x c 1 r 2\n m 'MARKER' 'INTEND'\nRHS\n r 1\nBOUNDS\n BV x\nENDATA\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Read(strings.NewReader(text))
		if err != nil {
			assert.True(t, strings.HasPrefix(err.Error(), "mps: "), err.Error())
			return
		}
		// Whatever was read can be written and read again without a change of meaning.
		require.NoError(t, p.Check())
		assertRoundTrip(t, p)
	})
}
