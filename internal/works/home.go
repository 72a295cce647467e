package works

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"bittersum/profiles"
)

// OwnFolder returns the folder of the program among a maker's documents. When it is not there yet it is made, with
// the briefs of the invented works to copy. A folder that is there is left as it is.
func OwnFolder(documents string) (string, error) {
	folder := filepath.Join(documents, "Bittersum")
	if is, err := os.Stat(folder); err == nil && is.IsDir() {
		return folder, nil
	} else if err == nil {
		return "", fmt.Errorf("%s is there and is no folder", folder)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	demos, err := fs.ReadDir(profiles.FS, "demo")
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	for _, demo := range demos {
		data, err := profiles.FS.ReadFile("demo/" + demo.Name())
		if err != nil {
			return "", err
		}
		if err := WriteFile(filepath.Join(folder, demo.Name()), data); err != nil {
			return "", err
		}
	}
	return folder, nil
}
