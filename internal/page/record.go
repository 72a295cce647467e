package page

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"net/http"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"
	"bittersum/profiles"
)

// recordQuestion asks how a batch stands by its record, and writes down what it brings.
type recordQuestion struct {
	File   string `json:"file"`
	Record string `json:"record"`
	// Weighed, Measured and Goods are values by name: grams, readings, and lots of goods in no lots file.
	Weighed  map[string]float64 `json:"weighed"`
	Measured map[string]float64 `json:"measured"`
	Goods    map[string]string  `json:"goods"`
	MadeOn   *string            `json:"made_on"`
	By       *string            `json:"by"`
	Note     *string            `json:"note"`
	// Try judges and writes nothing; Draw books what was taken; Again as the command says.
	Try   bool `json:"try"`
	Draw  bool `json:"draw"`
	Again bool `json:"again"`
}

func (q *recordQuestion) filling() (works.Filling, error) {
	f := works.Filling{By: q.By, Note: q.Note}
	for _, name := range keys(q.Weighed) {
		f.Weighed = append(f.Weighed, works.Amount{Name: name, Value: q.Weighed[name]})
	}
	for _, name := range keys(q.Measured) {
		f.Measured = append(f.Measured, works.Amount{Name: name, Value: q.Measured[name]})
	}
	for _, name := range keys(q.Goods) {
		f.Goods = append(f.Goods, works.Goods{Name: name, Lot: q.Goods[name]})
	}
	if q.MadeOn != nil {
		day, err := works.ParseDay("--made-on", *q.MadeOn)
		if err != nil {
			return f, err
		}
		f.MadeOn = &day
	}
	return f, nil
}

// recordStep is one thing to write down.
type recordStep struct {
	// Kind is weighed or measured.
	Kind    string `json:"kind"`
	Name    string `json:"name"`
	Title   string `json:"title"`
	Lot     string `json:"lot,omitempty"`
	AskLot  bool   `json:"ask_lot,omitempty"`
	LotUsed string `json:"lot_used,omitempty"`
	// Unit is what a value is read in; of what is weighed all values are sent in grams.
	Unit     string   `json:"unit"`
	Planned  *float64 `json:"planned"`
	Division *float64 `json:"division"`
	Value    *float64 `json:"value"`
	// Follows is what a measurement should show by what is weighed, give or take Spread.
	Follows *float64 `json:"follows"`
	Spread  *float64 `json:"spread"`
	// Off is the value less what was planned or follows; Check says that it is too far off to go on.
	Off   *float64 `json:"off"`
	Check bool     `json:"check,omitempty"`
}

// measures are the names and units of a kettle's measurements for people.
var measures = map[string][2]string{
	brief.MeasureMarc: {"Weight of the spent plants, pressed", "kg"}, brief.MeasureLitres: {"Litres in the kettle", "L"},
	brief.MeasureBrix: {"°Bx, degassed, at 20 °C", "°Bx"}, brief.MeasureAcidity: {"Titratable acidity", "g/L"}, brief.MeasurePH: {"pH", ""},
	brief.MeasureDensity: {"Density at 20 °C", "kg/L"}, brief.MeasureAlcohol: {"Strength by volume at 20 °C", "%"}, brief.MeasureBottles: {"Bottles filled", ""},
}

func recordSteps(m *kettle.Made) []recordStep {
	steps := []recordStep{}
	for _, l := range m.Lines {
		division, unit := l.DivisionG, "g"
		if l.PlannedG >= 1000 && division >= 1 { // as the sheet has it
			unit = "kg"
		}
		steps = append(steps, recordStep{Kind: "weighed", Name: l.Name(), Title: l.Ingredient, Lot: l.Lot, AskLot: l.Lot == "" && !l.Source.Water(), LotUsed: l.LotUsed, Unit: unit,
			Planned: number(l.PlannedG), Division: &division, Value: number(l.Grams), Off: number(l.OffG), Check: l.Notable})
	}
	for _, x := range m.Measures {
		words, known := measures[x.Name]
		if !known {
			words = [2]string{"Laboratory: " + x.Name, ""}
			if a := m.Job.Library.Attributes[x.Name]; a != nil {
				words[1] = a.Unit + " per " + string(a.Per)
			}
		}
		steps = append(steps, recordStep{Kind: "measured", Name: x.Name, Title: words[0], Unit: words[1], Planned: number(x.Planned), Value: number(x.Value),
			Follows: number(x.Implied.Value), Spread: number(x.Implied.Error), Off: number(x.Off), Check: x.Off > x.Error+x.Implied.Error || -x.Off > x.Error+x.Implied.Error})
	}
	return steps
}

