// Bench exports generated programs as MPS files and times this solver on MPS files, so that the same
// files can be given to other solvers: see peers.sh beside it.
//
//	go run ./solver/bench export FOLDER            write programs of recipe and of plan size
//	go run ./solver/bench rewrite FOLDER FILE...   write copies of files in the free layout
//	go run ./solver/bench time FILE...             solve each file and print its times
//	go run ./solver/bench few [FROM [TO]]          blends of few ingredients beside glpsol and cbc
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"time"

	"bittersum/solver"
	"bittersum/solver/internal/generate"
	"bittersum/solver/mps"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(args []string) error {
	switch {
	case len(args) == 2 && args[0] == "export":
		return export(args[1])
	case len(args) > 2 && args[0] == "rewrite":
		return rewrite(args[1], args[2:])
	case len(args) > 1 && args[0] == "time":
		return timeAll(args[1:])
	case len(args) >= 1 && len(args) <= 3 && args[0] == "few":
		return few(args[1:])
	}
	return errors.New("bench: export FOLDER, rewrite FOLDER FILES, time FILES, or few FROM TO")
}

// export writes programs of growing size, the large plans last.
func export(folder string) error {
	var programs []*solver.Problem
	for _, size := range [][2]int{{12, 6}, {30, 15}, {60, 25}, {120, 40}, {400, 60}} {
		for seed := range uint64(3) {
			programs = append(programs, generate.Recipe(size[0], size[1], seed+1, false))
		}
	}
	for _, size := range [][4]int{{12, 2, 3, 8}, {20, 4, 6, 12}, {45, 7, 12, 16}, {150, 20, 12, 70}} {
		programs = append(programs, generate.Plan(size[0], size[1], size[2], size[3], 1))
	}
	for _, p := range programs {
		if err := save(filepath.Join(folder, p.Name+".mps"), p); err != nil {
			return err
		}
	}
	return nil
}

// rewrite writes programs from elsewhere in the layout that all solvers read.
func rewrite(folder string, paths []string) error {
	for _, path := range paths {
		p, err := read(path)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		if err := save(filepath.Join(folder, filepath.Base(path)), p); err != nil {
			return err
		}
	}
	return nil
}

func save(path string, p *solver.Problem) error {
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	return errors.Join(mps.Write(file, p), file.Close())
}

// timeAll prints for each file its size, the time to read it, and the median time to solve it.
func timeAll(paths []string) error {
	fmt.Printf("%-24s %6s %7s %9s %10s %10s %7s %9s  %s\n", "program", "rows", "columns", "nonzeros", "read ms", "solve ms", "runs", "pivots", "outcome")
	for _, path := range paths {
		begin := time.Now()
		p, err := read(path)
		if err != nil {
			return err
		}
		reading := time.Since(begin)
		s, median, runs, err := measure(p)
		if err != nil {
			return err
		}
		nonzeros := 0
		for _, row := range p.Rows {
			nonzeros += len(row.Terms)
		}
		fmt.Printf("%-24s %6d %7d %9d %10.3f %10.3f %7d %9d  %v %.10g\n", filepath.Base(path), len(p.Rows), len(p.Columns), nonzeros,
			milliseconds(reading), milliseconds(median), runs, s.Iterations, s.Status, s.Objective)
	}
	return nil
}

func read(path string) (*solver.Problem, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return mps.Read(file)
}

// measure solves p for about a second, three times at least unless one solve takes that long.
func measure(p *solver.Problem) (s *solver.Solution, median time.Duration, runs int, err error) {
	var times []time.Duration
	for total := time.Duration(0); total < time.Second || (len(times) < 3 && total < 20*time.Second); {
		begin := time.Now()
		if s, err = solver.Solve(context.Background(), p, solver.Options{}); err != nil {
			return nil, 0, 0, err
		}
		times = append(times, time.Since(begin))
		total += times[len(times)-1]
	}
	sort.Slice(times, func(i, j int) bool { return times[i] < times[j] })
	return s, times[len(times)/2], len(times), nil
}

func milliseconds(d time.Duration) float64 { return d.Seconds() * 1e3 }
