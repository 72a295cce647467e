package works

import (
	"fmt"
	"os"
	"path/filepath"

	"bittersum/internal/profile"
	"bittersum/internal/study"
)

// Measured is a file of measured figures over the profiles of a folder.
type Measured struct {
	// Folder is that of the profiles; nothing is written when it is empty.
	Folder, Name string
	Outputs
	// Own reports whether what stands in a file was written for the same purpose.
	Own func([]byte) bool
}

// Path is where the file stands.
func (m *Measured) Path() string { return filepath.Join(m.Folder, "measured", m.Name) }

// Check looks whether the file can be written, if one was asked for.
func (m *Measured) Check() error {
	if m.Folder == "" {
		return nil
	}
	if at, err := os.Stat(m.Folder); err != nil || !at.IsDir() {
		return Usage("--into %s: there is no such folder", m.Folder)
	}
	if at, err := os.Stat(filepath.Dir(m.Path())); err != nil || !at.IsDir() {
		return nil // it will be made
	}
	m.Add("--into", m.Path(), m.Own)
	return m.Outputs.Check()
}

// Write writes the file, if one was asked for and there is anything to write, once the profiles read well with it
// over them.
func (m *Measured) Write(lib *profile.Library, data []byte) error {
	if m.Folder == "" || data == nil {
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
	if err := os.WriteFile(filepath.Join(trial, "measured", m.Name), data, 0o600); err != nil {
		return err
	}
	if _, err := lib.Overlay(trial); err != nil {
		return fmt.Errorf("%w: what was found makes no profile: %w", study.ErrUnproved, err)
	}
	if err := os.MkdirAll(filepath.Dir(m.Path()), 0o755); err != nil {
		return err
	}
	m.Add("--into", m.Path(), m.Own)
	return m.Outputs.Write(m.Path(), data)
}
