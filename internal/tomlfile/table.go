package tomlfile

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"time"
)

// Table is a cursor over one table of a document. Each getter takes the key, marks it as known and,
// when the value is not what it must be, notes a fault and returns the zero value; Done notes every key
// that no getter asked for.
type Table struct {
	doc   *Document
	path  string
	data  map[string]any
	known map[string]bool
	// extra are the names that an unknown key may have meant although it is absent.
	extra []string
}

func element(path string, n int) string { return path + "#" + strconv.Itoa(n) }

// Name returns the dotted path of the table as a maker would write it.
func (t *Table) Name() string { return display(t.path) }

func display(path string) string {
	parts := strings.Split(path, separator)
	for i, p := range parts {
		if at := strings.LastIndexByte(p, '#'); at >= 0 {
			if n, err := strconv.Atoi(p[at+1:]); err == nil {
				parts[i] = fmt.Sprintf("%s[%d]", p[:at], n+1)
			}
		}
	}
	return strings.Join(parts, ".")
}

// Line returns the line of key, or of the table itself when key is "" or absent.
func (t *Table) Line(key string) int {
	if key != "" {
		if line, ok := t.doc.lines[join(t.path, key)]; ok {
			return line
		}
	}
	for path := t.path; ; {
		if line, ok := t.doc.lines[path]; ok {
			return line
		}
		cut := strings.LastIndexAny(path, separator+"#")
		if cut < 0 {
			return 1
		}
		path = path[:cut]
	}
}

// File returns the name of the file the table stands in.
func (t *Table) File() string { return t.doc.name }

// Fault notes that the value of key is wrong: what says how, hint the way out (or "").
func (t *Table) Fault(key, what, hint string) {
	name := display(join(t.path, key))
	if key == "" {
		name = t.Name()
	}
	t.doc.faults = append(t.doc.faults, Fault{File: t.doc.name, Line: t.Line(key), Key: name, What: what, Hint: hint})
}

// FaultAt is Fault for a line of its own.
func (t *Table) FaultAt(line int, key, what, hint string) {
	t.doc.faults = append(t.doc.faults, Fault{File: t.doc.name, Line: line, Key: display(join(t.path, key)), What: what, Hint: hint})
}

// Has reports whether key is present, without marking it as known.
func (t *Table) Has(key string) bool {
	_, ok := t.data[key]
	return ok
}

// IsTable reports whether the value of key is a table, without marking it as known.
func (t *Table) IsTable(key string) bool {
	_, ok := t.data[key].(map[string]any)
	return ok
}

// Keys returns all keys present, in the order of their lines.
func (t *Table) Keys() []string {
	keys := make([]string, 0, len(t.data))
	for k := range t.data {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		a, b := t.Line(keys[i]), t.Line(keys[j])
		if a != b {
			return a < b
		}
		return keys[i] < keys[j]
	})
	return keys
}

func (t *Table) take(key string) (any, bool) {
	t.known[key] = true
	v, ok := t.data[key]
	return v, ok
}

// Require notes a fault for each of keys that is absent.
func (t *Table) Require(keys ...string) {
	for _, key := range keys {
		if !t.Has(key) {
			t.known[key] = true
			t.doc.faults = append(t.doc.faults, Fault{File: t.doc.name, Line: t.Line(""), Key: display(join(t.path, key)), What: "is missing"})
		}
	}
}

// String returns the text at key, or "" when absent.
func (t *Table) String(key string) string {
	v, ok := t.take(key)
	if !ok {
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.wrongType(key, v, "a text in quotes")
		return ""
	}
	if strings.TrimSpace(s) == "" {
		t.Fault(key, "is empty; a text is needed", "")
	}
	return s
}

// OneOf returns the text at key, which must be one of allowed, or "" when absent.
func (t *Table) OneOf(key string, allowed ...string) string {
	s := t.String(key)
	if s == "" {
		return ""
	}
	for _, a := range allowed {
		if s == a {
			return s
		}
	}
	t.Fault(key, fmt.Sprintf("%q is not allowed; it must be one of %s", s, strings.Join(allowed, ", ")), DidYouMean(s, allowed))
	return ""
}

