package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
)

// caps prints every legal maximum with its head-room and its rule; in short those alone that are close or
// not shown to hold, with the number of the others.
func caps(w io.Writer, a *assess.Assessment, extent Extent) {
	defer judgedBy(w, a.Job)
	if len(a.Caps) == 0 {
		return
	}
	fmt.Fprintf(w, "Caps in the drink as served, judged at %s assurance:\n", percent(a.Job.Assurance))
	if extent == Short {
		closeCaps(w, a)
		return
	}
	t := newTable("  ", "lsubstance", ".at most", ".cap", "lunit", "rhead-room", "lmarket and rule")
	var absent []string
	unconfirmed := false
	for _, c := range a.Caps {
		if notInRecipe(c) {
			if !slices.Contains(absent, c.Substance) {
				absent = append(absent, c.Substance)
			}
			continue
		}
		unconfirmed = unconfirmed || c.Unconfirmed()
		t.row(append(capCells(c), c.Market.Name+": "+c.Citation)...)
	}
	t.write(w)
	recalledCaps(w, unconfirmed)
	if len(absent) > 0 {
		fmt.Fprintf(w, "  %s\n", wrap("Capped, but not in this recipe: "+strings.Join(absent, ", "), width-2, "  "))
	}
}

// closeRoom is the head-room below which a cap is close.
const closeRoom = 0.5

func closeCaps(w io.Writer, a *assess.Assessment) {
	t := newTable("  ", "lsubstance", ".at most", ".cap", "lunit", "rhead-room", "lmarket")
	var in []assess.Cap
	closest := math.Inf(1)
	for _, c := range a.Caps {
		if !notInRecipe(c) {
			in = append(in, c)
			if len(c.Accepted) == 0 {
				closest = min(closest, c.HeadRoom)
			}
		}
	}
	if len(in) == 0 {
		fmt.Fprintln(w, "  None of what they limit is in this recipe.")
		return
	}
	unconfirmed, others, least := false, 0, math.Inf(1)
	for _, c := range in {
		if c.Holds && len(c.Accepted) == 0 && c.HeadRoom >= closeRoom && c.HeadRoom > closest {
			others++
			least = min(least, c.HeadRoom)
			continue
		}
		unconfirmed = unconfirmed || c.Unconfirmed()
		t.row(append(capCells(c), c.Market.Name)...)
	}
	t.write(w)
	recalledCaps(w, unconfirmed)
	if others > 0 {
		fmt.Fprintf(w, "  Of %d more it brings something, and keeps them with %s of head-room or more.\n", others, percent(least))
	}
}

// notInRecipe reports whether the recipe is known to bring nothing of what a cap limits.
func notInRecipe(c assess.Cap) bool { return c.Guarded == 0 && c.Holds && len(c.Accepted) == 0 }

func capCells(c assess.Cap) []string {
	mark := ""
	if c.Unconfirmed() {
		mark = "*"
	}
	room := percent(c.HeadRoom)
	switch {
	case !c.Holds:
		room = "BROKEN"
	case len(c.Accepted) > 0:
		room = "unknown"
	}
	return []string{c.Substance, figures(c.Guarded, 3), plain(c.Max) + mark, c.Unit(), room}
}

func recalledCaps(w io.Writer, any bool) {
	if any {
		fmt.Fprintln(w, "  * applied as recalled; its text was not seen")
	}
}
