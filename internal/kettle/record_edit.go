package kettle

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"bittersum/internal/tomlfile"
)

// editor changes single lines of a record's text, so that the maker's comments and order stay.
type editor struct {
	lines []string
	// inserted counts the lines put in above each line of the text as it was read.
	inserted []int
}

// Edited returns text, from which old was read, with what r has otherwise. Comments, order and whatever else
// stands there stay. The error is a tomlfile.Faults for a text that is written in another way than a line a
// value.
func (r *Record) Edited(text string, old *Record) (string, error) {
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	e := &editor{lines: lines, inserted: make([]int, len(lines)+2)}
	e.texts(r, old)
	for n, w := range r.Weighed {
		switch {
		case n >= len(old.Weighed):
			e.append("[[weighed]]", "ingredient = "+quote(w.Ingredient), when(w.Lot != "", "lot = "+quote(w.Lot)), "grams = "+plainNumber(w.Grams))
		case differ(w.Grams, old.Weighed[n].Grams):
			e.set(w.Line, "grams", plainNumber(w.Grams))
		}
		if n < len(old.Weighed) && w.LotUsed != old.Weighed[n].LotUsed {
			e.set(w.Line, "lot_used", quote(w.LotUsed))
		}
	}
	for n, m := range r.Measured {
		switch {
		case n >= len(old.Measured):
			e.append("[measured."+key(m.Name)+"]", "value = "+plainNumber(m.Value))
		case differ(m.Value, old.Measured[n].Value):
			e.set(m.Line, "value", plainNumber(m.Value))
		}
	}
	edited := strings.Join(e.lines, "\n") + "\n"
	return edited, r.sameAs(edited)
}

// texts sets what stands above the tables.
func (e *editor) texts(r, old *Record) {
	set := func(name, was, is string) {
		if was != is {
			e.set(0, name, quote(is))
		}
	}
	set("id", old.ID, r.ID)
	set("by", old.By, r.By)
	set("note", old.Note, r.Note)
	if !r.MadeOn.Equal(old.MadeOn) {
		e.set(0, "made_on", r.MadeOn.Format(time.DateOnly))
	}
}

// sameAs returns an error when a text does not read as the record.
func (r *Record) sameAs(text string) error {
	back, err := parseRecord(r.File, text)
	if err == nil && string(back.TOML()) == string(r.TOML()) {
		return nil
	}
	return tomlfile.Faults{{File: r.File, What: "is not written a value a line, so that it cannot be kept up by flags", Hint: "fill it in by hand"}}
}

func differ(a, b float64) bool { return a != b && !(math.IsNaN(a) && math.IsNaN(b)) }

func when(holds bool, text string) string {
	if holds {
		return text
	}
	return ""
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// append puts a table at the end.
func (e *editor) append(lines ...string) {
	e.lines = append(e.lines, "")
	for _, line := range lines {
		if line != "" {
			e.lines = append(e.lines, line)
		}
	}
}

// set gives a key of the table whose heading is that line of the text as it was read, 0 for what stands
// above all tables, a value: in its own line, in that which asks for it, or in a new one.
func (e *editor) set(heading int, name, value string) {
	start := heading
	for line := 1; line < heading; line++ {
		start += e.inserted[line]
	}
	end := start
	for end < len(e.lines) && !strings.HasPrefix(strings.TrimSpace(e.lines[end]), "[") {
		end++
	}
	last := start
	for _, pattern := range []string{`^(\s*)` + name + `\s*=(.*)$`, `^(\s*)#\s*` + name + `\s*=(.*)$`} {
		for at := start; at < end; at++ {
			if found := regexp.MustCompile(pattern).FindStringSubmatch(e.lines[at]); found != nil {
				e.lines[at] = fmt.Sprintf("%s%s = %s%s", found[1], name, value, when(!strings.HasPrefix(strings.TrimSpace(e.lines[at]), "#"), trailing(found[2])))
				return
			}
		}
	}
	for at := start; at < end; at++ {
		if strings.TrimSpace(e.lines[at]) != "" && !strings.HasPrefix(strings.TrimSpace(e.lines[at]), "#") {
			last = at + 1
		}
	}
	e.lines = append(e.lines[:last], append([]string{name + " = " + value}, e.lines[last:]...)...)
	e.inserted[max(heading, 1)]++
}

// trailing returns the comment after a value, with the space before it.
func trailing(value string) string {
	var quoted byte
	for n := 0; n < len(value); n++ {
		switch c := value[n]; {
		case quoted == '"' && c == '\\':
			n++
		case quoted != 0:
			if c == quoted {
				quoted = 0
			}
		case c == '"' || c == '\'':
			quoted = c
		case c == '#':
			return value[len(strings.TrimRight(value[:n], " \t")):]
		}
	}
	return ""
}
