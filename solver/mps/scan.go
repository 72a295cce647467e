package mps

import (
	"bufio"
	"errors"
	"fmt"
	"io"
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
		if !utf8.ValidString(text) {
			return nil, fmt.Errorf("mps: line %d: not UTF-8 text", number)
		}
		if i := strings.IndexFunc(text, isControl); i >= 0 {
			return nil, fmt.Errorf("mps: line %d: control character %q; this is not an MPS file", number, text[i])
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
