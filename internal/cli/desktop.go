package cli

import (
	"os"
	"runtime"

	"bittersum/internal/works"

	"github.com/adrg/xdg"
	"github.com/inconshreveable/mousetrap"
	"github.com/spf13/cobra"
	"golang.org/x/term"
)

// OfDesktop returns the arguments with which the program runs when it was started from a desktop, by a double-click:
// the page, of a folder of its own among the maker's documents. They are nil when it was started otherwise.
func OfDesktop() ([]string, error) {
	if !startedFromDesktop() {
		return nil, nil
	}
	cobra.MousetrapHelpText = "" // else a start by double-click ends at once on Windows
	folder, err := works.OwnFolder(xdg.UserDirs.Documents)
	if err != nil {
		return nil, err
	}
	return []string{"page", folder, "--idle-hours", "24"}, nil
}

// startedFromDesktop reports whether a desktop started the program: on Windows its Explorer, elsewhere where there is
// a desktop and no terminal to read from or to write to. On macOS a double-click opens a terminal and is not told
// from a command.
func startedFromDesktop() bool {
	if runtime.GOOS == "windows" {
		return mousetrap.StartedByExplorer()
	}
	if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
		return false
	}
	for _, file := range []*os.File{os.Stdin, os.Stdout, os.Stderr} {
		if term.IsTerminal(int(file.Fd())) {
			return false
		}
	}
	return true
}
