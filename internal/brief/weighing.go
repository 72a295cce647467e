package brief

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/tomlfile"
)

// Scale is one thing that amounts are measured with.
type Scale struct {
	Name string
	// FromG and ToG are the least and the largest amount it takes at once, in grams; ToG is infinite
	// when not given.
	FromG, ToG float64
	// DivisionG is its smallest step.
	DivisionG float64
	// For are the only ingredients it measures (such as a meter for water); empty for all others.
	For  []Ref
	Line int
}

// Pack is how an ingredient is bought.
type Pack struct {
	Kg float64
	// Whole says that packs are weighed in whole only.
	Whole bool
	// LeastPacks is the smallest order.
	LeastPacks int
	Line       int
}

// UsualScales are reckoned with when neither brief nor command line names any.
var UsualScales = []Scale{
	{Name: "fine", ToG: 200, DivisionG: 0.01},
	{Name: "bench", ToG: 6000, DivisionG: 1},
	{Name: "platform", ToG: 60000, DivisionG: 20},
	{Name: "vessel", ToG: math.Inf(1), DivisionG: 200},
}

// readWeighing reads scales and packs.
func (b *Brief) readWeighing(root *tomlfile.Table) {
	if b.Kind != Drink {
		return
	}
	given := b.Scales
	b.Scales = nil
	if root.IsTable("scale") {
		b.Scales = append(b.Scales, readScale(root.Table("scale")))
	} else {
		for _, t := range root.Tables("scale") {
			b.Scales = append(b.Scales, readScale(t))
		}
	}
	if given != nil {
		b.Scales = given
	}
	packs := root.Table("packs")
	if packs == nil {
		return
	}
	b.Packs = map[string]Pack{}
	for _, t := range packs.Named() {
		t.Require("kg")
		b.Packs[t.Key()] = Pack{
			Kg: t.NumberOr("kg", tomlfile.Positive, 0), Whole: t.Bool("whole"),
			LeastPacks: t.Whole("least_packs", 1, 1_000_000, 1), Line: t.Line(""),
		}
		t.Done()
	}
}

func readScale(t *tomlfile.Table) Scale {
	t.Require("division_g")
	s := Scale{
		Name:      t.String("name"),
		FromG:     t.NumberOr("from_g", tomlfile.NonNegative, 0),
		ToG:       t.NumberOr("to_g", tomlfile.Positive, math.Inf(1)),
		DivisionG: t.NumberOr("division_g", tomlfile.Positive, 0),
		For:       refs(t, "for"),
		Line:      t.Line(""),
	}
	if s.DivisionG > s.ToG {
		t.Fault("division_g", fmt.Sprintf("%v is above to_g %v: nothing could be weighed", s.DivisionG, s.ToG), "")
	}
	if s.FromG >= s.ToG {
		t.Fault("from_g", fmt.Sprintf("%v is not below to_g %v: the range is empty", s.FromG, s.ToG), "")
	}
	if s.Name == "" {
		s.Name = fmt.Sprintf("to %v g", s.DivisionG)
	}
	t.Done()
	return s
}

// weighing notes where scales and packs name an ingredient that is not in use.
func (r *resolver) weighing(names []string) {
	check := func(line int, key, name string) {
		if !slices.Contains(names, name) {
			r.unknownName(line, key, "ingredient in use called", name, names)
		}
	}
	for n, s := range r.Scales {
		for m, ref := range s.For {
			check(ref.Line, fmt.Sprintf("scale[%d].for[%d]", n+1, m+1), ref.Name)
		}
	}
	for name, p := range r.Packs {
		check(p.Line, "packs."+name, name)
	}
}

// ScalesFor returns the scales that measure an ingredient, finest first: those for it alone if there are
// any, else those for all.
func (b *Brief) ScalesFor(ingredient string) []Scale {
	all := b.Scales
	if len(all) == 0 {
		all = UsualScales
	}
	var own, common []Scale
	for _, s := range all {
		switch {
		case len(s.For) == 0:
			common = append(common, s)
		case slices.ContainsFunc(s.For, func(r Ref) bool { return r.Name == ingredient }):
			own = append(own, s)
		}
	}
	if len(own) == 0 {
		own = common
	}
	slices.SortStableFunc(own, func(a, b Scale) int { return cmp.Compare(a.DivisionG, b.DivisionG) })
	return own
}
