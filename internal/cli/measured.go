package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/study"

	"github.com/spf13/cobra"
)

// measuredFile is a file of measured figures over the profiles of a folder.
type measuredFile struct {
	folder, name string
	files        outputs
	own          func([]byte) bool
}

func (m *measuredFile) flags(cmd *cobra.Command) {
	m.files.flags(cmd)
	cmd.Flags().StringVar(&m.folder, "into", "", "write what was found over the profiles of this `folder`")
}

func (m *measuredFile) path() string { return filepath.Join(m.folder, "measured", m.name) }

// check looks whether the file can be written, if one was asked for.
func (m *measuredFile) check(name string, own func([]byte) bool) error {
	m.name, m.own = name, own
	if m.folder == "" {
		return nil
	}
	if at, err := os.Stat(m.folder); err != nil || !at.IsDir() {
		return usage("--into %s: there is no such folder", m.folder)
	}
	if at, err := os.Stat(filepath.Dir(m.path())); err != nil || !at.IsDir() {
		return nil // it will be made
	}
	m.files.Add("--into", m.path(), m.own)
	return m.files.Check()
}

// write writes the file, if one was asked for and there is anything to write, once the profiles read well with it
// over them.
func (m *measuredFile) write(lib *profile.Library, data []byte) error {
	if m.folder == "" || data == nil {
		return nil
	}
	trial, err := os.MkdirTemp("", "bittersum")
	if err != nil {
		return err
	}
	defer os.RemoveAll(trial)
	if err := os.Mkdir(filepath.Join(trial, "measured"), 0o755); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(trial, "measured", m.name), data, 0o600); err != nil {
		return err
	}
	if _, err := lib.Overlay(trial); err != nil {
		return fmt.Errorf("%w: what was found makes no profile: %w", study.ErrUnproved, err)
	}
	if err := os.MkdirAll(filepath.Dir(m.path()), 0o755); err != nil {
		return err
	}
	m.files.Add("--into", m.path(), m.own)
	return m.files.Write(m.path(), data)
}

// said ends an answer with where what it measured was written, if anywhere.
func (m *measuredFile) said(out io.Writer, data []byte) {
	if m.folder != "" {
		report.FitKept(out, m.path(), data != nil)
	}
}
