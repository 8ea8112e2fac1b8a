package evaluatecmd

import (
	"fmt"
	"os"
	"path/filepath"

	"holdbench/plant/recording"
	"holdbench/scenarios/wholefile"
)

// readRecording reads a file of recorded signals.
func readRecording(path string) (*recording.Recording, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, wholefile.Reason(err))
	}
	defer f.Close() //nolint:errcheck // it was read
	return recording.Read(filepath.Base(path), f, recording.Options{})
}
