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
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/plan"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"
	"bittersum/profiles"
)

// longestPlan bounds the work of one plan.
const longestPlan = 15 * time.Minute

// planQuestion asks for the plan of several drinks.
type planQuestion struct {
	// File is a plan in the folder, with slashes, or demo:NAME.
	File string `json:"file"`
	// If is a scenario of the plan; Fails, Price and Demand are events as the command has them.
	If     string   `json:"if"`
	Fails  []string `json:"fails"`
	Price  []string `json:"price"`
	Demand []string `json:"demand"`
	Hedge  bool     `json:"hedge"`
	// Book is a workbook in the folder, .xlsx, that orders and batches are also written to; empty for none.
	Book    string `json:"book"`
	Replace bool   `json:"replace"`
}

// listedPlan is a plan in the list.
type listedPlan struct {
	File      string   `json:"file"`
	Name      string   `json:"name"`
	Scenarios []string `json:"scenarios,omitempty"`
}

// looksLikePlan tells a plan from another TOML file: it has drinks with briefs of their own.
func looksLikePlan(text string) bool { return strings.Contains("\n"+text, "\n[[drink]]") }

// plans lists the plans among files, then the demo.
func (s *Server) plans(files []string) []listedPlan {
	demos, _ := fs.Glob(profiles.FS, "plan/*.toml")
	for _, demo := range demos {
		files = append(files, "demo:"+strings.TrimSuffix(path.Base(demo), ".toml"))
	}
	list := []listedPlan{}
	for _, name := range files {
		doc, err := s.planText(name)
		if err != nil {
			continue
		}
		one := listedPlan{File: name, Name: doc.Root().String("name")}
		if one.Name == "" {
			one.Name = name
		}
		for _, t := range doc.Root().Tables("scenario") {
			one.Scenarios = append(one.Scenarios, t.String("name"))
		}
		list = append(list, one)
	}
	return list
}

// planText reads a plan's text; an error for what is no plan of the folder.
func (s *Server) planText(name string) (*tomlfile.Document, error) {
	if demo, ok := brief.IsDemo(name); ok {
		doc, err := tomlfile.OpenFS(profiles.FS, "plan/"+demo+".toml", name+".toml")
		if err != nil {
			return nil, wrong(http.StatusNotFound, "there is no demo plan %q", demo)
		}
		return doc, nil
	}
	text, err := s.text(name)
	if err != nil {
		return nil, err
	}
	if !looksLikePlan(text) {
		return nil, wrong(http.StatusNotFound, "%q is no plan", name)
	}
	at, err := s.local(name)
	if err != nil {
		return nil, err
	}
	return tomlfile.Parse(at, []byte(text))
}

// openPlan reads a plan with its briefs, which lie within the folder as it does.
func (s *Server) openPlan(name string) (*plan.Plan, error) {
	doc, err := s.planText(name)
	if err != nil {
		return nil, err
	}
	folder := "."
	if _, demo := brief.IsDemo(name); !demo {
		folder = path.Dir(name)
	}
	return plan.Read(doc, func(file string) (*brief.Job, error) {
		if _, demo := brief.IsDemo(file); demo {
			return s.open(file)
		}
		return s.open(path.Join(folder, filepath.ToSlash(file)))
	})
}

// beginPlan writes a plan of the folder's drinks to begin with.
func (s *Server) beginPlan(_ context.Context, _ *struct{}, w io.Writer) (string, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	begun, err := works.BeginPlan(s.folder, time.Time{}, works.Day(s.now()), func(at string) (*brief.Job, error) { return s.open(filepath.Base(at)) })
	if err != nil {
		return "", err
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"file": filepath.Base(begun.Path), "briefs": begun.Briefs, "left_out": begun.Other})
}

// decidePlan answers line by line, each a JSON object: how far it is, then the answer or what is wrong.
func (s *Server) decidePlan(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), longestPlan)
	defer cancel()
	q, err := readQuestion[planQuestion](r.Body)
	if err != nil {
		refuse(w, err)
		return
	}
	asked := works.Planning{If: q.If, Fails: q.Fails, Price: q.Price, Demand: q.Demand, Hedge: q.Hedge}
	if asked.Plan, err = s.openPlan(q.File); err == nil {
		_, err = asked.Scenario()
	}
	if err != nil {
		refuse(w, err)
		return
	}
	files, book, err := s.planBook(q)
	if err != nil {
		refuse(w, err)
		return
	}
	ends, ok := s.turn(ctx)
	if !ok {
		return
	}
	defer ends()
	lines := json.NewEncoder(w)
	out := http.NewResponseController(w)
	_ = out.SetWriteDeadline(time.Now().Add(longestPlan + time.Minute))
	w.Header().Set("Content-Type", "application/x-ndjson")
	last := time.Time{}
	asked.Plan.Progress = func(text string) {
		if now := time.Now(); now.Sub(last) >= time.Second/2 {
			last = now
			_ = lines.Encode(map[string]string{"progress": text})
			_ = out.Flush()
		}
	}
	answer, err := s.decided(ctx, &asked, files, book)
	if r.Context().Err() != nil {
		return // nobody waits any more
	}
	if err != nil {
		_ = lines.Encode(map[string][]string{"faults": faultOf(err).lines})
		return
	}
	_ = lines.Encode(answer)
}

// planBook looks whether the workbook that a question names may be written.
func (s *Server) planBook(q *planQuestion) (*works.Outputs, string, error) {
	files := &works.Outputs{Force: q.Replace}
	if q.Book == "" {
		return files, "", nil
	}
	if path.Base(q.Book) != q.Book || !filepath.IsLocal(q.Book) || strings.HasPrefix(q.Book, ".") {
		return nil, "", wrong(http.StatusBadRequest, "%q is no name of a workbook in this folder", q.Book)
	}
	at := filepath.Join(s.folder, q.Book)
	files.Add("workbook", at, report.OwnPlan, ".xlsx")
	return files, at, files.Check()
}

// decided decides and puts the answer together.
func (s *Server) decided(ctx context.Context, asked *works.Planning, files *works.Outputs, book string) (map[string]any, error) {
	planned, err := asked.Decide(ctx)
	if err != nil {
		return nil, err
	}
	a := planned.Answer
	var told bytes.Buffer
	_, err = tell(&told, a.Ledger == nil, func(w io.Writer) error { return report.PlanJSON(w, a, planned.Increase) },
		func(w io.Writer) { planned.Write(w, report.InFull) }, func() (report.Picture, error) { return report.PlanPicture(a) })
	if err != nil {
		return nil, err
	}
	out := map[string]any{"told": json.RawMessage(told.Bytes()), "scenario": planned.Before != nil}
	if book != "" && a.Ledger != nil {
		var data bytes.Buffer
		if err := report.PlanXLSX(&data, a); err != nil {
			return nil, err
		}
		s.writing.Lock()
		defer s.writing.Unlock()
		if err := files.Write(book, data.Bytes()); err != nil {
			return nil, err
		}
		out["wrote"] = filepath.Base(book)
	}
	return out, nil
}
