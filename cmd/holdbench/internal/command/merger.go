package command

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
)

// Merger combines parts of one kind of work into the file that the whole would have kept.
type Merger struct {
	Kind string // the command, which is the first key of the first line
	Of   string // what is counted, such as "cell"
	// Merge writes the lines of the whole, and returns how many pieces of work it has.
	Merge func(parts []io.Reader, names []string, write func(line []byte) error) (count int, err error)
}

// Counted is a number of pieces of work.
func (m *Merger) Counted(n int) string {
	several := m.Of + "s"
	if stem, ends := strings.CutSuffix(m.Of, "y"); ends {
		several = stem + "ies"
	}
	return page.Count(n, m.Of, several)
}

// KindOf is the first key of a file of lines of JSON, which tells what it keeps; empty if it has none. The file is
// at its beginning afterwards.
func KindOf(file *os.File) (string, error) {
	decoder := json.NewDecoder(io.LimitReader(file, 1<<10))
	begin, err := decoder.Token()
	var kind string
	if err == nil && begin == json.Delim('{') {
		if key, err := decoder.Token(); err == nil {
			kind, _ = key.(string)
		}
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return "", fmt.Errorf("cannot read %s: %w", file.Name(), err)
	}
	return kind, nil
}
