// Mutate changes one thing at a time in Go files and asks the tests whether they notice.
//
//	go run ./internal/mutate [-tests PKG,PKG] [-sample N] [-from LINE -to LINE] FILE.go...
//
// Each comparison, sign, logical operator, number and guarded statement is altered in turn, the file on disk
// left alone, and the tests of the file's own package are run, then those named by -tests. A change that no
// test notices survives: it is printed, and the exit code is 1. Survivors are to be killed with a test, or
// argued to make no difference.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"go/token"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

func main() {
	tests := flag.String("tests", "", "further packages whose tests may notice, separated by commas")
	sample := flag.Int("sample", 0, "try so many changes of each file, drawn at random; 0 tries all")
	from := flag.Int("from", 0, "first line to change")
	to := flag.Int("to", 1<<30, "last line to change")
	flag.Parse()
	survived, tried := 0, 0
	for _, file := range flag.Args() {
		source, err := os.ReadFile(file)
		if err != nil {
			fail(err)
		}
		changes, err := changesOf(file, source)
		if err != nil {
			fail(err)
		}
		changes = within(changes, *from, *to)
		if *sample > 0 && len(changes) > *sample {
			r := rand.New(rand.NewPCG(1, uint64(len(source))))
			r.Shuffle(len(changes), func(i, j int) { changes[i], changes[j] = changes[j], changes[i] })
			changes = changes[:*sample]
		}
		packages := []string{"./" + filepath.ToSlash(filepath.Dir(file))}
		if *tests != "" {
			packages = append(packages, strings.Split(*tests, ",")...)
		}
		for _, c := range changes {
			switch noticed, err := noticed(file, c.applied(source), packages); {
			case err != nil:
				fail(err)
			case noticed == unbuilt:
			case noticed == unseen:
				survived++
				fmt.Printf("SURVIVED %s:%d: %s\n", file, c.line, c.what)
				fallthrough
			default:
				tried++
			}
		}
	}
	fmt.Printf("%d of %d changes survived\n", survived, tried)
	if survived > 0 {
		os.Exit(1)
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "mutate:", err)
	os.Exit(2)
}

func within(changes []change, from, to int) []change {
	var kept []change
	for _, c := range changes {
		if c.line >= from && c.line <= to {
			kept = append(kept, c)
		}
	}
	return kept
}

// verdict is what the tests say of a change.
type verdict int

const (
	seen    verdict = iota // a test fails
	unseen                 // no test fails
	unbuilt                // it does not compile
)

// noticed runs the tests with other text in place of a file.
func noticed(file string, text []byte, packages []string) (verdict, error) {
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return seen, err
	}
	defer os.RemoveAll(dir)
	whole, err := filepath.Abs(file)
	if err != nil {
		return seen, err
	}
	other := filepath.Join(dir, "changed.go")
	if err := os.WriteFile(other, text, 0o600); err != nil {
		return seen, err
	}
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {whole: other}})
	if err != nil {
		return seen, err
	}
	list := filepath.Join(dir, "overlay.json")
	if err := os.WriteFile(list, overlay, 0o600); err != nil {
		return seen, err
	}
	if exec.Command("go", "build", "-overlay", list, packages[0]).Run() != nil {
		return unbuilt, nil
	}
	for _, p := range packages { // the nearest first: most changes are noticed there
		if exec.Command("go", "test", "-overlay", list, "-vet=off", "-failfast", "-timeout=5m", p).Run() != nil {
			return seen, nil
		}
	}
	return unseen, nil
}

// swapped gives the operator that a change puts in place of another.
var swapped = map[token.Token]token.Token{
	token.LSS: token.LEQ, token.LEQ: token.LSS, token.GTR: token.GEQ, token.GEQ: token.GTR,
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LAND: token.LOR, token.LOR: token.LAND,
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL,
	token.ADD_ASSIGN: token.SUB_ASSIGN, token.SUB_ASSIGN: token.ADD_ASSIGN,
}
