package cli

import (
	"bytes"
	"strings"
	"testing"
)

// BenchmarkBlendDemo is the whole command within the process, without the reading of the library.
func BenchmarkBlendDemo(b *testing.B) {
	for b.Loop() {
		var out, errs bytes.Buffer
		if code := Main([]string{"blend", "demo:bitter-orange"}, strings.NewReader(""), &out, &errs); code != 0 {
			b.Fatal(errs.String())
		}
	}
}
