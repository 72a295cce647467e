package study_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/require"
)

// largeBrief is a bitter soda that may use as many of the library's ingredients as have all the figures it
// needs, sixty at most.
func largeBrief(b *testing.B) *brief.Job {
	b.Helper()
	lib, err := profile.Embedded()
	require.NoError(b, err)
	path := filepath.Join(b.TempDir(), "large.toml")
	open := func(use []string) (*brief.Job, error) {
		text := fmt.Sprintf(`name = "large"
markets = ["us"]
carbonated = true
use = ["%s"]
[targets.bitterness]
min = 40
max = 60
[targets.acidity]
min = 4.5
max = 6
[targets.sugars]
min = 70
max = 95
[targets.tannin]
max = 150
[targets.aroma-citrus]
min = 8
[targets.colour-amber]
max = 400
[ratios.sugar-acid]
of = "sugars"
over = "acidity"
min = 12
max = 18
`, strings.Join(use, `", "`))
		require.NoError(b, os.WriteFile(path, []byte(text), 0o600))
		return brief.Open(path, lib)
	}
	use := []string{"water", "sugar", "citric-acid", "lemon-peel", "gentian-root", "quinine-hydrochloride"}
	for _, name := range lib.IngredientNames() {
		if len(use) == 60 || strings.Contains(strings.Join(use, " ")+" ", name+" ") {
			continue
		}
		if _, err := open(append(use, name)); err == nil {
			use = append(use, name)
		}
	}
	job, err := open(use)
	require.NoError(b, err)
	if path := os.Getenv("BITTERSUM_LARGE_BRIEF"); path != "" { // for timing the whole process
		data, err := os.ReadFile(job.File)
		require.NoError(b, err)
		require.NoError(b, os.WriteFile(path, data, 0o600))
	}
	b.ReportMetric(float64(len(job.Sources)), "ingredients")
	return job
}

func BenchmarkReach(b *testing.B) {
	for name, job := range map[string]*brief.Job{"demo": demoJob(b, "bitter-orange"), "large": largeBrief(b)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				r, err := study.Reach(context.Background(), job, "bitterness", true, true)
				require.NoError(b, err)
				b.ReportMetric(float64(len(r.Stretches)), "stretches")
			}
		})
	}
}

func BenchmarkReprice(b *testing.B) {
	for name, job := range map[string]*brief.Job{"demo": demoJob(b, "bitter-orange"), "large": largeBrief(b)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				r, err := study.Reprice(context.Background(), job, []study.PriceMove{{Name: "gentian-root", From: 5, To: 200}}, nil)
				require.NoError(b, err)
				b.ReportMetric(float64(len(r.Pieces)), "pieces")
			}
		})
	}
}

// BenchmarkSampling is the other way to see a curve: 200 points, each solved by clp from an MPS file. The
// points are those of the target's present program with another limit, so each is one run of clp.
func BenchmarkSampling(b *testing.B) {
	clp, err := exec.LookPath("clp")
	if err != nil {
		b.Skip("clp is not installed (Debian: coinor-clp)")
	}
	for name, job := range map[string]*brief.Job{"demo": demoJob(b, "bitter-orange"), "large": largeBrief(b)} {
		b.Run(name, func(b *testing.B) {
			a, err := study.Cheapest(context.Background(), job)
			require.NoError(b, err)
			var text bytes.Buffer
			require.NoError(b, mps.Write(&text, a.Formulation.Problem))
			path := filepath.Join(b.TempDir(), "p.mps")
			require.NoError(b, os.WriteFile(path, text.Bytes(), 0o600))
			for b.Loop() {
				for range 200 {
					require.NoError(b, exec.Command(clp, path, "-solve").Run())
				}
			}
		})
	}
}