// record writes down what a question brings and answers how the batch stands, as the command record does.
func (s *Server) record(ctx context.Context, q *recordQuestion, w io.Writer) (string, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	file, err := s.local(q.Record)
	if err != nil {
		return "", err
	}
	filling, err := q.filling()
	if err != nil {
		return "", err
	}
	job, err := s.open(q.File, works.RecordSettings()...)
	if err != nil {
		return "", err
	}
	if q.Draw {
		for _, kept := range []string{job.LotsFile, job.RegisterFile} {
			if _, demo := brief.IsDemo(kept); demo {
				continue // refused below in the command's words
			}
			if err := s.mine(kept); err != nil {
				return "", err
			}
		}
	}
	now := s.now()
	r := works.Recording{Job: job, File: file, Filling: filling, Try: q.Try, Draw: q.Draw, Again: q.Again, Today: works.Day(now), Now: now}
	made, booked, err := r.Record(ctx)
	if err != nil {
		return "", err
	}
	var data, text bytes.Buffer
	if err := report.MadeJSON(&data, made); err != nil {
		return "", err
	}
	report.Made(&text, made)
	_, demo := brief.IsDemo(q.File)
	var sources []string
	for _, source := range made.Job.Sources {
		sources = append(sources, source.Name)
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{
		"made": json.RawMessage(inBoxes(data.String())), "says": inBoxes(text.String()), "steps": recordSteps(made), "booked": s.short(booked), "brief": made.Job.Name,
		"batch": made.Record.Batch, "made_on": works.DateText(made.Record.MadeOn), "planned_on": works.DateText(made.Record.PlannedOn), "today": works.DateText(works.Day(now)), "by": made.Record.By, "note": made.Record.Note,
		"shelf": !demo && job.LotsFile != "", "register": job.RegisterFile != "", "sources": sources, "measures": made.Record.Measures(made.Job),
	})
}

// listedRecord is a record in the list.
type listedRecord struct {
	File  string `json:"file"`
	Batch string `json:"batch"`
	// Brief is the name of the drink, BriefFile where it is read from; empty where no brief of that name is here.
	Brief     string   `json:"brief"`
	BriefFile string   `json:"brief_file,omitempty"`
	PlannedOn string   `json:"planned_on,omitempty"`
	MadeOn    string   `json:"made_on,omitempty"`
	Open      int      `json:"open"`
	Of        int      `json:"of"`
	Faults    []string `json:"faults,omitempty"`
}

// papers lists the records, the lots files and the plans of the folder.
func (s *Server) papers(w http.ResponseWriter, _ *http.Request) {
	names, err := s.files()
	if err != nil {
		refuse(w, err)
		return
	}
	records, lots, drinks := []listedRecord{}, []string{}, s.drinks(names)
	for _, name := range names {
		text, err := s.text(name)
		if err != nil {
			continue
		}
		at := filepath.Join(s.folder, filepath.FromSlash(name))
		if read, err := brief.ParseLots(at, text); err == nil && len(read.Lots) > 0 {
			lots = append(lots, name)
		} else if strings.Contains("\n"+text, "\nbatch") && !s.looksLikeBrief(name) {
			records = append(records, listRecord(name, at, drinks))
		}
	}
	sheets, _ := fs.Glob(s.root.FS(), "*.csv")
	for _, name := range sheets {
		if read, err := brief.OpenLots(filepath.Join(s.folder, name)); err == nil && len(read.Lots) > 0 {
			lots = append(lots, name)
		}
	}
	send(w, map[string]any{"records": records, "lots": lots, "plans": s.plans(names)})
}

func listRecord(name, at string, drinks []namedDrink) listedRecord {
	r, err := kettle.ReadRecord(at)
	if err != nil {
		return listedRecord{File: name, Batch: name, Faults: faultOf(err).lines}
	}
	one := listedRecord{File: name, Batch: r.Batch, Brief: r.Brief, BriefFile: briefNamed(r.Brief, path.Dir(name), drinks), PlannedOn: works.DateText(r.PlannedOn), MadeOn: works.DateText(r.MadeOn), Of: len(r.Weighed) + len(r.Measured)}
	for _, x := range r.Weighed {
		if number(x.Grams) == nil {
			one.Open++
		}
	}
	for _, x := range r.Measured {
		if number(x.Value) == nil {
			one.Open++
		}
	}
	return one
}

// namedDrink is a brief with the name of its drink and the folder that it stands in, none for a demo.
type namedDrink struct{ file, folder, drink string }

// drinks reads the names of the drinks of the briefs among files, then those of the demos.
func (s *Server) drinks(files []string) []namedDrink {
	demos, _ := fs.Glob(profiles.FS, "demo/*.toml")
	for _, demo := range demos {
		files = append(slices.Clip(files), "demo:"+strings.TrimSuffix(path.Base(demo), ".toml"))
	}
	var found []namedDrink
	for _, name := range files {
		text, err := s.text(name)
		if err != nil {
			continue
		}
		doc, err := tomlfile.Parse(name, []byte(text))
		if err != nil || !doc.Root().Has("use") {
			continue
		}
		one := namedDrink{file: name, drink: doc.Root().String("name")}
		if _, demo := brief.IsDemo(name); !demo {
			one.folder = path.Dir(name)
		}
		found = append(found, one)
	}
	return found
}

// briefNamed finds the brief of a drink's name: in the same folder first, then in the others, then among the demos.
func briefNamed(drink, folder string, drinks []namedDrink) string {
	found := ""
	for _, d := range drinks {
		switch {
		case d.drink != drink:
		case d.folder == folder:
			return d.file
		case found == "":
			found = d.file
		}
	}
	return found
}
