package scenarios

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"holdbench/scenarios/wholefile"
	"holdbench/sim"
)

// existsError is a file that exists already; errors.Is finds [fs.ErrExist] in it.
type existsError string

func (e existsError) Error() string {
	return string(e) + " exists already; choose another name, or overwrite it explicitly"
}

func (existsError) Unwrap() error { return fs.ErrExist }

// Save writes a document to a file, all of it or nothing. An existing file is kept and the
// error is an [fs.ErrExist], unless it is to be overwritten; then it keeps its permissions.
// Errors name the file.
func Save(path string, text []byte, overwrite bool) error {
	if path == "" || os.IsPathSeparator(path[len(path)-1]) {
		return fmt.Errorf("cannot save %q: must name a file", path)
	}
	f, err := wholefile.Create(path, overwrite)
	if err != nil {
		return saveError(path, err)
	}
	if _, err := f.Write(text); err != nil {
		f.Abandon()
		return saveError(path, err)
	}
	return saveError(path, f.Commit())
}

// saveError names the file that the user meant.
func saveError(path string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return existsError(path)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot save %s: there is no folder %s; must be one that exists: %w", path, filepath.Dir(path), fs.ErrNotExist)
	}
	return fmt.Errorf("cannot save %s: %w", path, wholefile.Reason(err))
}

// Rebase makes the references of a scenario that was read from one folder right for
// another one: each file by its way from there, so that both can be moved together. Built-in names, whole
// paths and documents in place stay as they are. An empty folder is the working folder, as it is for built-in
// scenarios.
func Rebase(s *sim.Scenario, fromFolder, toFolder string) {
	rebase(&s.Rig, RigKind, fromFolder, toFolder)
	rebase(&s.Sequence, SequenceKind, fromFolder, toFolder)
}

// rebase reads no file.
func rebase(r *sim.Reference, kind Kind, fromFolder, toFolder string) {
	builtin := slices.Contains(Names(kind), r.Name)
	if r.Text != "" || r.Name == "" || builtin || filepath.IsAbs(r.Name) {
		return
	}
	from, err1 := filepath.Abs(fromFolder)
	to, err2 := filepath.Abs(toFolder)
	if err1 != nil || err2 != nil || from == to { // without a working folder nothing relative can be found
		return
	}
	file := filepath.Join(from, r.Name)
	below, err := filepath.Rel(resolved(to), filepath.Join(resolved(filepath.Dir(file)), filepath.Base(file)))
	switch {
	case err != nil: // on another volume
		r.Name = file
	case slices.Contains(Names(kind), below):
		r.Name = "./" + below // a file by the name of a built-in document
	default:
		r.Name = filepath.ToSlash(below)
	}
}
