package cli

import (
	"io"

	"bittersum/internal/report"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// measuredFile is a file of measured figures over the profiles of a folder.
type measuredFile struct{ works.Measured }

func (m *measuredFile) flags(cmd *cobra.Command) {
	forceFlag(cmd, &m.Force)
	cmd.Flags().StringVar(&m.Folder, "into", "", "write what was found over the profiles of this `folder`")
}

// named sets what the file is called and what it may replace, and looks whether it can be written.
func (m *measuredFile) named(name string, own func([]byte) bool) error {
	m.Name, m.Own = name, own
	return m.Check()
}

// said ends an answer with where what it measured was written, if anywhere.
func (m *measuredFile) said(out io.Writer, data []byte) {
	if m.Folder != "" {
		report.FitKept(out, m.Path(), data != nil)
	}
}
