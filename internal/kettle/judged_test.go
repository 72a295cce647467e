package kettle_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const tonic = `
name = "Canal tonic"
markets = ["eu"]
bottle_ml = 200
lots = "lots.toml"
use = ["water", "sugar", "citric-acid", "quinine-hydrochloride", "gentian-root"]
[targets.sugars]
min = 78
max = 88
[targets.acidity]
min = 4.5
max = 5.5
[targets.brix]
max = 9.2
[targets.quinine]
min = 12
[targets.bitterness]
min = 50
[limits.gentian-root]
min_g_per_l = 0.4
[[scale]]
division_g = 0.1
`

const tonicLots = `
[[lot]]
number = "S-1"
ingredient = "sugar"
quantity_kg = 100
received = 2026-11-20
[[lot]]
number = "S-2"
ingredient = "sugar"
quantity_kg = 100
state = "held"
received = 2026-11-20
`

func day(text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return d
}

// made judges a record of a hundred litres of tonic, after a change.
func made(t *testing.T, change func(weighed, measured map[string]float64, r *kettle.Record)) (*kettle.Made, error) {
	t.Helper()
	return madeOf(t, tonic, change)
}

// madeOf does so of another brief.
func madeOf(t *testing.T, text string, change change) (*kettle.Made, error) {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	fsys := fstest.MapFS{"brief.toml": {Data: []byte(text)}, "lots.toml": {Data: []byte(tonicLots)}}
	job, err := brief.OpenFS(fsys, "brief.toml", "", lib, brief.WithEveryLot(), brief.Litres(1))
	require.NoError(t, err)
	weighed := map[string]float64{"water": 94600, "sugar/S-1": 8300, "citric-acid": 490, "quinine-hydrochloride": 1.6, "gentian-root": 50}
	measured := map[string]float64{"litres": 100, "brix": 8.35, "acidity_g_per_l": 5, "ph": 2.45, "marc_kg": 0.19, "bottles": 495, "quinine": 13.2, "sugars": 82, "bitterness": 60, "density_kg_per_l": 1.031}
	r := &kettle.Record{File: "r.toml", ID: "1", Batch: "T-1", Brief: "Canal tonic", BriefPrint: job.Fingerprint, PlannedL: 100, PlannedOn: day("2026-11-25"), MadeOn: day("2026-11-26")}
	change(weighed, measured, r)
	for _, name := range []string{"water", "sugar/S-1", "sugar/S-2", "citric-acid", "quinine-hydrochloride", "gentian-root", "caramel-colour"} {
		if g, ok := weighed[name]; ok {
			ingredient, lot, _ := strings.Cut(name, "/")
			r.Weighed = append(r.Weighed, kettle.Weighed{Ingredient: ingredient, Lot: lot, PlannedG: g, Grams: g, LotUsed: map[bool]string{true: "x"}[lot == ""]})
		}
	}
	for _, name := range []string{"litres", "brix", "acidity_g_per_l", "ph", "marc_kg", "bottles", "quinine", "sugars", "bitterness", "density_kg_per_l", "alcohol_percent"} {
		if v, ok := measured[name]; ok {
			r.Measured = append(r.Measured, kettle.Measured{Name: name, Planned: math.NaN(), Value: v})
		}
	}
	return kettle.JudgeOn(job, r, day("2026-11-27"))
}

type change = func(weighed, measured map[string]float64, r *kettle.Record)

func measuring(name string, value float64) change {
	return func(_, measured map[string]float64, _ *kettle.Record) { measured[name] = value }
}

func weighing(name string, value float64) change {
	return func(weighed, _ map[string]float64, _ *kettle.Record) { weighed[name] = value }
}

func words(m *kettle.Made) string {
	var all []string
	for _, f := range m.Findings {
		all = append(all, f.Text+" / "+f.Do)
	}
	return strings.Join(all, "\n")
}

