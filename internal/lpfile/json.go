package lpfile

import (
	"encoding/json"
	"io"
	"math"
	"math/big"

	"bittersum/solver"
)

// schema names what the JSON holds. Fields may be added under the same name; a change of meaning or a
// removal gets a new number.
const schema = "bittersum/lp/1"

// number is null in JSON where there is no finite number.
type number float64

func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

type jsonResult struct {
	Schema       string  `json:"schema"`
	File         string  `json:"file"`
	Name         string  `json:"name"`
	Sense        string  `json:"sense"`
	RowCount     int     `json:"row_count"`
	ColumnCount  int     `json:"column_count"`
	Coefficients int     `json:"coefficient_count"`
	Status       string  `json:"status"`
	Reason       string  `json:"reason,omitempty"`
	Objective    *number `json:"objective,omitempty"`
	Bound        *number `json:"bound,omitempty"`
	Iterations   int     `json:"iterations"`
	Nodes        int     `json:"nodes,omitempty"`
	// Infeasibility is by how much the point of a limit oversteps the program's limits.
	Infeasibility *number `json:"infeasibility,omitempty"`
	// CostMargin is by how much each cost must at most be changed for the point to be the optimum beyond doubt,
	// where that is more than rounding leaves.
	CostMargin  *number          `json:"cost_margin,omitempty"`
	Certificate *jsonCertificate `json:"certificate,omitempty"`
	Columns     []jsonColumn     `json:"columns,omitempty"`
	Rows        []jsonRow        `json:"rows,omitempty"`
	Farkas      []jsonWeight     `json:"farkas,omitempty"`
	Ray         []jsonWeight     `json:"ray,omitempty"`
	Proof       *jsonProof       `json:"proof,omitempty"`
	Opinion     *jsonOpinion     `json:"second_opinion,omitempty"`
}

type jsonCertificate struct {
	PrimalResidual number  `json:"primal_residual"`
	DualResidual   *number `json:"dual_residual,omitempty"`
	Gap            number  `json:"gap"`
}

type jsonColumn struct {
	Name        string  `json:"name"`
	Value       number  `json:"value"`
	ReducedCost *number `json:"reduced_cost,omitempty"`
	At          string  `json:"at"`
}

type jsonRow struct {
	Name     string  `json:"name"`
	Activity number  `json:"activity"`
	Dual     *number `json:"dual,omitempty"`
	At       string  `json:"at"`
}

// jsonWeight is a number that goes with a row or a column.
type jsonWeight struct {
	Name  string `json:"name"`
	Value number `json:"value"`
}

type jsonProof struct {
	Status    string   `json:"status"`
	Reason    string   `json:"reason,omitempty"`
	Objective string   `json:"objective,omitempty"`
	Pivots    int      `json:"pivots"`
	Nodes     int      `json:"nodes,omitempty"`
	Columns   []string `json:"columns,omitempty"`
	Rows      []string `json:"duals,omitempty"`
	// Farkas and Ray are the proof that there is no point, or no limit.
	Farkas []jsonFraction `json:"farkas,omitempty"`
	Ray    []jsonFraction `json:"ray,omitempty"`
}

// jsonFraction is an exact number that goes with a row or a column.
type jsonFraction struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

type jsonOpinion struct {
	Status    string  `json:"status"`
	Reason    string  `json:"reason,omitempty"`
	Objective *number `json:"objective,omitempty"`
	Agrees    bool    `json:"agrees"`
}

// JSON writes r for programs. Exact numbers are fractions in strings.
func JSON(w io.Writer, r *Result) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(toJSON(r))
}

func some(v float64) *number {
	n := number(v)
	return &n
}

func toJSON(r *Result) jsonResult {
	p, s := r.Problem, r.shown()
	out := jsonResult{
		Schema: schema, File: r.Path, Name: p.Name, Sense: "minimise",
		RowCount: len(p.Rows), ColumnCount: len(p.Columns),
		Status: r.Status().String(), Reason: s.Reason, Iterations: s.Iterations, Nodes: s.Nodes,
	}
	if p.Sense == solver.Maximize {
		out.Sense = "maximise"
	}
	for _, row := range p.Rows {
		out.Coefficients += len(row.Terms)
	}
	if boundKnown(p, s) {
		out.Bound = some(s.Bound)
	}
	if s.Status == solver.Limit && s.X != nil {
		out.Infeasibility = some(s.Certificate.PrimalResidual)
	}
	if margin := r.costMargin(); margin > 0 {
		out.CostMargin = some(margin)
	}
	if s.X != nil {
		out.Objective = some(s.Objective)
		out.Certificate = &jsonCertificate{PrimalResidual: number(s.Certificate.PrimalResidual), Gap: number(s.Certificate.Gap)}
		if s.Dual != nil {
			out.Certificate.DualResidual = some(s.Certificate.DualResidual)
		}
		out.addPoint(p, s)
	}
	for i, y := range s.Farkas {
		if y != 0 {
			out.Farkas = append(out.Farkas, jsonWeight{nameOf("row", p.Rows[i].Name, i), number(y)})
		}
	}
	for j, v := range s.Ray {
		if v != 0 {
			out.Ray = append(out.Ray, jsonWeight{nameOf("column", p.Columns[j].Name, j), number(v)})
		}
	}
	if r.Proof != nil {
		out.Proof = proofJSON(p, r.Proof)
	}
	if r.Opinion != nil {
		out.Opinion = &jsonOpinion{Status: r.Opinion.Status.String(), Reason: r.Opinion.Reason, Agrees: r.Agrees()}
		if r.Opinion.Status == solver.Optimal {
			out.Opinion.Objective = some(r.Opinion.Objective)
		}
	}
	return out
}

func (out *jsonResult) addPoint(p *solver.Problem, s *solver.Solution) {
	for j, c := range p.Columns {
		column := jsonColumn{Name: nameOf("column", c.Name, j), Value: number(s.X[j]), At: limitOf(s.X[j], c.Lower, c.Upper)}
		if s.ReducedCost != nil {
			column.ReducedCost = some(s.ReducedCost[j])
		}
		out.Columns = append(out.Columns, column)
	}
	for i, row := range p.Rows {
		line := jsonRow{Name: nameOf("row", row.Name, i), Activity: number(s.Activity[i]), At: limitOf(s.Activity[i], row.Lower, row.Upper)}
		if s.Dual != nil {
			line.Dual = some(s.Dual[i])
		}
		out.Rows = append(out.Rows, line)
	}
}

func proofJSON(problem *solver.Problem, p *solver.Proof) *jsonProof {
	out := &jsonProof{Status: p.Status.String(), Reason: p.Reason, Pivots: p.Pivots, Nodes: p.Nodes, Columns: fractions(p.X), Rows: fractions(p.Dual)}
	if p.Objective != nil {
		out.Objective = p.Objective.RatString()
	}
	for i, y := range p.Farkas {
		if y.Sign() != 0 {
			out.Farkas = append(out.Farkas, jsonFraction{nameOf("row", problem.Rows[i].Name, i), y.RatString()})
		}
	}
	for j, v := range p.Ray {
		if v.Sign() != 0 {
			out.Ray = append(out.Ray, jsonFraction{nameOf("column", problem.Columns[j].Name, j), v.RatString()})
		}
	}
	return out
}

func fractions(values []*big.Rat) []string {
	var text []string
	for _, v := range values {
		text = append(text, v.RatString())
	}
	return text
}
