// Package tomlfile reads a maker's TOML files strictly: every fault is reported with its file, line
// and key, what is allowed, and the nearest right name, and all faults of a file are reported at once.
package tomlfile

import (
	"errors"
	"fmt"
	"sort"
	"strings"
)

// Fault is one thing wrong in a maker's file.
type Fault struct {
	File string
	Line int    // 1 for the first line; 0 when the fault has no line
	Key  string // dotted path of the key, or empty
	What string // what is wrong, and what is allowed
	Hint string // the nearest right name, or the way out; may be empty
}

// Error returns "file:line: key: what (hint)" on one line.
func (f Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d", f.Line)
	}
	b.WriteString(": ")
	if f.Key != "" {
		b.WriteString(f.Key)
		b.WriteString(": ")
	}
	b.WriteString(f.What)
	if f.Hint != "" {
		b.WriteString(" (")
		b.WriteString(f.Hint)
		b.WriteString(")")
	}
	return b.String()
}

// Faults are all the faults found in one or more files, one line each. A nil or empty Faults is no
// error: return Err, not the slice.
type Faults []Fault

// Error returns one line a fault.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Err returns the faults in order of file and line, or nil when there are none.
func (fs Faults) Err() error {
	if len(fs) == 0 {
		return nil
	}
	sort.SliceStable(fs, func(i, j int) bool {
		if fs[i].File != fs[j].File {
			return fs[i].File < fs[j].File
		}
		return fs[i].Line < fs[j].Line
	})
	return fs
}

// IsFault reports whether err is, or wraps, a fault in a maker's file.
func IsFault(err error) bool {
	var one Fault
	var many Faults
	return errors.As(err, &one) || errors.As(err, &many)
}
