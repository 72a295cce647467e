package cli

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A flag's value that cannot be read is refused in one plain line, whatever the flag's type.
func TestFlagsOfTheWrongForm(t *testing.T) {
	for args, want := range map[string]string{
		"guard demo:bitter-orange --risk abc":              "--risk abc: a number is needed, such as 12 or 0.5",
		"guard demo:bitter-orange --risk 0,01":             "--risk 0,01: a number is needed, such as 12 or 0.5",
		"stress demo:bitter-orange --assume=":              `--assume "": a number is needed, such as 12 or 0.5`,
		"stress demo:bitter-orange --assume 1e999":         "--assume 1e999: is too large",
		"stress demo:bitter-orange --seed -1":              "--seed -1: a whole number that is not below zero is needed",
		"stress demo:bitter-orange --seed 1" + zeros(20):   "--seed 1" + zeros(20) + ": is too large",
		"stress demo:bitter-orange --draws 1e5":            "--draws 1e5: a whole number is needed, such as 12",
		"stress demo:bitter-orange --draws -1" + zeros(20): "--draws -1" + zeros(20) + ": is too far below zero",
		"blend demo:bitter-orange --json=maybe":            "--json maybe: it takes true or false, or stands by itself",
		"lp x.mps --time 5":                                "--time 5: a time is needed, such as 30s or 2m",
	} {
		t.Run(args, func(t *testing.T) {
			var stdout, stderr strings.Builder
			assert.Equal(t, codeUsage, Main(strings.Fields(args), strings.NewReader(""), &stdout, &stderr))
			assert.Empty(t, stdout.String())
			assert.Equal(t, "bittersum: "+want+"\nbittersum: see bittersum help\n", stderr.String())
		})
	}
	assert.Equal(t, `"a b"`, shown("a b"))
	assert.Equal(t, `"a\nb"`, shown("a\nb"))
	assert.Equal(t, `"`+zeros(41)+`"`, shown(zeros(41)))
}

func zeros(n int) string { return strings.Repeat("0", n) }
