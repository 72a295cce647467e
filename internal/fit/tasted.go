package fit

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"time"

	"bittersum/internal/profile"
	"bittersum/internal/sensory"
	"bittersum/internal/study"
)

// Tasted is what a panel says a gram of an ingredient brings, in place of the profile's figure.
type Tasted struct {
	Ingredient         string
	PerGram, PanelSD   float64
	LotSD              float64
	Before, BeforeSD   float64
	Samples            []string
	recovery           float64
	beyond, unknownNow bool
}

// Beyond reports whether some sample's score lay outside the references'.
func (t Tasted) Beyond() bool { return t.beyond }

// Unknown reports whether the profile has no figure of its own.
func (t Tasted) Unknown() bool { return t.unknownNow }

// OfPanel returns what a panel says of each ingredient that it tasted, several samples of one weighed by their
// deviations. A lot that is not known yet deviates as the profile's lots do, or as is usual, beside the panel's own
// error. The error names an attribute or ingredient that the library does not know.
func OfPanel(r *sensory.PanelResult, lib *profile.Library) ([]Tasted, error) {
	if lib.Attributes[r.Attribute] == nil {
		return nil, fmt.Errorf("there is no attribute %q", r.Attribute)
	}
	var out []Tasted
	weights := map[string]float64{}
	for n, s := range r.Samples {
		found := r.Found[n]
		if s.Ingredient == "" {
			continue
		}
		g := lib.Ingredients[s.Ingredient]
		if g == nil {
			return nil, fmt.Errorf("there is no ingredient %q, tasted as %s", s.Ingredient, s.Name)
		}
		if math.IsNaN(found.PerGram) {
			continue
		}
		at := slices.IndexFunc(out, func(t Tasted) bool { return t.Ingredient == s.Ingredient })
		if at < 0 {
			content, known := g.Content(r.Attribute)
			t := Tasted{Ingredient: s.Ingredient, recovery: 1, unknownNow: !known}
			if known && content.PerGram > 0 {
				t.recovery = content.Recovery
				t.Before, t.BeforeSD = content.PerGram*content.Recovery, content.SD*content.Recovery
			}
			at, out = len(out), append(out, t)
		}
		t := &out[at]
		weight := 1 / (found.PerGramSD * found.PerGramSD)
		sum := weights[s.Ingredient]
		t.PerGram = (t.PerGram*sum + found.PerGram*weight) / (sum + weight)
		weights[s.Ingredient] = sum + weight
		t.PanelSD = 1 / math.Sqrt(sum+weight)
		t.Samples = append(t.Samples, s.Name)
		t.beyond = t.beyond || found.Beyond
	}
	for n := range out {
		t := &out[n]
		between := study.UsualVariation
		if t.Before > 0 && t.BeforeSD > 0 {
			between = t.BeforeSD / t.Before
		}
		t.LotSD = math.Hypot(t.PanelSD, between*t.PerGram)
	}
	return out, nil
}

// PanelOverlay returns the file for the measured folder of the maker's profiles with what a panel found; nil when it
// found nothing of an ingredient.
func PanelOverlay(r *sensory.PanelResult, tasted []Tasted, file string, day time.Time) []byte {
	if len(tasted) == 0 {
		return nil
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n", tastedMark)
	for _, t := range tasted {
		fmt.Fprintf(&b, "\n[[measured]]\ningredient = %s\n", quoted(t.Ingredient))
		written(&b, day)
		fmt.Fprintf(&b, "from = %s\n", quoted(fmt.Sprintf("a panel of %d tasters, %s", len(r.Tasters), file)))
		fmt.Fprintf(&b, "contents.%s = { per_g = %s, sd = %s }\n", r.Attribute, short(t.PerGram/t.recovery), short(t.LotSD/t.recovery))
	}
	return b.Bytes()
}

// NoticedOverlay returns the file for the measured folder with what the house's tasters notice; nil for nothing.
func NoticedOverlay(noticed []sensory.Noticed, file string, day time.Time) []byte {
	if len(noticed) == 0 {
		return nil
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n", tastedMark)
	for _, n := range noticed {
		fmt.Fprintf(&b, "\n[[noticed]]\nattribute = %s\n", quoted(n.Attribute))
		written(&b, day)
		fmt.Fprintf(&b, "from = %s\n", quoted(fmt.Sprintf("%d difference tests, %d answers, %s", n.Tests, n.Answers, file)))
		key := "jnd"
		if n.Share {
			key = "jnd_share"
		}
		fmt.Fprintf(&b, "%s = %s\n", key, short(n.JND))
	}
	return b.Bytes()
}

func written(b *bytes.Buffer, day time.Time) {
	if !day.IsZero() {
		fmt.Fprintf(b, "on = %s\n", day.Format(time.DateOnly))
	}
}

// tastedMark begins every file that PanelOverlay and NoticedOverlay make.
const tastedMark = "# What the house's tasters found, by bittersum taste. It stands over the profiles."

// OwnTasted reports whether a file was made so and holds nothing of the maker's.
func OwnTasted(data []byte) bool { return bytes.HasPrefix(data, []byte(tastedMark)) }
