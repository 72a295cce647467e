package brief_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// FuzzOpen reads any text as a brief: it is a job, or faults of one line each, never a panic.
func FuzzOpen(f *testing.F) {
	f.Add(small)
	f.Add(drink)
	f.Add("name = \"x\"\nmarkets = [\"us\"]\nuse = [\"water\"]\n[ratios.r]\nof = \"sugars\"\nover = \"acidity\"\nmin = 2\n")
	lib, err := profile.Embedded()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		fsys := fstest.MapFS{"brief.toml": {Data: []byte(text)}}
		job, err := brief.OpenFS(fsys, "brief.toml", "", lib)
		if err == nil {
			if len(job.Sources) == 0 {
				t.Fatal("a job without sources")
			}
			return
		}
		if tomlfile.IsFault(err) {
			for _, line := range strings.Split(err.Error(), "\n") {
				if strings.TrimSpace(line) == "" {
					t.Fatalf("an empty line in %q", err)
				}
			}
		}
	})
}
