// Command bittersum finds the cheapest recipe of a bitter botanical drink that meets its brief and
// keeps every legal cap, proves it, and says what it means.
package main

import (
	"fmt"
	"os"

	"bittersum/internal/cli"
)

func main() {
	args := os.Args[1:]
	if len(args) == 0 {
		desktop, err := cli.OfDesktop()
		if err != nil {
			fmt.Fprintln(os.Stderr, "bittersum:", err)
			os.Exit(1)
		}
		args = desktop
	}
	os.Exit(cli.Main(args, os.Stdin, os.Stdout, os.Stderr))
}
