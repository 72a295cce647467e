package report

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"bittersum/internal/profile"
)

// process prints what an ingredient's profile says of acids, moisture and methods of extraction.
func process(w io.Writer, g *profile.Ingredient) {
	if g.Moisture > 0 {
		fmt.Fprintf(w, "\n  Moisture as weighed in: %s\n", percent(g.Moisture))
	}
	if len(g.Solutes) > 0 {
		var parts []string
		for _, name := range profile.Species {
			if x, ok := g.Solutes[name]; ok {
				parts = append(parts, name+" "+trimmed(x, 4))
			}
		}
		text := "Acids and ions, mmol per g: " + strings.Join(parts, ", ") + " [" + string(g.SolutesProvenance.Basis)
		if g.SolutesProvenance.Source != "" {
			text += ": " + g.SolutesProvenance.Source
		}
		fmt.Fprintf(w, "\n  %s\n", wrap(text+"]", width-2, "  "))
	}
	if g.UsualMethod != "" {
		text := "What reaches the drink is that of its usual method, " + g.UsualMethod
		fmt.Fprintf(w, "\n  %s.\n", wrap(text, width-2, "  "))
	}
	for _, name := range slices.Sorted(maps.Keys(g.Methods)) {
		m := g.Methods[name]
		var parts []string
		for _, attribute := range slices.Sorted(maps.Keys(m.Recovery)) {
			parts = append(parts, attribute+" "+percent(m.Recovery[attribute]))
		}
		text := fmt.Sprintf("Extracted by %s: %s of it dissolves, %s mL/g are held back", name, percent(m.SolubleShare), plain(m.HoldUp*1000))
		if len(parts) > 0 {
			text += "; reaches the drink: " + strings.Join(parts, ", ")
		}
		fmt.Fprintf(w, "\n  %s\n", wrap(text+" ["+string(m.Basis)+"]", width-2, "  "))
	}
}
