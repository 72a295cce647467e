package fit

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// ownMark begins every file that Overlay makes.
const ownMark = "# What batches and infusions say of ingredients, by bittersum fit."

// OwnOverlay reports whether a file was made by Overlay and holds nothing of the maker's.
func OwnOverlay(data []byte) bool { return bytes.HasPrefix(data, []byte(ownMark)) }

// Overlay returns the file for the measured folder of the maker's profiles, with all that was told of contents of all
// lots; nil when nothing was. What the brief defines itself has to be changed there.
func Overlay(r *Result, j *brief.Job, day time.Time) []byte {
	var ingredients []string
	for _, l := range r.Learned {
		if l.Written() && l.over(j) && !slices.Contains(ingredients, l.Ingredient) {
			ingredients = append(ingredients, l.Ingredient)
		}
	}
	if len(ingredients) == 0 {
		return nil
	}
	slices.Sort(ingredients)
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s It stands over the profiles; take it\n# away and the profiles' own figures hold again. Run fit anew and it is replaced.\n", ownMark)
	for _, name := range ingredients {
		var told []Learned
		var batches []string
		for _, l := range r.Learned {
			if l.Written() && l.Ingredient == name {
				told = append(told, l)
				for _, batch := range l.Batches {
					if !slices.Contains(batches, batch) {
						batches = append(batches, batch)
					}
				}
			}
		}
		fmt.Fprintf(&b, "\n[[measured]]\ningredient = %s\n", quoted(name))
		written(&b, day)
		fmt.Fprintf(&b, "from = %s\n", quoted(profile.FitMark+strings.Join(batches, ", ")))
		overlaid(&b, j.Library, name, told)
	}
	return b.Bytes()
}

// over reports whether the ingredient stands in the profiles, and not in the brief itself or among preparations.
func (l Learned) over(j *brief.Job) bool {
	g := j.Library.Ingredients[l.Ingredient]
	return g != nil && g.File != j.File && j.Library.Preparations[l.Ingredient] == nil
}

// overlaid writes what was told of one ingredient.
func overlaid(b *bytes.Buffer, lib *profile.Library, name string, told []Learned) {
	g := lib.Ingredients[name]
	methods := map[string][]string{}
	for _, l := range told {
		content, has := g.Contents[l.Attribute]
		if l.Attribute == brief.Acidity && g.Solutes != nil {
			fmt.Fprintf(b, "solutes_factor = %s\n", short(l.Factor))
		}
		if !has {
			continue
		}
		perGram, sd, recovery := l.Content(g, capped(lib, l.Attribute))
		if l.Method == "" {
			fmt.Fprintf(b, "contents.%s = { per_g = %s, sd = %s", l.Attribute, short(perGram), short(sd))
			if content.Recovery < 1 {
				fmt.Fprintf(b, ", recovery = %s", short(recovery))
			}
			fmt.Fprintln(b, " }")
			continue
		}
		methods[l.Method] = append(methods[l.Method], fmt.Sprintf("%s = %s", l.Attribute, short(recovery)))
		if perGram > content.PerGram {
			fmt.Fprintf(b, "contents.%s = { per_g = %s, sd = %s }\n", l.Attribute, short(perGram), short(sd))
		}
	}
	var names []string
	for name := range methods {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		fmt.Fprintf(b, "methods.%s.recovery = { %s }\n", name, strings.Join(methods[name], ", "))
	}
}

// capped reports whether any market caps an attribute.
func capped(lib *profile.Library, attribute string) bool {
	for _, m := range lib.Markets {
		if slices.ContainsFunc(m.Caps, func(c profile.Cap) bool { return c.Counts(attribute) }) {
			return true
		}
	}
	return false
}

// short prints a figure with the four digits that measurements can bear.
func short(x float64) string {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 4, 64), 64)
	return strconv.FormatFloat(y, 'f', -1, 64)
}

func quoted(text string) string {
	data, _ := json.Marshal(text) // JSON's escapes are TOML's too
	return string(data)
}
