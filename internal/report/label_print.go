package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"
	"sync"

	"bittersum/internal/brief"
	"bittersum/internal/label"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
)

//go:embed label.html
var labelHTML string

var labelTemplate = sync.OnceValue(func() *template.Template { return template.Must(template.New("label").Parse(labelHTML)) })

// The letters of the faces that a label is printed in, as shares of the size of their type: the height of a small x
// and of figures. The page sets both heights, whatever face is there, by CSS font-size-adjust.
const (
	xShare, figureShare = 0.519, 0.716
	// leading is from line to line, gap between paragraphs, over the size of the type; edge is the margin in mm.
	leading, gap = 1.2, 0.35
	edge         = 2
	// usPanelMore is what the large print of Nutrition Facts takes besides, in mm.
	usPanelMore = 14
)

// printedLine is a line of a label as it is printed.
type printedLine struct {
	// Size is that of the type in mm, Adjust what CSS font-size-adjust takes.
	Size, Adjust string
	// Bold begins the line, Text goes on.
	Bold, Text string
	Rule, Note string
	MM         string
}

type printedLabel struct {
	Market, Title string
	Width, Height string
	Lines         []printedLine
	Panel         *printedPanel
	// Needs says what of the label's height the text takes, Short that it is more than there is.
	Needs string
	Short bool
	Tells []string
}

type printedPanel struct {
	Size, Adjust, Title, Rule, Note string
	Columns                         []string
	Daily                           bool
	Rows                            []label.Row
	Below                           []string
}

// LabelFits says whether the text of a label has room on it.
type LabelFits struct {
	Market string
	// NeedsMM is the height that the text takes at the label's width, in letters as small as the rules allow.
	NeedsMM, HeightMM float64
}

// Fits reports whether there is room.
func (f LabelFits) Fits() bool { return f.NeedsMM <= f.HeightMM }

// LabelsHTML writes the drafts of labels at true size, in letters of the least height that each market's rules allow,
// as a page to print, and returns how much room each takes. Nothing is set smaller to make it fit.
func LabelsHTML(w io.Writer, j *brief.Job, labels []label.Label, c label.Container) ([]LabelFits, error) {
	var out struct {
		Name   string
		Labels []printedLabel
	}
	out.Name = j.Name
	var fits []LabelFits
	for n := range labels {
		p, fit, err := printed(&labels[n], c)
		if err != nil {
			return nil, err
		}
		out.Labels = append(out.Labels, p)
		fits = append(fits, fit)
	}
	return fits, labelTemplate().Execute(w, out)
}

func millimetres(x float64) string { return trimmed(x, 4) }

// upward rounds a size of type in mm, so that no letter comes out smaller than it must be.
func upward(x float64) float64 { return math.Ceil(100*x) / 100 }

// printed sets one label.
func printed(l *label.Label, c label.Container) (printedLabel, LabelFits, error) {
	out := printedLabel{Market: l.Market.Name, Title: l.Market.Title, Width: millimetres(c.WidthMM), Height: millimetres(c.HeightMM)}
	needs, inner := 2.0*edge, c.WidthMM-2*edge
	for _, line := range l.Lines {
		if line.Told {
			if line.Part != "nutrition" && line.Part != "before printing" {
				out.Tells = append(out.Tells, line.Part+": "+line.Text)
			}
			continue
		}
		h := l.HeightOf(line, c)
		p := printedLine{Text: line.Text, Rule: ruleText(h.Rule), Note: h.Note, MM: millimetres(h.MM)}
		share := xShare
		p.Adjust = fmt.Sprint(xShare)
		if h.Figures {
			share, p.Adjust = figureShare, fmt.Sprintf("cap-height %v", figureShare)
		}
		size := upward(h.MM / share)
		p.Size = millimetres(size)
		switch {
		case line.Part == "name" || line.Part == "net quantity":
			p.Bold, p.Text = p.Text, ""
		case strings.HasPrefix(p.Text, "GOVERNMENT WARNING"):
			p.Bold, p.Text = "GOVERNMENT WARNING", strings.TrimPrefix(p.Text, "GOVERNMENT WARNING")
		}
		rows, err := wrapped(p.Bold, p.Text, size, inner)
		if err != nil {
			return out, LabelFits{}, err
		}
		needs += float64(rows)*leading*size + gap*size
		out.Lines = append(out.Lines, p)
	}
	if l.Panel != nil {
		h := l.NutritionHeight(c)
		size := upward(h.MM / xShare)
		out.Panel = &printedPanel{Size: millimetres(size), Adjust: fmt.Sprint(xShare), Title: l.Panel.Title, Rule: ruleText(h.Rule), Note: h.Note, Columns: l.Panel.Columns, Rows: l.Panel.Rows, Below: l.Panel.Below}
		rows := len(l.Panel.Rows) + 4 // the title and the headings take two each
		for _, r := range l.Panel.Rows {
			out.Panel.Daily = out.Panel.Daily || r.Daily != ""
		}
		for _, text := range l.Panel.Below {
			more, err := wrapped("", text, size, inner)
			if err != nil {
				return out, LabelFits{}, err
			}
			rows += more
		}
		needs += float64(rows) * (leading*size + 0.3)
		if l.Market.Name == "us" {
			needs += usPanelMore
		}
	}
	fit := LabelFits{Market: l.Market.Name, NeedsMM: needs, HeightMM: c.HeightMM}
	out.Needs, out.Short = fmt.Sprintf("%.0f", needs), !fit.Fits()
	return out, fit, nil
}

// faces are a regular and a bold face at a size of 1000, which widths are reckoned with.
var faces = sync.OnceValues(func() (set [2]font.Face, err error) {
	for n, data := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		parsed, err := opentype.Parse(data)
		if err != nil {
			return set, err
		}
		if set[n], err = opentype.NewFace(parsed, &opentype.FaceOptions{Size: 1000, DPI: 72, Hinting: font.HintingNone}); err != nil {
			return set, err
		}
	}
	return set, nil
})

// wrapped returns how many rows a text takes, its beginning bold, in type of a size within a width, both in mm.
func wrapped(bold, text string, size, width float64) (int, error) {
	set, err := faces()
	if err != nil {
		return 0, err
	}
	rows, used := 1, 0.0
	for n, part := range []string{bold, text} {
		face := set[1-n]
		measure := func(s string) float64 { return float64(font.MeasureString(face, s)) / (64 * 1000) * size }
		for _, word := range strings.Fields(part) {
			wide := measure(word)
			if used > 0 && used+measure(" ")+wide > width {
				rows, used = rows+1, 0
			}
			if used > 0 {
				used += measure(" ")
			}
			used += wide
		}
	}
	return rows, nil
}

// LabelsFit says where labels were written, and which have no room for their text.
func LabelsFit(w io.Writer, path string, fits []LabelFits) {
	fmt.Fprintf(w, "Wrote %s.\n", path)
	for _, f := range fits {
		if !f.Fits() {
			fmt.Fprintf(w, "Label %s does not fit: its text takes about %.0f mm of height, of %g mm.\n", f.Market, f.NeedsMM, f.HeightMM)
		}
	}
}
