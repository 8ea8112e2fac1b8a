package scenarios

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"holdbench/sim"
)

// existsError is a file that is there already; errors.Is finds [fs.ErrExist] in it.
type existsError string

func (e existsError) Error() string {
	return string(e) + " is there already; must be another name, or overwritten on purpose"
}

func (existsError) Unwrap() error { return fs.ErrExist }

// Save writes a document to a file: all of it or nothing, by way of a file beside it
// that takes its name once it is complete. A file that is there already is kept, and the
// error is an [fs.ErrExist], unless it is to be overwritten; then it keeps its
// permissions. Errors name the file.
func Save(path string, text []byte, overwrite bool) error {
	path, mode, err := saveTarget(path, overwrite)
	if err != nil {
		return err
	}
	beside, err := writeBeside(path, text, mode)
	if err != nil {
		return saveError(path, err)
	}
	defer func() { _ = os.Remove(beside) }() // it is gone if it took the name
	if overwrite {
		return saveError(path, os.Rename(beside, path))
	}
	return saveError(path, nameNew(beside, path))
}

// saveTarget is the file to write, behind a link if there is one, and its permissions,
// 0 for those of a new file.
func saveTarget(path string, overwrite bool) (string, fs.FileMode, error) {
	if path == "" || os.IsPathSeparator(path[len(path)-1]) {
		return "", 0, fmt.Errorf("cannot save %q: must name a file", path)
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return path, 0, nil
	case err != nil:
		return "", 0, saveError(path, err)
	case info.IsDir():
		return "", 0, fmt.Errorf("cannot save %s: it is a folder; must be a file", path)
	case !info.Mode().IsRegular():
		return "", 0, fmt.Errorf("cannot save %s: it is a device or the like; must be a file", path)
	case !overwrite:
		return "", 0, existsError(path)
	case info.Mode().Perm()&0o200 == 0:
		return "", 0, fmt.Errorf("cannot save %s: it is protected against writing: %w", path, fs.ErrPermission)
	}
	behind, err := filepath.EvalSymlinks(path)
	if err != nil {
		return "", 0, saveError(path, err)
	}
	return behind, info.Mode().Perm(), nil
}

// writeBeside writes the text to a new file in the folder of another, and gives its
// name.
func writeBeside(path string, text []byte, mode fs.FileMode) (string, error) {
	f, err := createBeside(path)
	if err != nil {
		return "", err
	}
	_, err = f.Write(text)
	if mode != 0 && err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync() // or a loss of power might leave the name without the text
	}
	err = errors.Join(err, f.Close())
	if err != nil {
		_ = os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}

// mostBeside is how many files of runs that were ended in the middle may lie about.
const mostBeside = 100

// createBeside makes a file with the permissions that the user's mask leaves, which a
// temporary file of the library has not.
func createBeside(path string) (f *os.File, err error) {
	folder, name := filepath.Split(path)
	for i := range mostBeside {
		f, err = os.OpenFile(fmt.Sprintf("%s.%s.%d.part", folder, name, i), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
	return nil, fmt.Errorf("there are %d unfinished files such as .%s.0.part beside it; must be removed", mostBeside, name)
}

// nameNew gives a file a name that nobody has. A link finds a name taken in the same
// moment; not every file system has links.
func nameNew(from, to string) error {
	err := os.Link(from, to)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(to); err == nil {
		return fs.ErrExist
	}
	return os.Rename(from, to)
}

// saveError names the file that the user meant, and not the one beside it.
func saveError(path string, err error) error {
	var place *fs.PathError
	var link *os.LinkError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return existsError(path)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot save %s: there is no folder %s; must be one that exists: %w", path, filepath.Dir(path), fs.ErrNotExist)
	case errors.As(err, &place):
		err = place.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return fmt.Errorf("cannot save %s: %w", path, err)
}

// Rebase makes the references of a scenario that was read from one folder right for
// another one: a file below the new folder by its way from there, any other by its
// whole path. Built-in names, whole paths and documents in place stay as they are. An
// empty folder is the working folder, as it is for built-in scenarios.
func Rebase(s *sim.Scenario, fromFolder, toFolder string) {
	rebase(&s.Rig, RigKind, fromFolder, toFolder)
	rebase(&s.Sequence, SequenceKind, fromFolder, toFolder)
}

// rebase works on the written paths, as the reader does, and looks at no file.
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
	below, err := filepath.Rel(to, file)
	switch {
	case err != nil || !filepath.IsLocal(below):
		r.Name = file
	case slices.Contains(Names(kind), below):
		r.Name = "./" + below // a file by the name of a built-in document
	default:
		r.Name = filepath.ToSlash(below)
	}
}
