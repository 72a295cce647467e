package kettle_test

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rounds is how many random batches are planned: a few hundred, or as many as the environment asks for.
// The whole run is
//
//	BITTERSUM_ROUNDS=100000 go test ./internal/kettle -run TestRandomBatchesBreakNoCap -timeout 0
//
// and BITTERSUM_SEED=N begins at another seed, so that it can be done in parts.
func rounds(t *testing.T) int {
	n, err := strconv.Atoi(os.Getenv("BITTERSUM_ROUNDS"))
	if os.Getenv("BITTERSUM_ROUNDS") == "" {
		return 80
	}
	require.NoError(t, err)
	return n
}

var today = time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)

// randomBrief varies a demo: markets, assurance, ranges, a dose of quinine up to beyond the cap, lots with
// certificates of their own, scales.
func randomBrief(r *rand.Rand, lib *profile.Library) fstest.MapFS {
	names := []string{"bitter-orange", "bitter-lemon", "gentian-cordial"}
	data, _ := profiles.FS.ReadFile("demo/" + names[r.IntN(len(names))] + ".toml")
	text := string(data)
	number := func(pattern string, low, high float64) {
		text = regexp.MustCompile(pattern+` = [0-9.]+`).ReplaceAllStringFunc(text, func(line string) string {
			key, value, _ := strings.Cut(line, " = ")
			x, _ := strconv.ParseFloat(value, 64)
			return fmt.Sprintf("%s = %.4g", key, x*(low+(high-low)*r.Float64()))
		})
	}
	number(`(?m)^min`, 0.85, 1)
	number(`(?m)^max`, 1, 1.3)
	text = strings.Replace(text, "min_g_per_l = 0.02", fmt.Sprintf("min_g_per_l = %.4g", 0.02+0.085*r.Float64()), 1)
	if strings.Contains(text, "quassia-wood") {
		text = regexp.MustCompile(`\[limits\.quassia-wood\]\nmax_g_per_l = [0-9.]+\n`).ReplaceAllString(text, "")
		text += fmt.Sprintf("\n[limits.quassia-wood]\nmin_g_per_l = %.4g\n", 0.2+0.15*r.Float64())
	}
	text = fmt.Sprintf("assurance = %.3g\nlots = \"lots.toml\"\n", 0.5+0.499*r.Float64()) + text
	division := math.Pow(10, float64(r.IntN(3)-2))
	text += fmt.Sprintf("\n[[scale]]\nto_g = %v\ndivision_g = %v\n[[scale]]\nto_g = %v\ndivision_g = %v\n[[scale]]\ndivision_g = %v\n",
		20000*division, division, 6e5*division, []float64{50, 100, 200}[r.IntN(3)]*division, []float64{1000, 2000, 5000}[r.IntN(3)]*division)
	use := regexp.MustCompile(`"([a-z-]+)"`).FindAllStringSubmatch(text[strings.Index(text, "use = "):strings.Index(text, "[targets")], -1)
	var lots strings.Builder
	for _, m := range use {
		g := lib.Ingredients[m[1]]
		for n := range r.IntN(4) {
			if g.Kind == "water" {
				break
			}
			fmt.Fprintf(&lots, "[[lot]]\nnumber = \"%s-%d\"\ningredient = %q\nquantity_kg = %.4g\nprice_per_kg = %.4g\nbest_before = 2026-%02d-%02d\n", m[1], n, m[1],
				math.Pow(10, 4*r.Float64()-2), g.PricePerKg*(0.7+0.6*r.Float64()), 10+r.IntN(3), 1+r.IntN(28))
			for _, substance := range []string{"quinine", "cinchona-alkaloids", "quassin", "estragole"} {
				if c, known := g.Content(substance); known && c.PerGram > 0 && r.IntN(2) == 0 {
					fmt.Fprintf(&lots, "[lot.contents.%s]\nper_g = %.6g\nsd = %.4g\n", substance, c.PerGram*(0.6+0.8*r.Float64()), c.PerGram*0.1*r.Float64())
				}
			}
		}
	}
	return fstest.MapFS{"brief.toml": {Data: []byte(text)}, "lots.toml": {Data: []byte(lots.String())}}
}

func decimal(x float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(x, 'g', -1, 64))
	return r
}

