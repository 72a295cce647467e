// Package cli holds the commands: each reads its flags, calls one function and writes one report.
package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"
	"bittersum/profiles"

	"github.com/spf13/cobra"
)

// Exit codes.
const (
	codeAnswered = 0 // there is an answer
	codeFailure  = 1 // something outside the maker's files failed
	codeUsage    = 2 // the command line is wrong
	codeInput    = 3 // a file is wrong
	codeUnmet    = 4 // the brief cannot be met
	codeUnproved = 5 // an answer is not proved; nothing that is not is shown
)

// exitError carries an exit code; its text, if any, goes to standard error.
type exitError struct {
	code int
	err  error
	// show says that what was written is to be shown although the code is a failure's: it claims
	// nothing that was not proved.
	show bool
}

func (e exitError) Error() string {
	if e.err == nil {
		return ""
	}
	return e.err.Error()
}

func (e exitError) Unwrap() error { return e.err }

func usage(format string, args ...any) error {
	return exitError{code: codeUsage, err: fmt.Errorf(format, args...)}
}

// Main runs the command line args (without the program's name) and returns the exit code. Standard
// output gets a whole answer or nothing.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	var out bytes.Buffer
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(&out)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	code := codeOf(err)
	var exit exitError
	if code == codeAnswered || code == codeUnmet || errors.As(err, &exit) && exit.show {
		if _, werr := stdout.Write(out.Bytes()); werr != nil {
			err, code = werr, codeFailure
		}
	}
	if err != nil && err.Error() != "" {
		for _, line := range strings.Split(err.Error(), "\n") {
			fmt.Fprintf(stderr, "bittersum: %s\n", line)
		}
	}
	if code == codeUsage {
		fmt.Fprintln(stderr, "bittersum: see bittersum help")
	}
	return code
}

func codeOf(err error) int {
	var exit exitError
	var refused works.Refused
	switch {
	case err == nil:
		return codeAnswered
	case errors.As(err, &refused):
		return map[works.Kind]int{works.Asked: codeUsage, works.Unmet: codeUnmet, works.Contradicts: codeInput}[refused.Kind]
	case errors.As(err, new(works.There)):
		return codeUsage
	case errors.As(err, &exit):
		return exit.code
	case tomlfile.IsFault(err):
		return codeInput
	case errors.Is(err, study.ErrUnproved):
		return codeUnproved
	case errors.Is(err, assess.ErrNothing):
		return codeInput
	}
	return codeFailure
}

func newRoot() *cobra.Command {
	var root *cobra.Command
	root = &cobra.Command{
		Use:     "bittersum",
		Version: works.Version() + "\nrules and profiles " + works.RulesPrint()[:16],
		Short:   "The cheapest recipe of a bitter drink that meets its brief and keeps every cap",
		Long: `bittersum turns ingredient profiles and a brief into the cheapest recipe of a
bitter botanical drink, proves it, and says what it means.

A BRIEF is a file, or demo:NAME for one of the embedded examples (see
bittersum profiles list demos). bittersum help brief-file explains its keys.

Exit codes: 0 answered, 1 failure, 2 usage, 3 bad input, 4 the brief cannot be
met, 5 not proved (nothing unproved is shown).`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("there is no command %q%s", args[0], suggestion(args[0], commandNames(root)))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return flagError(err) })
	root.AddCommand(newInit(), newBlend(), newAssess(), newProfiles(), newExport(), newLP())
	root.AddCommand(newPlan(), newSwap(), newReach(), newReprice(), newAlternatives(), newCompare(), newStress(), newGuard(), newFit())
	root.AddCommand(newTopics()...)
	root.AddCommand(newLots(), newBatch(), newRecord(), newRegister(), newLabel(), newTaste(), newPage(), newWords())
	return root
}

// commandNames lists the commands of a command.
func commandNames(of *cobra.Command) []string {
	var names []string
	for _, c := range of.Commands() {
		names = append(names, c.Name())
	}
	return names
}

// exactly asks for so many arguments, named for the error.
func exactly(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != len(names) {
			return usage("%s needs %s and got %d arguments", cmd.CommandPath(), strings.Join(names, " and "), len(args))
		}
		return nil
	}
}

// format is how an answer is written.
type format struct{ json, csv, all bool }

// extentFlag lets text print the whole answer; without it commands print what a maker acts on.
func (f *format) extentFlag(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.all, "all", false, "print the whole answer: every cap with its rule, every figure, every caution")
}

func (f *format) extent() report.Extent { return report.ExtentOf(f.all) }

func (f *format) flags(cmd *cobra.Command, csv bool) {
	cmd.Flags().BoolVar(&f.json, "json", false, "write JSON (the schema is named and versioned in it)")
	if csv {
		cmd.Flags().BoolVar(&f.csv, "csv", false, "write CSV")
	}
}

func (f *format) check() error {
	if f.json && f.csv {
		return usage("--json and --csv exclude each other")
	}
	return nil
}

// write writes an answer in the format asked for.
func (f *format) write(text func(), asJSON, asCSV func() error) error {
	switch {
	case f.json:
		return asJSON()
	case f.csv:
		return asCSV()
	}
	text()
	return nil
}

// openJob reads a brief from a file or from the embedded demo.
func openJob(arg string, settings ...brief.Setting) (*brief.Job, error) {
	lib, err := profile.Embedded()
	if err != nil {
		return nil, err
	}
	return openJobOver(arg, lib, settings...)
}

// openJobOver is openJob over a library of one's own.
func openJobOver(arg string, lib *profile.Library, settings ...brief.Setting) (*brief.Job, error) {
	name, demo := brief.IsDemo(arg)
	if !demo {
		return brief.Open(arg, lib, settings...)
	}
	names := demoNames()
	for _, known := range names {
		if name == known {
			return brief.OpenFS(profiles.FS, "demo/"+name+".toml", "demo:", lib, settings...)
		}
	}
	return nil, tomlfile.Faults{{File: arg, What: fmt.Sprintf("there is no demo %q", name), Hint: "known are " + strings.Join(names, ", ")}}
}

// demoNames returns the names of the embedded briefs.
func demoNames() []string {
	entries, _ := profiles.FS.ReadDir("demo")
	var names []string
	for _, e := range entries {
		if name, ok := strings.CutSuffix(e.Name(), ".toml"); ok && name != "lots" {
			names = append(names, name)
		}
	}
	return names
}

// completeBriefs offers the demos beside files.
func completeBriefs(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveDefault
	}
	var names []string
	for _, name := range demoNames() {
		names = append(names, "demo:"+name)
	}
	return names, cobra.ShellCompDirectiveDefault
}
