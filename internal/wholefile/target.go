package wholefile

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// mostLinks is how many links are followed before they are taken for a ring.
const mostLinks = 40

// Target returns the file that a write to path has to replace: links are followed to their end, also to one
// that is not there yet, so that a link stays a link.
func Target(path string) (string, error) {
	at := path
	for range mostLinks {
		is, err := os.Lstat(at)
		if err != nil || is.Mode()&fs.ModeSymlink == 0 {
			return at, nil // what is missing shows when it is written
		}
		to, err := os.Readlink(at)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(at), to)
		}
		at = to
	}
	return "", fmt.Errorf("%s is a link that leads in a ring", path)
}

// Protected returns an error when path is a file that its owner made read-only. A file is replaced by
// renaming, which would not ask.
func Protected(path string) error {
	if is, err := os.Stat(path); err == nil && is.Mode().IsRegular() && is.Mode().Perm()&0o200 == 0 {
		return fmt.Errorf("%s is read-only; nothing was written", path)
	}
	return nil
}