// Bool returns the truth value at key, or false when absent.
func (t *Table) Bool(key string) bool {
	v, ok := t.take(key)
	if !ok {
		return false
	}
	b, ok := v.(bool)
	if !ok {
		t.wrongType(key, v, "true or false")
	}
	return b
}

// Range is the interval a number must lie in.
type Range struct {
	Min, Max float64
	// Open excludes Min itself.
	Open bool
}

var (
	// NonNegative admits zero and above.
	NonNegative = Range{0, math.Inf(1), false}
	// Positive admits what is above zero.
	Positive = Range{0, math.Inf(1), true}
	// Share admits 0 to 1.
	Share = Range{0, 1, false}
	// Any admits every finite number.
	Any = Range{math.Inf(-1), math.Inf(1), false}
)

// Admits reports whether x lies in the interval.
func (r Range) Admits(x float64) bool {
	return x >= r.Min && x <= r.Max && !(r.Open && x == r.Min)
}

func (r Range) String() string {
	switch {
	case r.Open && r.Min == 0 && math.IsInf(r.Max, 1):
		return "above 0"
	case math.IsInf(r.Max, 1):
		return fmt.Sprintf("%v or more", r.Min)
	case r.Open:
		return fmt.Sprintf("above %v and at most %v", r.Min, r.Max)
	}
	return fmt.Sprintf("from %v to %v", r.Min, r.Max)
}

// Number returns the number at key, which must be finite and within r, and whether it is present and
// right.
func (t *Table) Number(key string, r Range) (float64, bool) {
	v, ok := t.take(key)
	if !ok {
		return 0, false
	}
	return t.number(key, v, r)
}

func (t *Table) number(key string, v any, r Range) (float64, bool) {
	var x float64
	switch n := v.(type) {
	case int64:
		x = float64(n)
	case float64:
		x = n
	default:
		t.wrongType(key, v, "a number")
		return 0, false
	}
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		t.Fault(key, fmt.Sprintf("%v is not a finite number", x), "")
	case !r.Admits(x):
		t.Fault(key, fmt.Sprintf("%v is out of range; it must be %s", x, r), "")
	default:
		return x, true
	}
	return 0, false
}

// NumberOr is Number with a value for when the key is absent.
func (t *Table) NumberOr(key string, r Range, absent float64) float64 {
	if x, ok := t.Number(key, r); ok {
		return x
	}
	return absent
}

// Whole returns the whole number at key within [least, most], or absent when there is none.
func (t *Table) Whole(key string, least, most, absent int) int {
	v, ok := t.take(key)
	if !ok {
		return absent
	}
	n, ok := v.(int64)
	if !ok {
		t.wrongType(key, v, "a whole number")
		return absent
	}
	if n < int64(least) || n > int64(most) {
		t.Fault(key, fmt.Sprintf("%d is out of range; it must be from %d to %d", n, least, most), "")
		return absent
	}
	return int(n)
}

// Date returns the date at key (2026-03-31, without quotes) as its midnight in UTC, or the zero time when
// absent.
func (t *Table) Date(key string) time.Time {
	v, ok := t.take(key)
	if !ok {
		return time.Time{}
	}
	d, ok := v.(time.Time)
	if !ok {
		t.wrongType(key, v, "a date such as 2026-03-31, without quotes")
		return time.Time{}
	}
	return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, time.UTC)
}

