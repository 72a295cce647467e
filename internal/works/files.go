package works

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/wholefile"
)

// output is a file that a command is to write.
type output struct {
	flag, path string
	// endings are those that the file's name may have; empty for any.
	endings []string
	// own reports whether what stands in the file was written by the same command and holds nothing that
	// a maker added; such a file is replaced without asking.
	own func(data []byte) bool
}

// Outputs are the files of one command. What exists and is not the command's own is replaced only by force,
// and then kept as FILE.bak.
type Outputs struct {
	Force bool
	files []output
}

// There is the refusal to replace a file that holds something else. Whoever is asked may agree, and force it.
type There struct{ Flag, Path string }

func (t There) Error() string {
	return fmt.Sprintf("%s: %s is there already and holds something else; --force replaces it and keeps it as %s.bak", t.Flag, t.Path, t.Path)
}

// Add names a file that will be written. Its name may have those endings, any if there are none; own reports
// whether what stands in it was written by the same command and holds nothing that a maker added.
func (o *Outputs) Add(flag, path string, own func(data []byte) bool, endings ...string) {
	if path != "" {
		o.files = append(o.files, output{flag, path, endings, own})
	}
}

// Check looks at every file before the first is written.
func (o *Outputs) Check() error {
	at := map[string]string{}
	for _, f := range o.files {
		if err := writable(f.path); err != nil {
			return err
		}
		if special(f.path) {
			continue
		}
		if ending := strings.ToLower(filepath.Ext(f.path)); len(f.endings) > 0 && !slices.Contains(f.endings, ending) {
			return Usage("%s: %q ends in none of %s", f.flag, f.path, strings.Join(f.endings, ", "))
		}
		target, err := resolved(f.path)
		if err != nil {
			return err
		}
		if other := at[target]; other != "" {
			return Usage("%s and %s are the same file %s", other, f.flag, f.path)
		}
		at[target] = f.flag
		if err := o.replaceable(f); err != nil {
			return err
		}
	}
	return nil
}

// replaceable returns an error when the file is there and is not to be replaced.
func (o *Outputs) replaceable(f output) error {
	old, err := os.ReadFile(f.path)
	switch {
	case errors.Is(err, os.ErrNotExist), err == nil && (len(old) == 0 || f.own(old)):
		return nil
	case err != nil:
		return fmt.Errorf("%s: %w", f.path, err)
	case !o.Force:
		return There{f.flag, f.path}
	}
	return nil
}

// Write writes the file of that path; Check must have passed.
func (o *Outputs) Write(path string, data []byte) error {
	for _, f := range o.files {
		if f.path != path || special(path) {
			continue
		}
		if old, err := os.ReadFile(path); err == nil && len(old) > 0 && !f.own(old) {
			if err := WriteFile(path+".bak", old); err != nil {
				return err
			}
		}
	}
	return WriteFile(path, data)
}

// resolved names a file in one way, however it is written.
func resolved(path string) (string, error) {
	target, err := wholefile.Target(path)
	if err != nil {
		return "", err
	}
	if target, err = filepath.Abs(target); err != nil {
		return "", err
	}
	if dir, err := filepath.EvalSymlinks(filepath.Dir(target)); err == nil {
		target = filepath.Join(dir, filepath.Base(target))
	}
	return target, nil
}

// special reports whether path is there and no plain file, such as /dev/stdout.
func special(path string) bool {
	is, err := os.Stat(path)
	return err == nil && !is.Mode().IsRegular()
}

// WriteFile puts data at path in one step: readers see the old file or the new one, never a part. A link is
// followed, a read-only file stays, and what is no plain file, such as /dev/stdout, is written to and not
// replaced.
func WriteFile(path string, data []byte) error {
	if err := writable(path); err != nil {
		return err
	}
	at, err := wholefile.Target(path)
	if err != nil {
		return err
	}
	write := wholefile.Write
	if special(path) {
		at, write = path, func(name string, data []byte) error {
			return os.WriteFile(name, data, 0o644)
		}
	}
	err = write(at, data)
	var failed *os.PathError
	if errors.As(err, &failed) {
		return fmt.Errorf("%s cannot be written: %w", path, failed.Err)
	}
	return err
}

// writable returns an error when path names a folder, a file that is read-only, or lies in a folder that is
// not there.
func writable(path string) error {
	if at, err := os.Stat(path); err == nil && at.IsDir() {
		return fmt.Errorf("%s is a folder; a file's name is needed", path)
	}
	if at, err := os.Stat(filepath.Dir(path)); err != nil || !at.IsDir() {
		return fmt.Errorf("%s: there is no folder %s", path, filepath.Dir(path))
	}
	return wholefile.Protected(path)
}
