//go:build !windows

package wholefile

import "github.com/google/renameio/v2"

// Write puts data at path in one step, synced. A new file may be read by all and written by its owner.
func Write(path string, data []byte) error { return renameio.WriteFile(path, data, 0o644) }
