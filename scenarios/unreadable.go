package scenarios

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"holdbench/sequence"
)

// within is a file that is named relative to a folder; none is the working directory.
func within(folder, file string) string {
	if folder == "" || filepath.IsAbs(file) {
		return file
	}
	return filepath.Join(folder, file)
}

// unreadable is the error of a file that cannot be read. Of one that is not there it has the nearest
// name beside it.
func unreadable(what, file string, err error) error {
	err = fmt.Errorf("cannot read %s: %w", what, err)
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	name := filepath.Base(file)
	if near, similar := sequence.Nearest(name, alike(file)); similar && near != name {
		return fmt.Errorf("%w; the nearest file there is %q", err, near)
	}
	return err
}

// isNamed is whether there is something of this name, be it a folder or a link that leads nowhere.
func isNamed(file string) bool {
	_, err := os.Lstat(file)
	return err == nil
}

// mostLookedAt bounds how many entries of a folder are looked at for a similar name.
const mostLookedAt = 10_000

// alike are the files beside one whose names end alike.
func alike(file string) []string {
	folder, err := os.Open(filepath.Dir(file))
	if err != nil {
		return nil
	}
	defer func() { _ = folder.Close() }() // only read
	entries, _ := folder.ReadDir(mostLookedAt)
	var names []string
	for _, e := range entries {
		if name := e.Name(); !e.IsDir() && (isYAML(name) && isYAML(file) || isProgram(name) && isProgram(file)) {
			names = append(names, name)
		}
	}
	slices.Sort(names) // the order of a folder is its own
	return names
}