func TestARecordJudgesEverything(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  change
		verdict kettle.Verdict
		says    []string
	}{
		{"as planned", func(_, _ map[string]float64, _ *kettle.Record) {}, kettle.Meets, nil},
		{"litres short", func(_, m map[string]float64, _ *kettle.Record) { m["litres"], m["bottles"] = 80, 395 }, kettle.Misses, []string{"litres was measured at 80, where 100 follows", "20.1 L are missing", "the caps hold", "80 L were found, of 100 L planned: 20 L too few"}},
		{"litres a little short", func(_, m map[string]float64, _ *kettle.Record) { m["litres"], m["bottles"] = 98.5, 488 }, kettle.WithinError, []string{"98.5 L were found, of 100 L planned"}},
		{"everything short, litres not measured", func(w, m map[string]float64, _ *kettle.Record) {
			for name := range w {
				w[name] *= 0.8
			}
			for _, name := range []string{"litres", "bottles", "marc_kg"} {
				delete(m, name)
			}
		}, kettle.Misses, []string{"80.1 L follow from what was weighed, of 100 L planned: 19.9 L too few"}},
		{"everything a trifle short, litres not measured", func(w, m map[string]float64, _ *kettle.Record) {
			for name := range w {
				w[name] *= 0.99
			}
			delete(m, "litres")
		}, kettle.Meets, nil},
		{"sugars", measuring("sugars", 10), kettle.Misses, []string{"sugars was measured at 10 g/L; the brief asks for at least 78: 68 g/L too little", "of sugar/S-1 would bring it up", "sugars was measured at 10, where 82."}},
		{"brix low", measuring("brix", 2), kettle.Misses, []string{"brix was measured at 2, where 8.4", "kg of sugar less went in than is written"}},
		{"brix high", measuring("brix", 9.6), kettle.Misses, []string{"brix was measured at 9.6 °Bx; the brief asks for at most 9.2: 0.4 °Bx too much", "either 1.3", "kg of water less"}},
		{"bitterness", measuring("bitterness", 600), kettle.NotToBeSold, []string{"bitterness was measured at 600, where", "quinine would be judged at"}},
		{"quinine too little", measuring("quinine", 5), kettle.Misses, []string{"quinine was measured at 5 mg/kg; the brief asks for at least 12: 7 mg/kg too little"}},
		{"quinine over the cap", measuring("quinine", 120), kettle.NotToBeSold, []string{"quinine was measured at 120, above the cap of 100"}},
		{"quinine near the cap", func(w, m map[string]float64, _ *kettle.Record) {
			w["quinine-hydrochloride"], m["quinine"] = 12.2, 97
			m["bitterness"] = 158
		}, kettle.WithinError, []string{"reaches over the cap of 100"}},
		{"marc", measuring("marc_kg", 50), kettle.Misses, []string{"marc_kg was measured at 50", "kg more is held back"}},
		{"bottles few", measuring("bottles", 300), kettle.Misses, []string{"300 bottles hold 60 L of 100 L: 40 L are unaccounted for"}},
		{"density", measuring("density_kg_per_l", 1.05), kettle.Misses, []string{"density_kg_per_l was measured at 1.05"}},
		{"alcohol", measuring("alcohol_percent", 3), kettle.Misses, []string{"alcohol_percent was measured at 3, where 0 follows"}},
		{"pH", measuring("ph", 3.4), kettle.Misses, []string{"ph was measured at 3.4, where 2.3"}},
		{"pH unsafe", measuring("ph", 4.7), kettle.NotToBeSold, []string{"pH 4.7 is above 4.6"}},
		{"pH not told from unsafe", measuring("ph", 4.58), kettle.NotToBeSold, []string{"or cannot be told from it"}},
		{"acidity measured outranks", func(w, _ map[string]float64, _ *kettle.Record) { w["citric-acid"] = 443 }, kettle.Misses, []string{"acidity_g_per_l was measured at 5, where 4.4"}},
		{"acid a trifle short, measured right", func(w, m map[string]float64, _ *kettle.Record) { w["citric-acid"], m["acidity_g_per_l"] = 448, 4.51 }, kettle.Meets, nil},
		{"acidity within the error", func(w, m map[string]float64, _ *kettle.Record) { w["citric-acid"], m["acidity_g_per_l"] = 446, 4.45 }, kettle.WithinError, []string{"at least 4.5: 0.05 off, and the error is 0.089"}},
		{"acidity beyond it", func(w, m map[string]float64, _ *kettle.Record) { w["citric-acid"], m["acidity_g_per_l"] = 430, 4.3 }, kettle.Misses, []string{"0.2 g/L too little", "g of citric-acid would bring it up"}},
		{"nothing measured of it, a division short", func(w, m map[string]float64, _ *kettle.Record) { w["gentian-root"] = 40; delete(m, "marc_kg") }, kettle.WithinError, []string{"use of gentian-root follows from what was weighed as 0.4 g/L"}},
		{"too weak by weight alone", func(w, m map[string]float64, _ *kettle.Record) {
			w["gentian-root"] = 30
			delete(m, "marc_kg")
			delete(m, "bitterness")
		}, kettle.Misses, []string{"use of gentian-root follows from what was weighed as 0.3"}},
		{"another brief", func(_, _ map[string]float64, r *kettle.Record) { r.Brief = "Mule" }, kettle.Misses, []string{`the record is of the brief "Mule", and this is "Canal tonic"`}},
		{"a brief that changed", func(_, _ map[string]float64, r *kettle.Record) { r.BriefPrint = "00" }, kettle.Meets, []string{"The brief changed since the batch was planned"}},
		{"a held lot", func(w, _ map[string]float64, _ *kettle.Record) { w["sugar/S-2"], w["sugar/S-1"] = 300, 8000 }, kettle.NotToBeSold, []string{"lot S-2 of sugar is held"}},
		{"what the brief does not use", weighing("caramel-colour", 5), kettle.Misses, []string{"caramel-colour is in it, which the brief does not use"}},
		{"too much quinine weighed", weighing("quinine-hydrochloride", 16), kettle.NotToBeSold, []string{"quinine is judged at"}},
		{"not all written down", func(w, m map[string]float64, _ *kettle.Record) { w["citric-acid"] = math.NaN(); m["ph"] = math.NaN() }, kettle.Misses, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, err := made(t, c.change)
			require.NoError(t, err)
			if c.name != "not all written down" {
				assert.Equal(t, c.verdict, m.Verdict(), words(m))
			}
			for _, says := range c.says {
				assert.Contains(t, words(m), says)
			}
			assert.Equal(t, c.verdict == kettle.Meets || c.verdict == kettle.WithinError, m.Sound())
		})
	}
}

