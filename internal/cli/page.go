package cli

import (
	"fmt"
	"os/exec"
	"runtime"
	"time"

	"bittersum/internal/page"
	"bittersum/internal/profile"

	"github.com/spf13/cobra"
)

func newPage() *cobra.Command {
	var port int
	var noOpen bool
	var idleHours float64
	cmd := &cobra.Command{
		Use:   "page [FOLDER]",
		Short: "Work on the drinks of a folder in the browser, on this machine alone",
		Long: `Show the drinks of a folder (this one if none is named) as a page in the browser:
what each must be, its cheapest recipe, what holds it, and what would change if;
batches with their sheets, records to fill in at the kettle, the shelf, the
register and drafts of labels; a plan of several drinks over months; how sure a
recipe is, or must be, as lots vary; tastings, and what batches teach; a recipe of
yours in two markets, or made into a brief; what is known of an ingredient.

The page is served to this machine alone, at an address that is printed and
opened. It ends with Ctrl-C. Started by a double-click, without a terminal, the
program shows the folder Bittersum among the documents, which it makes with the
examples in it, and ends when nothing was asked of it for a day. It does what the commands do, to the same files in
this folder and to none outside. A brief is not changed, and no file replaced,
before it was shown and agreed to; what stood there is kept beside it (.bak).`,
		Example: "  bittersum page my-tonic\n  bittersum page --no-open --port 8080",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usage("%s takes one folder and got %d arguments", cmd.CommandPath(), len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			folder := "."
			if len(args) == 1 {
				folder = args[0]
			}
			if port < 0 || port > 65535 {
				return usage("--port %d: 0 to 65535, 0 for a free one", port)
			}
			if !(idleHours >= 0 && idleHours <= 1000) {
				return usage("--idle-hours %v: 0 to 1000, 0 for never", idleHours)
			}
			library, err := profile.Embedded()
			if err != nil {
				return err
			}
			server, err := page.New(folder, library)
			if err != nil {
				return exitError{code: codeInput, err: fmt.Errorf("%s is no folder that can be read", folder)}
			}
			listener, err := server.Listen(port)
			if err != nil {
				return fmt.Errorf("port %d is taken; another one goes with --port, any free one without: %w", port, err)
			}
			// Answers are held back until they are whole; this one goes on, so its address is said at once.
			fmt.Fprintf(cmd.ErrOrStderr(), "The page is at %s\nIt ends with Ctrl-C.\n", server.Address())
			if !noOpen {
				if err := openBrowser(server.Address()); err != nil {
					fmt.Fprintln(cmd.ErrOrStderr(), "No browser could be opened: open the address in one.")
				}
			}
			if idleHours > 0 {
				return server.ServeUntilIdle(cmd.Context(), listener, time.Duration(idleHours*float64(time.Hour)))
			}
			return server.Serve(cmd.Context(), listener)
		},
	}
	cmd.Flags().IntVar(&port, "port", 0, "the port to serve at; any free one if not given")
	cmd.Flags().Float64Var(&idleHours, "idle-hours", 0, "end when nothing was asked for so many `hours`; 0 for never")
	cmd.Flags().BoolVar(&noOpen, "no-open", false, "open no browser")
	return cmd
}

// openBrowser asks the system to open an address.
func openBrowser(address string) error {
	command := map[string][]string{"windows": {"rundll32", "url.dll,FileProtocolHandler"}, "darwin": {"open"}}[runtime.GOOS]
	if command == nil {
		command = []string{"xdg-open"}
	}
	opening := exec.Command(command[0], append(command[1:], address)...)
	if err := opening.Start(); err != nil {
		return err
	}
	go func() { _ = opening.Wait() }()
	return nil
}
