package kettle

import (
	"crypto/rand"
	"encoding/hex"
	"math"
)

// NewIdentity returns a name for a record that no other has: 64 random bits. By it a record that is booked
// again is told from another batch of the same number.
func NewIdentity() string {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails, by its documentation
	return hex.EncodeToString(b[:])
}

// Started reports whether anything is written down in a record.
func (r *Record) Started() bool {
	for _, w := range r.Weighed {
		if !math.IsNaN(w.Grams) {
			return true
		}
	}
	for _, m := range r.Measured {
		if !math.IsNaN(m.Value) {
			return true
		}
	}
	return !r.MadeOn.IsZero() || r.By != "" || r.Note != ""
}