// Strings returns the list of texts at key, which must not repeat one, or nil when absent.
func (t *Table) Strings(key string) []string {
	v, ok := t.take(key)
	if !ok {
		return nil
	}
	list, ok := v.([]any)
	if !ok {
		t.wrongType(key, v, `a list of texts such as ["a", "b"]`)
		return nil
	}
	var out []string
	seen := map[string]bool{}
	for n, item := range list {
		s, ok := item.(string)
		switch {
		case !ok:
			t.wrongType(element(key, n), item, "a text in quotes")
		case strings.TrimSpace(s) == "":
			t.Fault(element(key, n), "is empty; a text is needed", "")
		case seen[s]:
			t.Fault(element(key, n), fmt.Sprintf("%q stands twice", s), "")
		default:
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}

// ElementLine returns the line of the n-th element (from 0) of the list at key.
func (t *Table) ElementLine(key string, n int) int { return t.Line(element(key, n)) }

// ElementFault notes a fault at the n-th element (from 0) of the list at key.
func (t *Table) ElementFault(key string, n int, what, hint string) {
	t.Fault(element(key, n), what, hint)
}

// Table returns the table at key, or nil when absent.
func (t *Table) Table(key string) *Table {
	v, ok := t.take(key)
	if !ok {
		return nil
	}
	m, ok := v.(map[string]any)
	if !ok {
		t.wrongType(key, v, fmt.Sprintf("a table such as [%s]", display(join(t.path, key))))
		return nil
	}
	return t.doc.table(join(t.path, key), m)
}

// Tables returns the tables of the array of tables at key ([[key]]), in order.
func (t *Table) Tables(key string) []*Table {
	v, ok := t.take(key)
	if !ok {
		return nil
	}
	var maps []map[string]any
	switch list := v.(type) {
	case []map[string]any:
		maps = list
	case []any:
		for _, item := range list {
			m, ok := item.(map[string]any)
			if !ok {
				t.wrongType(key, item, fmt.Sprintf("tables such as [[%s]]", display(join(t.path, key))))
				return nil
			}
			maps = append(maps, m)
		}
	default:
		t.wrongType(key, v, fmt.Sprintf("tables such as [[%s]]", display(join(t.path, key))))
		return nil
	}
	out := make([]*Table, len(maps))
	for n, m := range maps {
		out[n] = t.doc.table(element(join(t.path, key), n), m)
	}
	return out
}

// Named returns the sub-tables of t itself, one a key, in order of line; a key whose value is no table
// is a fault. Use it where the keys are names that the maker chooses.
func (t *Table) Named() []*Table {
	var out []*Table
	for _, key := range t.Keys() {
		if sub := t.Table(key); sub != nil {
			out = append(out, sub)
		}
	}
	return out
}

// Key returns the last element of the table's path: its name, for a table from Named.
func (t *Table) Key() string {
	return t.path[strings.LastIndex(t.path, separator)+1:]
}

// Suggest adds names that an unknown key may have meant.
func (t *Table) Suggest(names ...string) { t.extra = append(t.extra, names...) }

// Done notes a fault for every key that no getter asked for.
func (t *Table) Done() {
	var known []string
	for k := range t.known {
		known = append(known, k)
	}
	known = append(known, t.extra...)
	for _, key := range t.Keys() {
		if t.known[key] {
			continue
		}
		hint := DidYouMean(key, known)
		what := "is not a key that is known here"
		if hint == "" {
			sort.Strings(known)
			what += "; allowed are " + strings.Join(known, ", ")
		}
		t.Fault(key, what, hint)
	}
}

func (t *Table) wrongType(key string, v any, want string) {
	t.Fault(key, fmt.Sprintf("is %s; it must be %s", kindOf(v), want), "")
}

func kindOf(v any) string {
	switch v.(type) {
	case string:
		return "a text"
	case bool:
		return "true or false"
	case int64, float64:
		return "a number"
	case time.Time:
		return "a date"
	case map[string]any:
		return "a table"
	}
	return "a list"
}

// Numbers returns the number at key so many times, or the list of so many numbers at key, each within r; nil
// when the key is absent or wrong.
func (t *Table) Numbers(key string, r Range, count int) []float64 {
	v, ok := t.take(key)
	if !ok {
		return nil
	}
	out := make([]float64, count)
	list, ok := v.([]any)
	if !ok {
		x, ok := t.number(key, v, r)
		if !ok {
			return nil
		}
		for n := range out {
			out[n] = x
		}
		return out
	}
	if len(list) != count {
		t.Fault(key, fmt.Sprintf("has %d numbers; it must be one number or a list of %d", len(list), count), "")
		return nil
	}
	for n, item := range list {
		x, ok := t.number(element(key, n), item, r)
		if !ok {
			return nil
		}
		out[n] = x
	}
	return out
}

// NumberList returns the list of numbers at key, of any length; nil when the key is absent or wrong.
func (t *Table) NumberList(key string, r Range) []float64 {
	v, ok := t.take(key)
	if !ok {
		return nil
	}
	list, ok := v.([]any)
	if !ok {
		t.wrongType(key, v, "a list of numbers such as [1, 2]")
		return nil
	}
	var out []float64
	for n, item := range list {
		x, ok := t.number(element(key, n), item, r)
		if !ok {
			return nil
		}
		out = append(out, x)
	}
	return out
}
