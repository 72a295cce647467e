package brief

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// lack is a figure that the brief needs and the profile of an ingredient does not give.
type lack struct {
	// use is the place of the ingredient in the brief's list of those in use.
	use int
	// what is missing, and what it is needed for.
	what, need string
	// fault is how it is said when nothing else of the ingredient is missing.
	fault tomlfile.Fault
}

func (r *resolver) lack(use int, what, need string, line int, key, text, hint string) {
	r.lacks = append(r.lacks, lack{use, what, need, tomlfile.Fault{File: r.File, Line: line, Key: key, What: text, Hint: hint}})
}

// place returns where the ingredient of a source stands in the brief's list of those in use.
func (r *resolver) place(s *Source) int {
	return slices.IndexFunc(r.Use, func(ref Ref) bool { return ref.Name == s.Ingredient.Name })
}

// lacking notes what is missing, all that one ingredient lacks in one line.
func (r *resolver) lacking() {
	for n, ref := range r.Use {
		var of []lack
		for _, l := range r.lacks {
			if l.use == n {
				of = append(of, l)
			}
		}
		switch {
		case len(of) == 1:
			r.faults = append(r.faults, of[0].fault)
		case len(of) > 1:
			first := ""
			if g := r.Library.Ingredients[ref.Name]; g != nil && !g.Botanical() && g.Category == "" && !g.Pure && r.Kind == Drink {
				first = "name its plants or its category, by which most of these may be ruled out; "
			}
			r.fault(ref.Line, fmt.Sprintf("use[%d]", n+1), fmt.Sprintf("%s has no figure for %s", r.silentIn(ref.Name, of), listed(of)),
				first+"give each in its profile under contents, acids and ions under solutes, or list it under absent; pure = true says it of all the rest; a capped one may be taken upon yourself with [[accept]]; unknown is never read as zero; bittersum help profile-file explains the keys")
		}
	}
	r.lacks = nil
}

// listed says what is missing, by what it is needed for.
func listed(of []lack) string {
	var needs, parts []string
	for _, l := range of {
		if !slices.Contains(needs, l.need) {
			needs = append(needs, l.need)
		}
	}
	for _, need := range needs {
		var what []string
		for _, l := range of {
			if l.need == need {
				what = append(what, l.what)
			}
		}
		parts = append(parts, fmt.Sprintf("%s (%s)", strings.Join(what, ", "), need))
	}
	return strings.Join(parts, "; ")
}

// silentIn names an ingredient that lacks figures, with the parts of it that do.
func (r *resolver) silentIn(ingredient string, of []lack) string {
	m := r.madeOf(ingredient)
	if m == nil {
		return fmt.Sprintf("%q", ingredient)
	}
	var parts []string
	for _, l := range of {
		for _, part := range m.Silent[l.what] {
			if !slices.Contains(parts, part) {
				parts = append(parts, part)
			}
		}
	}
	if len(parts) == 0 {
		return fmt.Sprintf("%q", ingredient)
	}
	return fmt.Sprintf("%q (for its part %s)", ingredient, strings.Join(parts, ", "))
}

// missing returns what ingredients lack that the brief needs, though their profiles are faulty besides, so
// that all of it is said at once.
func missing(b *Brief, lib *profile.Library) tomlfile.Faults {
	r := &resolver{Job: &Job{Brief: b, Library: withOwn(lib, b)}}
	r.markets()
	r.preparations()
	r.sources()
	r.attributes()
	if r.unclear {
		return nil
	}
	r.caps()
	r.coverage()
	r.acids()
	r.faults = nil
	r.lacking()
	return r.faults
}
