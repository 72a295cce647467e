package report

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"path/filepath"
	"strings"

	"github.com/xuri/excelize/v2"
)

// program is what files say that they were written by.
const program = "bittersum"

// svgMark stands at the end of a drawn SVG, and pngMark in a PNG's text chunk (ISO/IEC 15948, 11.3.4.3).
const svgMark = "<!-- " + program + " -->"

var pngMark = []byte("tEXtSoftware\x00" + program)

// marked returns a drawn picture that says what it was drawn by.
func marked(picture []byte, kind string) []byte {
	if kind == "svg" {
		return append(bytes.TrimRight(picture, "\n"), "\n"+svgMark+"\n"...)
	}
	const head = 8 + 25 // the signature and IHDR
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(pngMark)-4))
	chunk = append(chunk, pngMark...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(pngMark))
	return append(append(append([]byte(nil), picture[:head]...), chunk...), picture[head:]...)
}

// OwnPicture reports whether a picture was drawn by Draw.
func OwnPicture(data []byte) bool {
	return bytes.HasSuffix(data, []byte(svgMark+"\n")) || bytes.Contains(data[:min(len(data), 200)], pngMark)
}

// OwnRecipe reports whether a file is a recipe as RecipeTOML writes it.
func OwnRecipe(data []byte) bool { return bytes.HasPrefix(data, []byte("# A recipe for the brief ")) }

// OwnLabels reports whether a file is a page of labels as LabelsHTML writes it.
func OwnLabels(data []byte) bool {
	head := data[:min(len(data), 400)]
	return bytes.Contains(head, []byte(`<meta name="generator" content="`+program+`">`)) && bytes.Contains(head, []byte("<title>Labels of "))
}

// OwnSheet reports whether a file is a batch sheet as Sheet writes it.
func OwnSheet(file string, data []byte) bool {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".txt":
		return bytes.HasPrefix(data, []byte("Batch "))
	case ".csv":
		return bytes.HasPrefix(data, []byte(strings.Join(weighHeading, ",")))
	case ".json":
		return bytes.Contains(data[:min(len(data), 200)], []byte(`"schema": "`+batchSchema))
	case ".html":
		return bytes.Contains(data[:min(len(data), 400)], []byte(`<meta name="generator" content="`+program+`">`))
	case ".xlsx":
		book, err := excelize.OpenReader(bytes.NewReader(data))
		if err != nil {
			return false
		}
		defer book.Close()
		about, err := book.GetDocProps()
		return err == nil && about.Creator == program
	}
	return false
}

// OwnPlan reports whether a file is a plan as PlanXLSX writes it, with no order ticked off.
func OwnPlan(data []byte) bool {
	book, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		return false
	}
	defer book.Close()
	about, err := book.GetDocProps()
	if err != nil || about.Creator != program {
		return false
	}
	rows, err := book.GetRows(orderSheet)
	heading := false
	for _, row := range rows {
		if heading && len(row) >= len(orderHeading) && row[len(orderHeading)-1] != "" {
			return false
		}
		heading = heading || len(row) > 0 && row[0] == orderHeading[0]
	}
	return err == nil && heading
}