// Of batches of all sizes, on all scales, from all sorts of lots, none breaks a cap, misses a target, opens
// a lot before the one that expires sooner is used up, overdraws a lot, or uses one past its date. Caps are
// summed again here, in rational arithmetic, from the amounts of the lines and the lots' own figures.
func TestRandomBatchesBreakNoCap(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	want, planned, tried, tight := rounds(t), 0, 0, 0
	worst, gaps := 0.0, 0.0
	first, err := strconv.ParseUint(cmp.Or(os.Getenv("BITTERSUM_SEED"), "1"), 10, 64)
	require.NoError(t, err)
	for seed := first; planned < want; seed++ {
		tried++
		require.Less(t, tried, 20*want+200, "too few of the random briefs can be made")
		r := rand.New(rand.NewPCG(seed, 7))
		litres := math.Round(math.Pow(10, 1+2.5*r.Float64()))
		fsys := randomBrief(r, lib)
		job, err := brief.OpenFS(fsys, "brief.toml", "", lib, brief.Litres(litres), brief.OnDay(today))
		if tomlfile.IsFault(err) {
			continue // the dose is out of reach at these limits
		}
		require.NoError(t, err)
		p, err := kettle.New(context.Background(), job, kettle.Options{Litres: litres, Cheapest: r.IntN(3) == 0, Nodes: 15, Allowance: float64(r.IntN(3)) / 2})
		if errors.Is(err, study.ErrUnproved) {
			t.Fatalf("seed %d: %v", seed, err)
		}
		require.NoError(t, err, "seed %d", seed)
		if p.Assessment == nil {
			continue // it cannot be met, or not on these scales
		}
		planned++
		for _, c := range p.Assessment.Caps {
			if c.Guarded > 0 && c.HeadRoom < 0.05 {
				tight++
				break
			}
		}
		checkCaps(t, seed, p)
		checkLots(t, seed, p)
		require.GreaterOrEqual(t, p.Yield.Litres, litres*(1-1e-6), "seed %d", seed)
		require.GreaterOrEqual(t, p.Cost.Total, p.Cost.Least*(1-1e-9), "seed %d", seed)
		if planned%2000 == 0 {
			t.Logf("%d batches, up to seed %d", planned, seed)
		}
		worst, gaps = math.Max(worst, p.Cost.Gap()), gaps+p.Cost.Gap()
	}
	assert.Greater(t, tight, planned/50, "caps come near")
	t.Logf("%d batches of %d briefs, %d within 5 %% of a cap; gap at most %.3g, on average %.3g", planned, tried, tight, worst, gaps/float64(planned))
}

func checkCaps(t *testing.T, seed uint64, p *kettle.Plan) {
	for _, c := range p.Job.Caps {
		if c.Per != profile.PerKilogram {
			continue
		}
		sum, mass := new(big.Rat), new(big.Rat)
		for _, l := range p.Lines {
			amount := decimal(l.Grams)
			// On the scale's division, to the last decimal.
			steps := new(big.Rat).Quo(amount, decimal(l.DivisionG))
			require.True(t, steps.IsInt(), "seed %d: %v g of %s on a division of %v g", seed, l.Grams, l.Source.Name, l.DivisionG)
			mass.Add(mass, new(big.Rat).Mul(amount, decimal(l.Source.Ingredient.SolubleShare)))
			content, known := l.Source.Ingredient.Content(c.Substance)
			if lot := l.Source.Lot; lot != nil {
				if own, ok := lot.Contents[c.Substance]; ok {
					recovery := content.CapRecovery
					if !known || content.PerGram == 0 {
						recovery = 1
					}
					content = own
					content.CapRecovery = recovery
				}
			}
			upper := new(big.Rat).Mul(decimal(brief.Deviates(p.Job.Assurance)), decimal(content.SD))
			upper.Add(upper, decimal(content.PerGram)).Mul(upper, decimal(content.CapRecovery))
			sum.Add(sum, upper.Mul(upper, amount))
		}
		limit := new(big.Rat).Mul(decimal(c.Max), mass.Quo(mass, big.NewRat(1000, 1)))
		require.LessOrEqual(t, sum.Cmp(limit), 0, "seed %d: %s in %s", seed, c.Substance, c.Market.Name)
	}
}

func checkLots(t *testing.T, seed uint64, p *kettle.Plan) {
	grams := map[*brief.Source]float64{}
	division := map[*brief.Source]float64{}
	for _, l := range p.Lines {
		grams[l.Source] = l.Grams
		division[l.Source] = l.DivisionG
		if lot := l.Source.Lot; lot != nil {
			require.False(t, lot.Expired(today), "seed %d: lot %s is past its date", seed, lot.Number)
			require.LessOrEqual(t, l.TakeG/1000, lot.LeftKg()+1e-9, "seed %d: lot %s", seed, lot.Number)
		}
	}
	if p.Options.Cheapest {
		return
	}
	for _, queue := range p.Answer.Formulation.Queues() {
		for n, j := range queue[:len(queue)-1] {
			s := p.Job.Sources[j]
			for _, later := range queue[n+1:] {
				if grams[p.Job.Sources[later]] == 0 {
					continue
				}
				usable := s.Lot.LeftKg() * 1000 * (1 - s.Ingredient.TrimmingLoss)
				step := division[s]
				if step == 0 {
					step = 5000 // a lot smaller than a division cannot be weighed at all
				}
				require.Less(t, usable-grams[s], step*(1+1e-9), "seed %d: %s is not used up before %s", seed, s.Name, p.Job.Sources[later].Name)
			}
		}
	}
}
