package tomlfile

import "strings"

// lineIndex maps the path of every table and key of a TOML text to the line on which it stands. The
// TOML library checks the grammar; this scanner only finds places in a text that has passed it.
type lineIndex map[string]int

// separator joins path elements; it cannot stand in a TOML key that was typed by a person.
const separator = "\x00"

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + separator + key
}

type scanner struct {
	text  string
	pos   int
	line  int
	index lineIndex
	count map[string]int // tables seen so far in each array of tables
}

func indexLines(text string) lineIndex {
	s := &scanner{text: text, line: 1, index: lineIndex{}, count: map[string]int{}}
	table := ""
	for {
		s.skipBlank(true)
		if s.pos >= len(s.text) {
			return s.index
		}
		if s.peek() == '[' {
			table = s.header()
			continue
		}
		before := s.pos
		s.keyValue(table)
		if s.pos == before { // not TOML after all: never loop
			s.pos++
		}
	}
}

func (s *scanner) peek() byte {
	if s.pos < len(s.text) {
		return s.text[s.pos]
	}
	return 0
}

func (s *scanner) next() byte {
	c := s.peek()
	if c == '\n' {
		s.line++
	}
	s.pos++
	return c
}

// skipBlank skips spaces and, if newlines is set, line ends and comments too.
func (s *scanner) skipBlank(newlines bool) {
	for s.pos < len(s.text) {
		switch c := s.peek(); {
		case c == ' ' || c == '\t' || c == '\r':
			s.next()
		case newlines && c == '\n':
			s.next()
		case newlines && c == '#':
			for s.pos < len(s.text) && s.peek() != '\n' {
				s.next()
			}
		default:
			return
		}
	}
}

// header reads [a.b] or [[a.b]] and returns the table's path, with #n for the n-th of an array.
func (s *scanner) header() string {
	line := s.line
	s.next()
	array := s.peek() == '['
	if array {
		s.next()
	}
	path := ""
	for i, key := range s.dottedKey() {
		if i > 0 {
			path = s.lastOf(path)
		}
		path = join(path, key)
	}
	for s.pos < len(s.text) && s.peek() != '\n' {
		s.next()
	}
	if array {
		if s.count[path]++; s.count[path] == 1 {
			s.index[path] = line
		}
	}
	path = s.lastOf(path)
	s.index[path] = line
	return path
}

// lastOf returns the path of the table opened last, if path is an array of tables.
func (s *scanner) lastOf(path string) string {
	if n := s.count[path]; n > 0 {
		return element(path, n-1)
	}
	return path
}

func (s *scanner) keyValue(table string) {
	line := s.line
	path := table
	for _, key := range s.dottedKey() {
		path = join(path, key)
		if _, seen := s.index[path]; !seen {
			s.index[path] = line
		}
	}
	s.skipBlank(false)
	if s.peek() == '=' {
		s.next()
		s.skipBlank(false)
		s.value(path)
	}
}

func (s *scanner) dottedKey() []string {
	var keys []string
	for s.pos < len(s.text) {
		s.skipBlank(false)
		start := s.pos
		switch c := s.peek(); c {
		case '"', '\'':
			s.next()
			for s.pos < len(s.text) && s.peek() != c && s.peek() != '\n' {
				if s.next() == '\\' && c == '"' {
					s.next()
				}
			}
			keys = append(keys, s.text[start+1:min(s.pos, len(s.text))])
			s.next()
		default:
			for s.pos < len(s.text) && !strings.ContainsRune(" \t\r\n.=]", rune(s.peek())) {
				s.next()
			}
			keys = append(keys, s.text[start:s.pos])
		}
		s.skipBlank(false)
		if s.peek() != '.' {
			break
		}
		s.next()
	}
	return keys
}

// value skips one value, indexing the keys of inline tables and the elements of arrays below path.
func (s *scanner) value(path string) {
	switch c := s.peek(); c {
	case '"', '\'':
		s.str(c)
	case '[':
		s.next()
		for n := 0; ; n++ {
			s.skipBlank(true)
			if s.pos >= len(s.text) {
				return
			}
			if s.peek() == ']' {
				s.next()
				return
			}
			s.index[element(path, n)] = s.line
			before := s.pos
			s.value(element(path, n))
			s.skipBlank(true)
			if s.peek() == ',' || s.pos == before {
				s.next()
			}
		}
	case '{':
		s.next()
		for {
			s.skipBlank(true)
			if s.pos >= len(s.text) {
				return
			}
			if s.peek() == '}' {
				s.next()
				return
			}
			before := s.pos
			s.keyValue(path)
			s.skipBlank(true)
			if s.peek() == ',' || s.pos == before {
				s.next()
			}
		}
	default:
		for s.pos < len(s.text) && !strings.ContainsRune(",]}\n#", rune(s.peek())) {
			s.next()
		}
	}
}

// str skips a string of either kind, on one line or several.
func (s *scanner) str(quote byte) {
	triple := strings.Repeat(string(quote), 3)
	if strings.HasPrefix(s.text[s.pos:], triple) {
		s.pos += 3
		for s.pos < len(s.text) && !strings.HasPrefix(s.text[s.pos:], triple) {
			if s.next() == '\\' && quote == '"' {
				s.next()
			}
		}
		for s.peek() == quote {
			s.next()
		}
		return
	}
	s.next()
	for s.pos < len(s.text) && s.peek() != quote && s.peek() != '\n' {
		if s.next() == '\\' && quote == '"' {
			s.next()
		}
	}
	s.next()
}
