package page

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plannedBatch writes the record of a batch of 100 L in a start folder and returns its name.
func plannedBatch(t *testing.T, c *http.Client, s *Server) string {
	t.Helper()
	p := planOf(t, c, s, `{"file":"brief.toml"}`)
	code, body := ask(t, c, s, "/api/batch/write", `{"file":"brief.toml","number":"`+p.Number+`","shown":"`+p.Shown+`","record":"`+p.Record+`"}`)
	require.Equal(t, 200, code, body)
	return p.Record
}

// stands is what is looked at of an answer about a record.
type stands struct {
	Booked string
	Made   struct {
		Verdict, Says string
		Missing       []string
	}
	Steps []recordStep
}

func fill(t *testing.T, c *http.Client, s *Server, record, more string) stands {
	t.Helper()
	code, body := ask(t, c, s, "/api/record", `{"file":"brief.toml","record":"`+record+`"`+more+`}`)
	require.Equal(t, 200, code, "%.500s", body)
	var answer stands
	require.NoError(t, json.Unmarshal([]byte(body), &answer))
	return answer
}

func TestRecordIsFilledInStepByStep(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	name := plannedBatch(t, c, s)
	file := filepath.Join(folder, name)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, []byte(strings.Replace(string(text), "[measured.ph]", "# the meter is the small one\n[measured.ph]", 1)), 0o644))

	// Trying judges and writes nothing.
	before, _ := os.ReadFile(file)
	tried := fill(t, c, s, name, `,"weighed":{"sugar":9000},"try":true`)
	assert.Equal(t, "misses", tried.Made.Verdict)
	for _, step := range tried.Steps {
		assert.Equal(t, step.Name == "sugar", step.Check, step.Name)
	}
	after, _ := os.ReadFile(file)
	assert.Equal(t, string(before), string(after))

	// What is written down is in the file, with the maker's words in it.
	now := fill(t, c, s, name, `,"weighed":{"water":94200,"sugar":7580},"goods":{"sugar":"S-77"},"made_on":"2026-11-27","by":"Ines"`)
	assert.Equal(t, "incomplete", now.Made.Verdict)
	assert.NotContains(t, now.Made.Missing, "sugar")
	after, _ = os.ReadFile(file)
	for _, line := range []string{"# the meter is the small one", `lot_used = "S-77"`, "grams = 94200", "made_on = 2026-11-27", `by = "Ines"`} {
		assert.Contains(t, string(after), line)
	}
	// Another window, opened later, goes on from the file.
	now = fill(t, c, s, name, `,"weighed":{"citric-acid":466,"lemon-juice/LJ-2611":2009,"gentian-root":35.36},"measured":{"marc_kg":0.104,"litres":100.2,"brix":7.8,"acidity_g_per_l":5.64,"ph":2.4,"bottles":398}`)
	assert.Equal(t, "meets", now.Made.Verdict, now.Made.Says)
	assert.Empty(t, now.Made.Missing)

	// What was not planned is judged too, as the command does.
	assert.Equal(t, "meets", fill(t, c, s, name, `,"weighed":{"lemon-juice":1},"try":true`).Made.Verdict)
	assert.Equal(t, "misses", fill(t, c, s, name, `,"weighed":{"honey":500},"try":true`).Made.Verdict)

	// A pH over 4.6 is never let pass, before it is written down and after.
	assert.Equal(t, "MUST NOT BE SOLD.", fill(t, c, s, name, `,"measured":{"ph":4.9},"try":true`).Made.Says)
	assert.Equal(t, "meets", fill(t, c, s, name, ``).Made.Verdict)

	// What was taken is booked as the command books it, once.
	assert.Contains(t, fill(t, c, s, name, `,"draw":true`).Booked, "2.009 kg of lemon-juice, lot LJ-2611, taken; 9.991 kg are left")
	assert.Contains(t, fill(t, c, s, name, `,"draw":true`).Booked, "holds these amounts already")
	lots, _ := os.ReadFile(filepath.Join(folder, "lots.toml"))
	assert.Equal(t, 1, strings.Count(string(lots), "[[draw]]"))
	assert.FileExists(t, filepath.Join(folder, "lots.toml.bak"))

	answer, err := c.Get("http://" + s.hosts[0] + "/api/papers")
	require.NoError(t, err)
	defer answer.Body.Close()
	var papers struct {
		Records []listedRecord
		Lots    []string
	}
	require.NoError(t, json.NewDecoder(answer.Body).Decode(&papers))
	assert.Equal(t, []string{"lots.toml"}, papers.Lots)
	require.Len(t, papers.Records, 1)
	assert.Equal(t, listedRecord{File: name, Batch: strings.TrimSuffix(name, ".toml"), Brief: "My first bitter lemon", BriefFile: "brief.toml", PlannedOn: "2026-11-27", MadeOn: "2026-11-27", Open: 0, Of: 11}, papers.Records[0])
}

func TestRecordRefuses(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	name := plannedBatch(t, c, s)
	for what, q := range map[string]struct {
		more string
		code int
		says string
	}{
		"an amount below zero":      {`,"weighed":{"sugar":-1}`, 400, "-1 g is below zero"},
		"a stranger weighed":        {`,"weighed":{"suger":1}`, 422, `did you mean \"sugar\"`},
		"a stranger measured":       {`,"measured":{"p":1}`, 400, "there is no measurement"},
		"a lot of what has one":     {`,"goods":{"lemon-juice/LJ-2611":"X"}`, 400, "no line of the record"},
		"no day":                    {`,"made_on":"yesterday"`, 400, "Made on: "},
		"a day to come":             {`,"made_on":"2026-12-24"`, 422, "2026-12-24"},
		"control characters":        {`,"goods":{"sugar":"S\u0007"}`, 400, "is no lot of it"},
		"a field that is not known": {`,"grams":1`, 400, "grams"},
	} {
		before, _ := os.ReadFile(filepath.Join(folder, name))
		code, body := ask(t, c, s, "/api/record", `{"file":"brief.toml","record":"`+name+`"`+q.more+`}`)
		assert.Equal(t, q.code, code, "%s: %.300s", what, body)
		assert.True(t, strings.Contains(body, q.says), "%s: no %s in %.300s", what, q.says, body)
		after, _ := os.ReadFile(filepath.Join(folder, name))
		assert.Equal(t, string(before), string(after), what)
	}
	code, body := ask(t, c, s, "/api/record", `{"file":"brief.toml","record":"../lots.toml"}`)
	assert.Equal(t, 404, code, body)

	// A shelf outside of the folder is left alone.
	brief := filepath.Join(folder, "brief.toml")
	text, err := os.ReadFile(brief)
	require.NoError(t, err)
	lots, err := os.ReadFile(filepath.Join(folder, "lots.toml"))
	require.NoError(t, err)
	outside := filepath.Join(filepath.Dir(folder), "lots.toml")
	require.NoError(t, os.WriteFile(outside, lots, 0o644))
	require.NoError(t, os.WriteFile(brief, []byte(strings.Replace(string(text), `lots = "lots.toml"`, `lots = "../lots.toml"`, 1)), 0o644))
	code, body = ask(t, c, s, "/api/record", `{"file":"brief.toml","record":"`+name+`","weighed":{"lemon-juice/LJ-2611":2009},"draw":true}`)
	assert.Equal(t, 403, code, body)
	now, _ := os.ReadFile(outside)
	assert.Equal(t, string(lots), string(now))
}
