package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/plan"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newPlanInit() *cobra.Command {
	var from string
	cmd := &cobra.Command{
		Use:   "init DIR",
		Short: "Write a plan to begin with from the briefs of a folder",
		Long: `Write DIR/plan.toml from the briefs of drinks in the folder: a year with a batch of
each a month, and an offer for every ingredient at the price that the briefs have for
it. It works as it is; put in what you sell, who sells to you and how long things
keep. A plan that is there is never overwritten.`,
		Example: "  bittersum plan init my-tonic\n  bittersum plan my-tonic/plan.toml",
		Args:    exactly("a folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := args[0]
			start := today()
			start = time.Date(start.Year(), start.Month(), 1, 0, 0, 0, 0, time.UTC).AddDate(0, 1, 0)
			if from != "" {
				var err error
				if start, err = works.ParseDay("--from", from); err != nil {
					return err
				}
				if start.Day() > 28 {
					return usage("--from %s is after the 28th, a day that some months lack", from)
				}
			}
			path := filepath.Join(dir, "plan.toml")
			if _, err := os.Lstat(path); err == nil {
				return exitError{code: codeInput, err: fmt.Errorf("%s is there already; nothing was written", path)}
			}
			files, jobs, passed, err := briefsIn(dir)
			if err != nil {
				return err
			}
			if len(jobs) == 0 {
				return tomlfile.Faults{{File: dir, What: "holds no brief of a drink that can be read", Hint: "bittersum init DIR makes one"}}
			}
			abs, err := filepath.Abs(dir)
			if err != nil {
				return err
			}
			if err := works.WriteFile(path, []byte(plan.Draft(filepath.Base(abs), start, files, jobs))); err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			fmt.Fprintf(out, "Wrote %s, of %s.\n", path, strings.Join(files, ", "))
			for _, p := range passed {
				fmt.Fprintf(out, "Left out: %s\n", p)
			}
			fmt.Fprintf(out, "Next: put in what you sell and who sells to you, then bittersum plan %s\n", path)
			return nil
		},
	}
	cmd.Flags().StringVar(&from, "from", "", "the first `day` of the plan, such as 2027-01-01; the first of next month when left out")
	return cmd
}

// briefsIn opens the briefs of drinks in a folder that count in one currency, and says of other files that look like
// briefs why they were left out.
func briefsIn(dir string) (files []string, jobs []*brief.Job, passed []string, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, nil, nil, err
	}
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() || filepath.Ext(name) != ".toml" {
			continue
		}
		doc, err := tomlfile.Open(filepath.Join(dir, name))
		if err != nil || !doc.Root().Has("use") || !doc.Root().Has("name") {
			continue // lots, recipes, records
		}
		job, err := openJob(filepath.Join(dir, name))
		var faults tomlfile.Faults
		switch {
		case errors.As(err, &faults):
			passed = append(passed, faults[0].Error())
		case err != nil:
			return nil, nil, nil, err
		case job.Kind != brief.Drink:
			passed = append(passed, name+" is a blend and no drink")
		case len(jobs) > 0 && job.Currency != jobs[0].Currency:
			passed = append(passed, fmt.Sprintf("%s counts in %s and %s in %s", name, job.Currency, files[0], jobs[0].Currency))
		default:
			files, jobs = append(files, name), append(jobs, job)
		}
	}
	slices.Sort(passed)
	return files, jobs, passed, nil
}
