package cli

import (
	"bytes"

	"bittersum/internal/formulate"
	"bittersum/solver"
	"bittersum/solver/mps"

	"github.com/spf13/cobra"
)

// exportMark is the first line of an exported program, a comment of MPS.
const exportMark = "* Exported by bittersum export.\n"

func newExport() *cobra.Command {
	var out string
	var files outputs
	cmd := &cobra.Command{
		Use:               "export BRIEF",
		Short:             "Write a brief's linear program as MPS, for any other solver",
		Example:           "  bittersum export demo:bitter-orange --out bitter-orange.mps",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			files.Add("--out", out, func(data []byte) bool { return bytes.HasPrefix(data, []byte(exportMark)) }, ".mps")
			if err := files.Check(); err != nil {
				return err
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			var text bytes.Buffer
			f, _, err := formulate.Settle(cmd.Context(), job, solver.Options{})
			if err != nil {
				return err
			}
			text.WriteString(exportMark)
			if err := mps.Write(&text, f.Problem); err != nil {
				return err
			}
			if out != "" {
				return files.Write(out, text.Bytes())
			}
			_, err = cmd.OutOrStdout().Write(text.Bytes())
			return err
		},
	}
	files.flags(cmd)
	cmd.Flags().StringVarP(&out, "out", "o", "", "write to this `file` instead of standard output")
	return cmd
}
