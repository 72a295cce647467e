package cli

import (
	"bytes"

	"bittersum/internal/formulate"
	"bittersum/solver"
	"bittersum/solver/mps"

	"github.com/spf13/cobra"
)

func newExport() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:               "export BRIEF",
		Short:             "Write a brief's linear program as MPS, for any other solver",
		Example:           "  bittersum export demo:bitter-orange --out bitter-orange.mps",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			var text bytes.Buffer
			f, _, err := formulate.Settle(cmd.Context(), job, solver.Options{})
			if err != nil {
				return err
			}
			if err := mps.Write(&text, f.Problem); err != nil {
				return err
			}
			if out != "" {
				return writeFile(out, text.Bytes())
			}
			_, err = cmd.OutOrStdout().Write(text.Bytes())
			return err
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "", "write to this `file` instead of standard output")
	return cmd
}
