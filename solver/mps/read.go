package mps

import (
	"fmt"
	"io"
	"strings"

	"bittersum/solver"
)

// Read reads one program in MPS, in the fixed or the free layout. An error names the line and what is
// wrong with it.
func Read(r io.Reader) (*solver.Problem, error) {
	sections, err := scan(r)
	if err != nil {
		return nil, err
	}
	isFixed, blanks, fault := detect(sections)
	if !isFixed {
		p, err := read(withoutRemarks(sections), free)
		if err != nil {
			return nil, fmt.Errorf("%w (read in the free layout; not in fixed columns: %v)", err, fault)
		}
		return p, nil
	}
	p, err := read(sections, fixed)
	if err == nil && blanks {
		if _, freeErr := read(withoutRemarks(sections), free); freeErr == nil {
			return nil, fmt.Errorf("mps: the file has one meaning in fixed columns and another in the free layout; add FREE to the NAME line or take the blanks out of the names")
		}
	}
	return p, err
}

// read reads sections whose lines are cut by one layout.
func read(sections []section, cut layout) (*solver.Problem, error) {
	b := newBuilder()
	for _, s := range sections {
		if err := b.heading(s); err != nil {
			return nil, fmt.Errorf("mps: line %d: %w", s.number, err)
		}
		for _, l := range s.lines {
			if err := b.data(s.name, l, cut); err != nil {
				return nil, fmt.Errorf("mps: line %d: %w", l.number, err)
			}
		}
	}
	p, err := b.finish()
	if err != nil {
		return nil, fmt.Errorf("mps: %w", err)
	}
	if err := p.Check(); err != nil {
		return nil, fmt.Errorf("mps: %w", err)
	}
	return p, nil
}

// heading takes the line that opens a section.
func (b *builder) heading(s section) error {
	switch s.name {
	case "NAME":
		name := s.words
		if saysFree(name) {
			name = name[:len(name)-1]
		}
		b.problem.Name = strings.Join(name, " ")
		return nil
	case "OBJSENSE":
		if len(s.words) > 0 {
			if err := b.setSense(strings.Join(s.words, " ")); err != nil {
				return err
			}
		}
	case "OBJNAME":
		if b.seen["COLUMNS"] {
			return fmt.Errorf("section OBJNAME stands after COLUMNS")
		}
		b.objectiveName = strings.Join(s.words, " ")
	case "ROWS", "ENDATA":
	case "COLUMNS":
		if !b.seen["ROWS"] {
			return fmt.Errorf("section COLUMNS stands before ROWS")
		}
		if err := b.chooseObjective(); err != nil {
			return err
		}
	case "RHS", "RANGES", "BOUNDS":
		if !b.seen["COLUMNS"] {
			return fmt.Errorf("section %s stands before COLUMNS", s.name)
		}
	default:
		return fmt.Errorf("section %s is not known or not supported", s.name)
	}
	if b.seen[s.name] {
		return fmt.Errorf("section %s stands twice", s.name)
	}
	b.seen[s.name] = true
	if len(s.words) > 0 && s.name != "OBJSENSE" && s.name != "OBJNAME" {
		return fmt.Errorf("section %s takes no further words on its line", s.name)
	}
	if s.name == "ENDATA" && !b.seen["COLUMNS"] {
		return fmt.Errorf("there is no COLUMNS section")
	}
	return nil
}

// data takes one line within a section.
func (b *builder) data(name string, l line, cut layout) error {
	switch name {
	case "OBJSENSE", "OBJNAME":
		w := strings.Fields(l.text)
		if len(w) != 1 {
			return fmt.Errorf("section %s takes one word", name)
		}
		if name == "OBJNAME" && b.objectiveName == "" {
			b.objectiveName = w[0]
			return nil
		}
		if name == "OBJNAME" || b.sensed {
			return fmt.Errorf("section %s takes one word", name)
		}
		return b.setSense(w[0])
	case "NAME":
		return fmt.Errorf("a data line stands in no section")
	}
	r, err := cut(name, l.text)
	if err != nil {
		return err
	}
	switch name {
	case "ROWS":
		return b.row(r)
	case "COLUMNS":
		return b.column(r)
	case "RHS":
		return b.vector(r, &b.rhsSet, b.rhs)
	case "RANGES":
		return b.vector(r, &b.rangesSet, b.ranges)
	default:
		return b.bound(r)
	}
}

func (b *builder) setSense(word string) error {
	switch strings.ToUpper(word) {
	case "MAX", "MAXIMIZE", "MAXIMISE":
		b.problem.Sense = solver.Maximize
	case "MIN", "MINIMIZE", "MINIMISE":
		b.problem.Sense = solver.Minimize
	default:
		return fmt.Errorf("OBJSENSE is MAX or MIN, not %q", word)
	}
	b.sensed = true
	return nil
}
