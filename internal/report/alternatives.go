package report

import (
	"fmt"
	"io"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
)

const alternativesSchema = "bittersum/alternatives/1"

// Alternatives writes the recipes near the least cost.
func Alternatives(w io.Writer, a *study.Alternatives, extent Extent) {
	if a.Best.Conflict != nil {
		conflict(w, a.Best)
		return
	}
	title(w, a.Job)
	if len(a.Others) == 0 {
		fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("No recipe within %s of the least cost differs from it by a fifth of a per cent of the cost or more.", percent(a.Within)), width, ""))
		return
	}
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("Recipes within %s of the least cost, as different from each other as was found.", percent(a.Within)), width, ""))
	t := newTable("  ", "l", "."+perLitre(a.Job), "rdearer", "rdifferent", ".JND", "ldoes without, and adds")
	best := a.Best.Assessment
	t.row("cheapest", figures(best.Cost.PerLitre, 4), "", "", "", "")
	titles, recipes := []string{"cheapest"}, []*assess.Assessment{best}
	for n, o := range a.Others {
		name := alternativeName(n)
		dearer := ""
		if best.Cost.PerLitre > 0 {
			dearer = percent(o.Assessment.Cost.PerLitre/best.Cost.PerLitre - 1)
		}
		var text []string
		if len(o.Avoids) > 0 {
			text = append(text, "no "+names(o.Avoids))
		}
		if len(o.Adds) > 0 {
			text = append(text, "adds "+names(o.Adds))
		}
		t.row(name, figures(o.Assessment.Cost.PerLitre, 4), dearer, percent(o.Different), fixed(o.Drift.Total, 2), strings.Join(text, "; "))
		titles = append(titles, name)
		recipes = append(recipes, o.Assessment)
	}
	t.write(w)
	fmt.Fprintf(w, "  %s\n\n", wrap("Different: the share of the cost that goes into other amounts than in any recipe above. JND: the drift from the cheapest recipe. A recipe that does without an ingredient is safe from its supplier.", width-2, "  "))
	beside(w, titles, recipes)
	cautionsOfAll(w, recipes, extent)
}

func alternativeName(n int) string { return "other " + string(rune('A'+n%26)) }

func names(sources []*brief.Source) string {
	var out []string
	for _, s := range sources {
		out = append(out, s.Name)
	}
	return strings.Join(out, ", ")
}

type jsonAlternative struct {
	Recipe    *jsonAssessment `json:"recipe"`
	Different number          `json:"different_share"`
	Drift     *jsonDrift      `json:"drift"`
	Avoids    []string        `json:"does_without,omitempty"`
	Adds      []string        `json:"adds,omitempty"`
}

type jsonAlternatives struct {
	Schema   string            `json:"schema"`
	Brief    string            `json:"brief"`
	Within   number            `json:"within_share"`
	Best     *jsonAssessment   `json:"cheapest,omitempty"`
	Proof    *jsonProof        `json:"proof,omitempty"`
	Others   []jsonAlternative `json:"alternatives"`
	Conflict *jsonConflict     `json:"conflict,omitempty"`
}

// AlternativesJSON writes the recipes near the least cost as JSON.
func AlternativesJSON(w io.Writer, a *study.Alternatives) error {
	out := jsonAlternatives{Schema: alternativesSchema, Brief: a.Job.Name, Within: number(a.Within), Others: []jsonAlternative{}}
	if a.Best.Conflict != nil {
		out.Conflict = conflictJSON(a.Best.Conflict)
		return encode(w, out)
	}
	out.Best, out.Proof = toJSON(a.Best.Assessment), proofJSON(a.Best)
	for _, o := range a.Others {
		one := jsonAlternative{Recipe: toJSON(o.Assessment), Different: number(o.Different), Drift: driftJSON(o.Drift)}
		for _, s := range o.Avoids {
			one.Avoids = append(one.Avoids, s.Name)
		}
		for _, s := range o.Adds {
			one.Adds = append(one.Adds, s.Name)
		}
		out.Others = append(out.Others, one)
	}
	return encode(w, out)
}

// AlternativesPicture draws what each ingredient costs in each recipe.
func AlternativesPicture(a *study.Alternatives) (Picture, error) {
	titles, recipes := []string{"cheapest"}, []*assess.Assessment{a.Best.Assessment}
	for n, o := range a.Others[:min(len(a.Others), 3)] {
		titles, recipes = append(titles, alternativeName(n)), append(recipes, o.Assessment)
	}
	p := costsPlot(pictureTitle(a.Job, "recipes near the least cost, by ingredient"), titles, recipes)
	return Picture{plots: []*plot.Plot{p}, width: 18 * vg.Centimeter, height: 20 * vg.Centimeter}, nil
}