// What went into a batch was there, whatever the brief says can be had for the next one; the least of it still counts.
func TestSupplyIsOfBatchesToCome(t *testing.T) {
	short := "batch_l = 100\n" + strings.Replace(tonic, "min_g_per_l = 0.4", "min_g_per_l = 0.4\nsupply_kg = 0.045", 1)
	m, err := madeOf(t, short, func(_, _ map[string]float64, _ *kettle.Record) {})
	require.NoError(t, err)
	assert.Equal(t, kettle.Meets, m.Verdict(), words(m))
	m, err = madeOf(t, short, func(w, m map[string]float64, _ *kettle.Record) {
		w["gentian-root"] = 30
		delete(m, "marc_kg")
		delete(m, "bitterness")
	})
	require.NoError(t, err)
	assert.Equal(t, kettle.Misses, m.Verdict())
	assert.Contains(t, words(m), "use of gentian-root follows from what was weighed as 0.3")
}

func TestWhatCannotBeIsRefused(t *testing.T) {
	for name, c := range map[string]struct {
		change change
		says   string
	}{
		"a day to come":      {func(_, _ map[string]float64, r *kettle.Record) { r.MadeOn = day("2099-01-01") }, "r.toml: made_on: 2099-01-01 has not come yet; today is 2026-11-27"},
		"before delivery":    {func(_, _ map[string]float64, r *kettle.Record) { r.MadeOn = day("2026-11-19") }, "r.toml: weighed: lot S-1 of sugar was received on 2026-11-20, after the batch was made on 2026-11-19"},
		"bottles":            {measuring("bottles", 900), "r.toml: measured.bottles: 900 bottles of 200 mL hold 180 L, more than the 101 L that were measured, with the error of that"},
		"bottles, no litres": {func(_, m map[string]float64, _ *kettle.Record) { delete(m, "litres"); m["bottles"] = 900 }, "that can come of what was weighed"},
		"half a bottle":      {measuring("bottles", 10.5), "r.toml: measured.bottles: 10.5 is no number of bottles"},
		"pH":                 {measuring("ph", 31), "r.toml: measured.ph: 31 cannot be; it must be from 0 to 14"},
		"below nothing":      {measuring("quinine", -1), "r.toml: measured.quinine: -1 cannot be; it must be 0 or more"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := made(t, c.change)
			assert.ErrorContains(t, err, c.says)
		})
	}
}

