package report

import (
	"fmt"
	"io"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
)

const compareSchema = "bittersum/compare/1"

// Compare writes two recipes side by side.
func Compare(w io.Writer, c *study.Comparison, extent Extent) {
	if c.Conflict != nil {
		conflict(w, c.Conflict)
		return
	}
	a, b := c.Assessments[0], c.Assessments[1]
	for n, one := range c.Assessments {
		fmt.Fprintf(w, "%c: %s\n", 'A'+rune(n), wrap(sideName(c, n)+": "+costLine(one), width-3, "   "))
		if !one.KeepsCaps() {
			fmt.Fprintln(w, "   DOES NOT KEEP THE CAPS. Not to be made or sold as it is.")
		}
		for _, miss := range one.Misses() {
			fmt.Fprintf(w, "   misses its brief: %s\n", miss)
		}
	}
	costs := fmt.Sprintf("B costs %s %s against A and drifts", signed(b.Cost.PerLitre-a.Cost.PerLitre, 3), perLitre(b.Job))
	if !sameMoney(c) {
		costs = "Their costs stand in different currencies and cannot be set against each other. B drifts"
	}
	fmt.Fprintf(w, "\n%s\n\n", wrap(fmt.Sprintf("%s %s JND from A.", costs, figures(c.Drift.Total, 3)), width, ""))
	beside(w, []string{"A", "B"}, []*assess.Assessment{a, b})
	attributesBeside(w, c.Drift, "A", "B")
	if a.Job.Kind == brief.Drink && b.Job.Kind == brief.Drink {
		for n, one := range c.Assessments {
			fmt.Fprintf(w, "%c. ", 'A'+rune(n))
			caps(w, one, extent)
		}
	}
	cautionsOfAll(w, c.Assessments[:], extent)
}

// sameMoney reports whether the costs of both sides stand in one currency.
func sameMoney(c *study.Comparison) bool {
	return c.Assessments[0].Job.Currency == c.Assessments[1].Job.Currency
}

// sideName names a side of a comparison, with the drink where the two differ.
func sideName(c *study.Comparison, n int) string {
	if c.Assessments[0].Job.Name != c.Assessments[1].Job.Name {
		return c.Names[n] + " (" + c.Assessments[n].Job.Name + ")"
	}
	return c.Names[n]
}

type jsonCompare struct {
	Schema   string          `json:"schema"`
	Names    [2]string       `json:"names"`
	A        *jsonAssessment `json:"a,omitempty"`
	B        *jsonAssessment `json:"b,omitempty"`
	ProofA   *jsonProof      `json:"proof_a,omitempty"`
	ProofB   *jsonProof      `json:"proof_b,omitempty"`
	Drift    *jsonDrift      `json:"drift,omitempty"`
	Conflict *jsonConflict   `json:"conflict,omitempty"`
}

// CompareJSON writes two recipes as JSON.
func CompareJSON(w io.Writer, c *study.Comparison) error {
	out := jsonCompare{Schema: compareSchema, Names: c.Names}
	if c.Conflict != nil {
		out.Conflict = conflictJSON(c.Conflict.Conflict)
		return encode(w, out)
	}
	out.A, out.B, out.Drift = toJSON(c.Assessments[0]), toJSON(c.Assessments[1]), driftJSON(c.Drift)
	if c.Answers[0] != nil {
		out.ProofA = proofJSON(c.Answers[0])
	}
	if c.Answers[1] != nil {
		out.ProofB = proofJSON(c.Answers[1])
	}
	return encode(w, out)
}

// ComparePicture draws the changes by attribute and, where they stand in one currency, the costs of two
// recipes.
func ComparePicture(c *study.Comparison) (Picture, error) {
	names := []string{"A: " + c.Names[0], "B: " + c.Names[1]}
	plots := []*plot.Plot{changesPlot(c.Assessments[0].Job, "from "+c.Names[0]+" to "+c.Names[1], c.Drift)}
	if sameMoney(c) {
		plots = append(plots, costsPlot("costs by ingredient", names, c.Assessments[:]))
	}
	return Picture{plots: plots, width: 18 * vg.Centimeter, height: 11 * vg.Centimeter}, nil
}
