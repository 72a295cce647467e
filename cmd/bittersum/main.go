// Command bittersum finds the cheapest recipe of a bitter botanical drink that meets its brief and
// keeps every legal cap, proves it, and says what it means.
package main

import (
	"os"

	"bittersum/internal/cli"
)

func main() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