// An instrument's error can be given in the brief, and what is inside it is no contradiction.
func TestInstrumentsCanBeEdited(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	open := func(text string) (*brief.Job, error) {
		path := filepath.Join(t.TempDir(), "brief.toml")
		require.NoError(t, os.WriteFile(path, []byte(strings.Replace(tonic, `lots = "lots.toml"`, "", 1)+text), 0o600))
		return brief.Open(path, lib)
	}
	job, err := open("[instruments.brix]\nerror = 0.05\nerror_share = 0.01\n")
	require.NoError(t, err)
	assert.InDelta(t, 0.13, job.Instrument("brix").Off(8), 1e-12)
	assert.Equal(t, 0.05, job.Instrument("ph").Off(3))
	assert.InDelta(t, 0.5, job.Instrument("quinine").Off(10), 1e-12)
	_, err = open("[instruments.brx]\nerror = 0.05\n")
	assert.ErrorContains(t, err, fmt.Sprintf("there is no measurement %q (did you mean %q?)", "brx", "brix"))
	_, err = open("[instruments.brix]\n")
	assert.ErrorContains(t, err, "needs error, in the unit of the measurement, or error_share")
}

// What is missing is worked out from what was weighed: sugar water of 60 g/L at least needs the grams that
// a hand reckons, and what is over a cap cannot be mended by adding.
func TestACorrectionBringsTheBatchBack(t *testing.T) {
	m, err := made(t, func(w, _ map[string]float64, _ *kettle.Record) {
		w["citric-acid"], w["sugar/S-1"] = 400, 7000
	})
	require.NoError(t, err)
	require.NoError(t, m.Correct(t.Context()))
	require.NotNil(t, m.Correction)
	require.NotNil(t, m.Correction.After)
	assert.True(t, m.Correction.After.KeepsCaps())
	assert.Empty(t, m.Correction.After.Misses())
	more := map[string]float64{}
	for _, a := range m.Correction.Add {
		more[a.Source.Name] = a.Grams
		assert.Positive(t, a.Grams)
	}
	// 78 g/L of sugar and 4.5 g/L of acidity in the litres it then makes; sugar is all sugar, citric acid
	// nearly all acidity.
	litres := m.Correction.After.Recovered
	assert.InDelta(t, 78*litres-7000, more["sugar/S-1"], 10)
	assert.InDelta(t, 4.5*litres-400, more["citric-acid"], 3)
	assert.Zero(t, more["sugar/S-2"], "a held lot is not added")

	m, err = made(t, func(w, _ map[string]float64, _ *kettle.Record) { w["quinine-hydrochloride"] = 25 })
	require.NoError(t, err)
	require.NoError(t, m.Correct(t.Context()))
	require.NotNil(t, m.Correction)
	assert.Nil(t, m.Correction.After, "the cap would need twice the water")

	m, err = made(t, func(_, _ map[string]float64, _ *kettle.Record) {})
	require.NoError(t, err)
	require.NoError(t, m.Correct(t.Context()))
	assert.Nil(t, m.Correction)
}

// What is not weighed yet is in what to add.
func TestACorrectionFollowsTheWeighings(t *testing.T) {
	m, err := made(t, func(w, m map[string]float64, _ *kettle.Record) {
		w["water"], w["citric-acid"] = 97500, math.NaN()
		for name := range m {
			delete(m, name)
		}
	})
	require.NoError(t, err)
	require.NoError(t, m.Correct(t.Context()))
	assert.Equal(t, kettle.Misses, m.Verdict(), words(m))
	require.NotNil(t, m.Correction)
	require.NotNil(t, m.Correction.After)
	assert.Greater(t, m.Correction.After.Recovered, 102.0, "the water stays in")
	var names []string
	for _, a := range m.Correction.Add {
		names = append(names, a.Source.Name)
	}
	assert.Contains(t, names, "citric-acid")
}
