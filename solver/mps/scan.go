package mps

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxLine caps the length of one line in bytes, so that a file that is not text cannot fill memory
// as one line.
const maxLine = 1 << 16

// section is one headed part of a file.
type section struct {
	line
	name  string
	words []string // what follows the name on the heading
	lines []line
}

// scan cuts a file into sections. Comments, blank lines and all after ENDATA are left out.
func scan(r io.Reader) ([]section, error) {
	reader := bufio.NewReaderSize(r, maxLine)
	var sections []section
	for number := 1; ; number++ {
		raw, err := reader.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) {
			return nil, fmt.Errorf("mps: line %d: longer than %d bytes", number, maxLine)
		}
		if err != nil && err != io.EOF {
			return nil, fmt.Errorf("mps: line %d: %w", number, err)
		}
		if err == io.EOF && len(raw) == 0 {
			return nil, fmt.Errorf("mps: line %d: the file ends before ENDATA", number)
		}
		text := strings.TrimRight(string(raw), "\r\n")
		if number == 1 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		if !plainText(text) {
			if !utf8.ValidString(text) {
				text = fromLatin1(text)
			}
			if i := strings.IndexFunc(text, isControl); i >= 0 {
				return nil, fmt.Errorf("mps: line %d: control character %q; this is not an MPS file", number, []rune(text[i:])[0])
			}
		}
		if strings.HasPrefix(text, "*") || strings.TrimSpace(text) == "" {
			continue
		}
		here := line{number, text}
		if text[0] != ' ' && text[0] != '\t' {
			words := strings.Fields(text)
			if words[0] == "ENDATA" {
				return append(sections, section{line: here, name: "ENDATA"}), nil
			}
			if len(sections) == 0 && looksLikeLP(words[0]) {
				return nil, fmt.Errorf("mps: line %d: %q begins no section of MPS; this looks like an LP file, which is another format", number, words[0])
			}
			sections = append(sections, section{line: here, name: words[0], words: words[1:]})
			continue
		}
		if len(sections) == 0 {
			return nil, fmt.Errorf("mps: line %d: a data line stands before the first section", number)
		}
		last := &sections[len(sections)-1]
		last.lines = append(last.lines, here)
	}
}

// plainText reports whether text is of printable ASCII and tabs alone, as nearly every line is.
func plainText(text string) bool {
	for i := range len(text) {
		if c := text[i]; c < ' ' && c != '\t' || c > '~' {
			return false
		}
	}
	return true
}

// fromLatin1 reads a line whose bytes are no UTF-8 as ISO 8859-1, in which every byte is a character.
func fromLatin1(text string) string {
	characters := make([]rune, len(text))
	for i := range len(text) {
		characters[i] = rune(text[i])
	}
	return string(characters)
}

// looksLikeLP reports whether the first word of a file is one that the LP format begins with.
func looksLikeLP(word string) bool {
	switch strings.ToLower(strings.TrimRight(word, ":")) {
	case "max", "maximize", "maximise", "maximum", "min", "minimize", "minimise", "minimum":
		return true
	}
	return strings.HasPrefix(word, "\\") || strings.HasPrefix(word, "/*")
}

// withoutRemarks returns sections whose data lines end before a word that begins with $, as remarks do, and
// is no name of a row or column.
func withoutRemarks(sections []section) []section {
	names := map[string]bool{}
	for _, s := range sections {
		for _, l := range s.lines {
			if w := strings.Fields(l.text); s.name == "ROWS" && len(w) > 1 {
				names[w[1]] = true
			} else if s.name == "COLUMNS" {
				names[w[0]] = true
			}
		}
	}
	out := slices.Clone(sections)
	for n, s := range sections {
		if at := slices.IndexFunc(s.words, isRemark); at >= 0 && tabular(s.name) {
			out[n].words = s.words[:at]
		}
		if !tabular(s.name) || !slices.ContainsFunc(s.lines, func(l line) bool { return strings.Contains(l.text, "$") }) {
			continue
		}
		out[n].lines = slices.Clone(s.lines)
		for k, l := range s.lines {
			w := strings.Fields(l.text)
			if at := slices.IndexFunc(w, func(word string) bool { return isRemark(word) && !names[word] }); at > 0 {
				out[n].lines[k].text = " " + strings.Join(w[:at], " ")
			}
		}
	}
	return out
}

func isRemark(word string) bool { return strings.HasPrefix(word, "$") }

func isControl(r rune) bool { return r != '\t' && unicode.IsControl(r) }

// tabular sections are those whose lines the layouts cut.
func tabular(name string) bool {
	switch name {
	case "ROWS", "COLUMNS", "RHS", "RANGES", "BOUNDS":
		return true
	}
	return false
}

// detect says whether the data lines stand in fixed columns; if not, fault is the first line that
// does not. blanks reports whether the fixed columns give any name with a blank inside.
func detect(sections []section) (isFixed, blanks bool, fault error) {
	for _, s := range sections {
		if s.name == "NAME" && saysFree(s.words) {
			return false, false, errors.New("the NAME line says FREE")
		}
	}
	for _, s := range sections {
		if !tabular(s.name) {
			continue
		}
		for _, l := range s.lines {
			r, err := fixed(s.name, l.text)
			if err != nil {
				return false, false, fmt.Errorf("line %d: %w", l.number, err)
			}
			blanks = blanks || strings.ContainsAny(r.set+r.name1+r.name2, " ")
		}
	}
	return true, blanks, nil
}

// saysFree reports whether the words after NAME are a name and the word FREE.
func saysFree(words []string) bool { return len(words) > 1 && words[len(words)-1] == "FREE" }
