package study

import (
	"runtime"
	"sync"
)

// each calls do for 0 to n-1, several at a time, and returns the error of the least number that has one.
func each(n int, do func(k int) error) error {
	errs := make([]error, n)
	var wait sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for k := range n {
		free <- struct{}{}
		wait.Go(func() {
			defer func() { <-free }()
			errs[k] = do(k)
		})
	}
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
