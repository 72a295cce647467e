package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"bittersum/solver/internal/generate"
)

// fewSeconds ends a run.
const fewSeconds = 60

// few times blends of few ingredients, whole processes of processor time: this solver by bittersum lp, glpsol and cbc.
func few(args []string) error {
	from, to := 0, generate.FewCount
	for n, at := range []*int{&from, &to} {
		if n < len(args) {
			x, err := strconv.Atoi(args[n])
			if err != nil {
				return err
			}
			*at = x
		}
	}
	work, err := os.MkdirTemp("", "few")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	ours := filepath.Join(work, "bittersum")
	if out, err := exec.Command("go", "build", "-o", ours, "./cmd/bittersum").CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	fmt.Printf("%-8s %8s %8s %8s %8s  %s\n", "program", "columns", "ours s", "glpsol s", "cbc s", "outcome")
	var sum [3]float64
	ahead := 0
	for number := from; number < to; number++ {
		p := generate.Few(uint64(number))
		file := filepath.Join(work, p.Name+".mps")
		if err := save(file, p); err != nil {
			return err
		}
		var spent [3]float64
		outcome := ""
		for n, command := range [][]string{
			{ours, "lp", file}, {"glpsol", "--freemps", file, "--tmlim", strconv.Itoa(fewSeconds)}, {"cbc", file, "-seconds", strconv.Itoa(fewSeconds), "-solve", "-quit"},
		} {
			ctx, cancel := context.WithTimeout(context.Background(), fewSeconds*time.Second)
			c := exec.CommandContext(ctx, command[0], command[1:]...)
			out, _ := c.CombinedOutput()
			cancel()
			spent[n] = (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds()
			sum[n] += spent[n]
			outcome += "  " + ending(out)
		}
		if spent[0] <= min(spent[1], spent[2]) {
			ahead++
		}
		fmt.Printf("%-8s %8d %8.2f %8.2f %8.2f  %s\n", p.Name, len(p.Columns), spent[0], spent[1], spent[2], outcome)
	}
	fmt.Printf("in all %17.2f %8.2f %8.2f  ahead of both on %d of %d\n", sum[0], sum[1], sum[2], ahead, to-from)
	return nil
}

// ending is what a solver's output says of the outcome.
func ending(out []byte) string {
	last := ""
	for _, line := range bytes.Split(out, []byte("\n")) {
		text := strings.TrimSpace(string(line))
		for _, mark := range []string{"objective ", "Objective value:", "obj = ", "+", "NO PRIMAL FEASIBLE", "NO INTEGER FEASIBLE", "infeasible", "TIME LIMIT"} {
			if strings.HasPrefix(text, mark) || strings.Contains(text, "PROBLEM HAS NO") || strings.Contains(text, "infeasible") && !strings.HasPrefix(text, "Cbc0") {
				last = text
			}
		}
	}
	if fields := strings.Fields(last); len(fields) > 0 {
		return fields[len(fields)-1]
	}
	return "?"
}
