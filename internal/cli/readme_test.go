package cli

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the output in README.md and the golden files")

// TestReadme runs every command that the README shows after "$ bittersum" in a console block and
// compares what it prints with what the README says. A line "..." in the README stands for any lines.
func TestReadme(t *testing.T) {
	path, err := filepath.Abs(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	examples, err := filepath.Abs(filepath.Join("..", "..", "testdata", "readme"))
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.NoError(t, os.CopyFS(".", os.DirFS(examples)))
	lines := strings.Split(string(data), "\n")
	var out []string
	commands := 0
	for n := 0; n < len(lines); n++ {
		out = append(out, lines[n])
		if lines[n] != "```console" {
			continue
		}
		for n++; n < len(lines) && lines[n] != "```"; {
			command, ok := strings.CutPrefix(lines[n], "$ ")
			require.True(t, ok, "README.md:%d: a console block starts with a command", n+1)
			out = append(out, lines[n])
			start := n
			var want []string
			for n++; n < len(lines) && lines[n] != "```" && !strings.HasPrefix(lines[n], "$ "); n++ {
				want = append(want, lines[n])
			}
			args := strings.Fields(command)
			if args[0] != "bittersum" {
				out = append(out, want...)
				continue // commands of the shell are run by .ci/run
			}
			commands++
			var stdout, stderr bytes.Buffer
			Main(args[1:], strings.NewReader(""), &stdout, &stderr)
			got := strings.Split(strings.TrimRight(stdout.String()+stderr.String(), "\n"), "\n")
			if !*update {
				assert.True(t, matches(want, got), "README.md:%d: %s\nsays:\n%s\nprints:\n%s", start+1, command, strings.Join(want, "\n"), strings.Join(got, "\n"))
			}
			lines, ok := shortened(want, got)
			require.True(t, ok, "README.md:%d: %s: what it shows between two ... is gone; mend it by hand", start+1, command)
			out = append(out, lines...)
		}
		out = append(out, "```")
	}
	require.Greater(t, commands, 5, "the README shows commands with their output")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(strings.Join(out, "\n")), 0o644))
	}
}

// matches compares line by line; "..." in want stands for any number of lines.
func matches(want, got []string) bool {
	for n, line := range want {
		if line == "..." {
			for rest := 0; rest <= len(got)-n; rest++ {
				if matches(want[n+1:], got[n+rest:]) {
					return true
				}
			}
			return false
		}
		if n >= len(got) || got[n] != line {
			return false
		}
	}
	return len(want) == len(got)
}

// shortened rewrites what a README shows of an output: it keeps as many lines before the first "..." and
// after the last one as were shown. What stands between two "..." keeps its length and begins with the same
// line; ok is false when that line is gone, so that the README has to be mended by hand.
func shortened(want, got []string) (lines []string, ok bool) {
	if matches(want, got) {
		return want, true
	}
	first := slices.Index(want, "...")
	if first < 0 {
		return got, true
	}
	lines, at := slices.Clone(got[:min(first, len(got))]), min(first, len(got))
	rest := want[first+1:]
	for {
		end := slices.Index(rest, "...")
		if end < 0 {
			break
		}
		begin := -1
		if end > 0 {
			begin = slices.Index(got[at:], rest[0])
		}
		if begin < 0 || at+begin+end > len(got) {
			return nil, false
		}
		lines = append(append(lines, "..."), got[at+begin:at+begin+end]...)
		at, rest = at+begin+end, rest[end+1:]
	}
	if at+len(rest) > len(got) {
		return nil, false
	}
	return append(append(lines, "..."), got[len(got)-len(rest):]...), true
}
