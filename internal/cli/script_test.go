package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	clock = func() time.Time { return time.Date(2026, 11, 27, 12, 0, 0, 0, time.Local) }
	testscript.Main(m, map[string]func(){
		"bittersum": func() { os.Exit(Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs the real program on the scripts of testdata/script, a behaviour each.
func TestScripts(t *testing.T) {
	blends, err := filepath.Abs(filepath.Join("..", "..", "testdata", "blends"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		RequireExplicitExec: true,
		UpdateScripts:       *update,
		Setup: func(env *testscript.Env) error {
			env.Setenv("BLENDS", blends)
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			// sed s/OLD/NEW/ FROM TO: writes a file with a text replaced.
			"sed": func(ts *testscript.TestScript, _ bool, args []string) {
				parts := strings.Split(args[0], "/")
				text := strings.ReplaceAll(ts.ReadFile(args[1]), parts[1], parts[2])
				ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(text), 0o600))
			},
			// code N CMD...: runs the program and asks for its exit code.
			"code": func(ts *testscript.TestScript, _ bool, args []string) {
				err := ts.Exec(args[1], args[2:]...)
				got := "0"
				if err != nil {
					got = err.Error()
					got = got[len("exit status "):]
				}
				if got != args[0] {
					ts.Fatalf("exit code %s, want %s", got, args[0])
				}
			},
		},
	})
}
