package page

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// registering returns a start folder whose brief names a register.
func registering(t *testing.T, file string) string {
	t.Helper()
	folder := startFolder(t)
	brief := filepath.Join(folder, "brief.toml")
	text, err := os.ReadFile(brief)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(brief, append([]byte("register = \""+file+"\"\n"), text...), 0o644))
	return folder
}

// wholeBatch is all that is written down of a batch of 100 L, with a pH.
func wholeBatch(ph string) string {
	return `,"weighed":{"water":94200,"sugar":7580,"citric-acid":466,"lemon-juice/LJ-2611":2009,"gentian-root":35.36},"made_on":"2026-11-27","by":"Ines","measured":{"marc_kg":0.104,"litres":100.2,"brix":7.8,"acidity_g_per_l":5.64,"bottles":398,"ph":` + ph + `}`
}

func TestRegisterDecidesAsTheCommands(t *testing.T) {
	s, c := onDay(t, registering(t, "register.txt"))
	name := plannedBatch(t, c, s)
	batch := strings.TrimSuffix(name, ".toml")
	decide := func(more string) (int, string) {
		return ask(t, c, s, "/api/register", `{"file":"brief.toml","batch":"`+batch+`"`+more+`}`)
	}
	expect := func(what string, code int, says, more string) {
		t.Helper()
		got, body := decide(more)
		assert.Equal(t, code, got, "%s: %.300s", what, body)
		assert.True(t, strings.Contains(body, says), "%s: no %s in %.300s", what, says, body)
	}
	expect("as it stands", 200, `"state":"planned"`, ``)
	expect("released before it is made", 409, "planned and not made yet", `,"what":"released","by":"Jonas"`)

	// A pH over 4.6 is never released, whatever the reason; entered right it is.
	fill(t, c, s, name, wholeBatch("4.9")+`,"draw":true`)
	expect("not to be sold", 409, "must not be sold: pH 4.9 is above 4.6", `,"what":"released","by":"Jonas","reason":"it will do"`)
	fill(t, c, s, name, `,"measured":{"ph":2.4},"draw":true`)
	expect("sold before release", 409, "nothing of it may be sold", `,"what":"sold","to":"Lock Inn","bottles":48`)
	expect("released by nobody", 400, "somebody has to answer for it", `,"what":"released"`)
	expect("released", 200, "is released by Jonas on 2026-11-27", `,"what":"released","by":"Jonas"`)
	expect("sold", 200, `"sold":48`, `,"what":"sold","to":"Lock Inn","bottles":48`)
	expect("more than there are", 422, "has 398 bottles in all", `,"what":"sold","to":"Lock Inn","bottles":400`)
	expect("on a day to come", 400, "has not come yet", `,"what":"sold","to":"Lock Inn","bottles":1,"on":"2026-12-24"`)
	expect("withheld without a reason", 400, "Withheld by and Why", `,"what":"withheld","by":"Jonas"`)
	expect("withheld", 200, "withheld by Jonas", `,"what":"withheld","by":"Jonas","reason":"a cloudy bottle"`)
	expect("another decision", 400, "there is no decision", `,"what":"drunk"`)
	batch = "x"
	expect("another batch", 422, "there is no batch", `,"what":"released","by":"Jonas"`)
}

func TestRegisterStaysInTheFolder(t *testing.T) {
	folder := registering(t, "../register.txt")
	s, c := onDay(t, folder)
	code, body := ask(t, c, s, "/api/register", `{"file":"brief.toml","batch":"x","what":"released","by":"Jonas"}`)
	assert.Equal(t, 403, code, body)
	assert.NoFileExists(t, filepath.Join(filepath.Dir(folder), "register.txt"))
	code, body = ask(t, c, s, "/api/register", `{"file":"demo:bitter-lemon"}`)
	assert.Equal(t, 404, code, body)
	assert.Contains(t, body, "names no register")
}
