package cli

import (
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// outputs are the files of one command; see works.Outputs.
type outputs struct{ works.Outputs }

func (o *outputs) flags(cmd *cobra.Command) { forceFlag(cmd, &o.Force) }

func forceFlag(cmd *cobra.Command, force *bool) {
	cmd.Flags().BoolVar(force, "force", false, "replace files that are there; what stood in them is kept as FILE.bak")
}
