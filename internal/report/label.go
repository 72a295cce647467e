package report

import (
	"fmt"
	"io"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/label"
)

// labelSchema names what the JSON of label holds.
const labelSchema = "bittersum/label/1"

func ruleText(r label.Rule) string {
	if r.Citation == "practice" {
		return "[practice]"
	}
	return fmt.Sprintf("[%s, text %s]", r.Citation, r.Text)
}

// Labels writes the drafts of labels as text of at most 80 columns.
func Labels(w io.Writer, j *brief.Job, labels []label.Label) {
	fmt.Fprintf(w, "%s\n", j.Name)
	for _, l := range labels {
		fmt.Fprintf(w, "\nLabel for %s (%s), a draft:\n", l.Market.Title, l.Market.Name)
		for _, line := range l.Lines {
			fmt.Fprintf(w, "  %s\n", wrap(line.Part+": "+line.Text, width-4, "    "))
			fmt.Fprintf(w, "    %s\n", wrap(ruleText(line.Rule), width-4, "    "))
			if line.Note != "" {
				fmt.Fprintf(w, "    %s\n", wrap("("+line.Note+")", width-4, "    "))
			}
		}
		if l.Panel != nil {
			fmt.Fprintln(w)
			panel(w, l.Panel)
		}
	}
	fmt.Fprintln(w)
	judgedBy(w, j)
}

func panel(w io.Writer, p *label.Panel) {
	columns := []string{"l" + p.Title}
	for _, c := range p.Columns {
		columns = append(columns, "r"+c)
	}
	daily := false
	for _, r := range p.Rows {
		daily = daily || r.Daily != ""
	}
	if daily {
		columns = append(columns, "r% daily value")
	}
	t := newTable("    ", columns...)
	for _, r := range p.Rows {
		row := append([]string{strings.Repeat("  ", r.Indent) + r.Name}, r.Amounts...)
		if daily {
			row = append(row, r.Daily)
		}
		t.row(row...)
	}
	t.write(w)
	for _, text := range p.Below {
		fmt.Fprintf(w, "    %s\n", wrap(text, width-4, "    "))
	}
	for _, r := range p.Rules {
		fmt.Fprintf(w, "    %s\n", wrap(ruleText(r), width-4, "    "))
	}
	for _, note := range p.Notes {
		fmt.Fprintf(w, "    %s\n", wrap("("+note+")", width-4, "    "))
	}
}

type jsonRule struct {
	Citation string `json:"citation"`
	Text     string `json:"text"`
}

type jsonLabelLine struct {
	Part string   `json:"part"`
	Text string   `json:"wording"`
	Rule jsonRule `json:"rule"`
	Note string   `json:"note,omitempty"`
	Told bool     `json:"for_the_maker,omitempty"`
}

type jsonPanelRow struct {
	Name    string   `json:"name"`
	Indent  int      `json:"indent,omitempty"`
	Amounts []string `json:"amounts"`
	Daily   string   `json:"daily_value,omitempty"`
}

type jsonPanel struct {
	Title   string         `json:"title"`
	Columns []string       `json:"columns"`
	Rows    []jsonPanelRow `json:"rows"`
	Below   []string       `json:"below,omitempty"`
	Rules   []jsonRule     `json:"rules"`
	Notes   []string       `json:"notes,omitempty"`
}

type jsonLabel struct {
	Market string          `json:"market"`
	Lines  []jsonLabelLine `json:"lines"`
	Panel  *jsonPanel      `json:"panel,omitempty"`
}

type jsonLabels struct {
	Schema string      `json:"schema"`
	Brief  string      `json:"brief"`
	Labels []jsonLabel `json:"labels"`
	jsonJudged
}

// LabelsJSON writes the drafts of labels as JSON.
func LabelsJSON(w io.Writer, j *brief.Job, labels []label.Label) error {
	out := jsonLabels{Schema: labelSchema, Brief: j.Name, Labels: []jsonLabel{}, jsonJudged: judgedJSON(j)}
	for _, l := range labels {
		o := jsonLabel{Market: l.Market.Name}
		for _, line := range l.Lines {
			o.Lines = append(o.Lines, jsonLabelLine{line.Part, line.Text, jsonRule(line.Rule), line.Note, line.Told})
		}
		if p := l.Panel; p != nil {
			o.Panel = &jsonPanel{Title: p.Title, Columns: p.Columns, Below: p.Below, Notes: p.Notes}
			for _, r := range p.Rows {
				o.Panel.Rows = append(o.Panel.Rows, jsonPanelRow{r.Name, r.Indent, r.Amounts, r.Daily})
			}
			for _, r := range p.Rules {
				o.Panel.Rules = append(o.Panel.Rules, jsonRule(r))
			}
		}
		out.Labels = append(out.Labels, o)
	}
	return encode(w, out)
}
