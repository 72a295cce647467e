package page

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAsSureAsWanted(t *testing.T) {
	s, c := onDay(t, startFolder(t))
	with := func(more string) string { return `{"file":"demo:bitter-orange","wants":"recipe"` + more + `}` }
	for name, q := range map[string]struct {
		body string
		code int
		says string
	}{
		"a recipe":             {with(`,"risk":0.001`), 200, `"status":"sure"`},
		"any shape":            {with(`,"risk":0.01,"method":"any-shape"`), 200, `"method":"any-shape"`},
		"few bad":              {with(`,"risk":0.01,"method":"few-bad","bad":1`), 200, `"lots_at_once":1`},
		"targets too, alone":   {with(`,"risk":0.05,"targets_too":true,"counting":"each"`), 200, `"targets_too":true`},
		"surer than can be":    {with(`,"risk":0.00001,"targets_too":true`), 200, `No recipe within the brief`},
		"what cannot be met":   {with(`,"risk":0.01,"targets":{"bitterness":{"min":9000,"max":null}}`), 200, `"conflict"`},
		"no risk":              {with(``), 400, "may fail is empty"},
		"a certain risk":       {with(`,"risk":1`), 400, "above 0 and below 1"},
		"a risk beyond tails":  {with(`,"risk":1e-9`), 400, "nobody knows the tails"},
		"bad lots elsewhere":   {with(`,"risk":0.01,"bad":2`), 400, "lots that are few"},
		"a method of no name":  {with(`,"risk":0.01,"method":"normal"`), 400, "is none of"},
		"a curve":              {`{"file":"demo:bitter-orange","wants":"curve"}`, 200, `"knee":true`},
		"the next measurement": {`{"file":"demo:bitter-orange","wants":"next","risk":0.01}`, 200, `"bittersum/next/1"`},
		"nothing":              {`{"file":"demo:bitter-orange","risk":0.01}`, 400, "is not recipe, curve or next"},
	} {
		code, body := ask(t, c, s, "/api/sure", q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.Contains(t, body, q.says, name)
	}
}

// A drink with what was asked anew is guarded as it is asked for now, and costs what the cheapest one does or more.
func TestSurerOnThePage(t *testing.T) {
	s, _ := onDay(t, startFolder(t))
	ctx := browser(t)
	var said string
	require.NoError(t, chromedp.Run(ctx, chromedp.Navigate(s.Address()), click(`//a[text()="Bitter-orange aperitif soda"]`), click("#surer"), click("#whatif-ask"), textOf("#sure-answer", &said), settled()))
	assert.Regexp(t, `^It costs 0\.0\d+ EUR a litre more; on fresh draws at most 1 in 1\d\d\d of batches fail\.$`, said)
	photograph(t, ctx, "surer")
	require.NoError(t, chromedp.Run(ctx, setValue("#sure-wants", "curve"), click("#whatif-ask"), visible(`//td[text()="from here on it costs more"]`), settled()))
	photograph(t, ctx, "assurance")
	var faults string
	require.NoError(t, chromedp.Run(ctx, setValue("#sure-wants", "recipe"), setValue("#sure-one-in", "1"), click("#whatif-ask"), textOf(`[role="alert"]`, &faults)))
	assert.Contains(t, faults, "a number above 1")
}
