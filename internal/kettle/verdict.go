package kettle

// Verdict is what is said of a batch that has been made.
type Verdict string

const (
	// Meets: all that the brief asks and every cap, by what was weighed and what was measured.
	Meets Verdict = "meets"
	// WithinError: as Meets, but something is outside a limit by less than its instrument may be off.
	WithinError Verdict = "meets within the instruments' error"
	// Incomplete: not all is written down.
	Incomplete Verdict = "incomplete"
	// Misses: something that the brief asks for is not so, or what was measured contradicts what was weighed.
	Misses Verdict = "misses"
	// NotToBeSold: a cap, the pH or a lot forbids it.
	NotToBeSold Verdict = "must not be sold"
)

// Class says how much a finding weighs.
type Class int

const (
	// Noted changes no verdict.
	Noted Class = iota
	// Near is outside a limit by less than the instrument may be off.
	Near
	// Missed is what the brief does not allow, or what contradicts itself.
	Missed
	// Barred forbids a sale.
	Barred
)

// Finding is one thing that is to be said of a made batch, with what can be done about it, if anything.
type Finding struct {
	Class    Class
	Text, Do string
}

// Verdict sums the findings up.
func (m *Made) Verdict() Verdict {
	worst := Noted
	for _, f := range m.Findings {
		worst = max(worst, f.Class)
	}
	switch {
	case worst == Barred:
		return NotToBeSold
	case worst == Missed:
		return Misses
	case len(m.Missing) > 0 || m.Assessment == nil:
		return Incomplete
	case worst == Near:
		return WithinError
	}
	return Meets
}

// Sound reports whether all is written down and nothing is wrong.
func (m *Made) Sound() bool { v := m.Verdict(); return v == Meets || v == WithinError }

// found adds a finding.
func (m *Made) found(class Class, text, do string) {
	m.Findings = append(m.Findings, Finding{class, text, do})
}

// Of returns the findings of a class.
func (m *Made) Of(class Class) []Finding {
	var some []Finding
	for _, f := range m.Findings {
		if f.Class == class {
			some = append(some, f)
		}
	}
	return some
}
