package report

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"bittersum/internal/register"
)

// registerSchema names what the JSON of register holds.
const registerSchema = "bittersum/register/1"

// RegisterState says in words how a batch stands.
func RegisterState(r *register.Register, batch string) string {
	made := r.Last(batch, register.Made)
	if made == nil {
		return "planned"
	}
	switch last := r.Decided(batch); {
	case last == nil && r.Last(batch, register.Released) != nil:
		return "made otherwise than it was released, not released again"
	case last == nil:
		return "made, not released yet"
	case last.What == register.Withheld:
		return fmt.Sprintf("withheld by %s on %s: %s", last.By, date(last.At), last.Reason)
	default:
		return fmt.Sprintf("released by %s on %s", last.By, date(last.At))
	}
}

// BottlesOf returns the bottles filled of a batch and those sold.
func BottlesOf(r *register.Register, batch string) (filled, sold int) {
	if made := r.Last(batch, register.Made); made != nil {
		filled = made.Bottles
	}
	for _, e := range r.Of(batch) {
		if e.What == register.Sold {
			sold += e.Bottles
		}
	}
	return filled, sold
}

// Register lists batches with how they stand.
func Register(w io.Writer, r *register.Register, asJSON bool) error {
	if asJSON {
		return encode(w, jsonLibrary{registerSchema, r.Entries})
	}
	t := newTable("", "lbatch", "lmade on", "lverdict", "lstate", "rbottles", "rsold")
	for _, batch := range r.Batches() {
		filled, sold := BottlesOf(r, batch)
		row := []string{batch, "", "", RegisterState(r, batch), count(filled), count(sold)}
		if made := r.Last(batch, register.Made); made != nil {
			row[1], row[2] = made.MadeOn, made.Verdict
		}
		t.row(row...)
	}
	if len(t.rows) == 0 {
		fmt.Fprintln(w, "No batch is in it.")
		return nil
	}
	t.write(w)
	return nil
}

func count(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// RegisterChecked says that a register is whole.
func RegisterChecked(w io.Writer, r *register.Register, asJSON bool) error {
	if asJSON {
		return encode(w, struct {
			Schema  string `json:"schema"`
			Entries int    `json:"entries"`
			Torn    []int  `json:"torn_lines,omitempty"`
			Seal    string `json:"seal"`
		}{registerSchema, len(r.Entries), r.Torn, r.Seal()})
	}
	fmt.Fprintf(w, "%s: %d entries about %d batches; nothing above the last line was changed.\n", r.File, len(r.Entries), len(r.Batches()))
	for _, line := range r.Torn {
		fmt.Fprintf(w, "  Line %d cannot be read: it was cut short, as by a loss of power.\n", line)
	}
	fmt.Fprintf(w, "Its seal, the SHA-256 of the file: %s\n", r.Seal())
	return nil
}

// RegisterBatch shows the entries of a batch.
func RegisterBatch(w io.Writer, entries []register.Entry, asJSON bool) error {
	if asJSON {
		return encode(w, jsonLibrary{registerSchema, entries})
	}
	for n, e := range entries {
		if n > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintf(w, "Batch %s, %s, entered %s UTC\n", e.Batch, e.What, e.At.Format("2006-01-02 15:04"))
		put := func(name, value string) {
			if value != "" && value != "0" {
				fmt.Fprintf(w, "  %-12s %s\n", name, wrap(value, width-15, strings.Repeat(" ", 15)))
			}
		}
		put("brief", e.Brief)
		if e.BriefPrint != "" {
			put("", "SHA-256 "+e.BriefPrint[:min(16, len(e.BriefPrint))]+"…")
		}
		put("program", e.Program)
		put("made on", e.MadeOn)
		put("litres", trimmed(e.Litres, 2))
		put("planned, g", amounts(e.Plan))
		put("weighed, g", amounts(e.Weighed))
		put("lots bought", pairs(e.Lots))
		put("measured", amounts(e.Measured))
		put("verdict", e.Verdict)
		put("", strings.Join(e.Findings, "; "))
		put("to", e.To)
		put("bottles", count(e.Bottles))
		put("lot code", e.LotCode)
		put("best before", e.BestBefore)
		put("on", e.On)
		put("by", e.By)
		put("reason", e.Reason)
	}
	return nil
}

func amounts(of map[string]float64) string {
	texts := map[string]string{}
	for name, x := range of {
		texts[name] = plain(x)
	}
	return pairs(texts)
}

func pairs(of map[string]string) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(of)) {
		parts = append(parts, name+" "+of[name])
	}
	return strings.Join(parts, "; ")
}
