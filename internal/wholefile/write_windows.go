package wholefile

import (
	"bytes"

	"github.com/natefinch/atomic"
)

// Write puts data at path in one step.
func Write(path string, data []byte) error { return atomic.WriteFile(path, bytes.NewReader(data)) }
