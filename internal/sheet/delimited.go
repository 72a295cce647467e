package sheet

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"unicode/utf16"

	"bittersum/internal/csvfile"
	"bittersum/internal/tomlfile"
)

// delimited reads CSV text with commas, semicolons or tabs between its cells, in UTF-8 or, with its mark of the
// byte order, UTF-16.
func delimited(file string, data []byte) (*Table, error) {
	text, err := tomlfile.Text(file, unwide(data))
	if err != nil {
		return nil, err
	}
	t := &Table{File: file}
	if rest, sep := separated(text); sep != 0 {
		text, t.Delimiter = rest, sep
	} else {
		t.Delimiter = csvfile.Delimiter(text)
	}
	var faults tomlfile.Faults
	line, wrong := csvfile.Each(text, t.Delimiter, func(line int, cells []string) bool {
		row := Row{Line: line}
		empty := true
		for _, cell := range cells {
			cell = clean(cell)
			empty = empty && cell == ""
			row.Cells = append(row.Cells, Cell{Text: cell})
		}
		if empty {
			return true
		}
		if len(cells) > MaxColumns || len(t.Rows) == MaxRows {
			faults = append(faults, tomlfile.Fault{File: file, Line: line, What: tooLarge})
			return false
		}
		t.Rows = append(t.Rows, row)
		return true
	})
	if wrong != "" {
		faults = append(faults, tomlfile.Fault{File: file, Line: line, What: wrong})
	}
	if len(t.Rows) == 0 && len(faults) == 0 {
		faults = append(faults, tomlfile.Fault{File: file, What: "is empty: a table with a heading is needed"})
	}
	t.learn()
	return t, faults.Err()
}

// tooLarge is said of a table beyond what is read.
var tooLarge = fmt.Sprintf("is beyond what is read, %d rows of %d columns; leave out what is not needed", MaxRows, MaxColumns)

// unwide turns UTF-16 with a mark of its byte order into UTF-8.
func unwide(data []byte) []byte {
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		order = binary.LittleEndian
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		order = binary.BigEndian
	default:
		return data
	}
	var units []uint16
	for data = data[2:]; len(data) >= 2; data = data[2:] {
		units = append(units, order.Uint16(data))
	}
	return []byte(string(utf16.Decode(units)))
}

// separated reads a first line such as sep=; by which some spreadsheets say what stands between cells. The line
// stays as an empty one, so that lines are counted rightly.
func separated(text string) (rest string, sep rune) {
	first, after, found := strings.Cut(text, "\n")
	first = strings.TrimRight(first, "\r")
	if named, ok := strings.CutPrefix(strings.ToLower(first), "sep="); ok && found && len(named) == 1 && strings.ContainsAny(named, ",;\t") {
		return "\n" + after, rune(named[0])
	}
	return text, 0
}

// clean trims a cell, of the spaces that do not break too, and turns line ends within it into spaces.
func clean(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == '\t' || r == ' ' || r == '\u00a0' }), " ")
}
