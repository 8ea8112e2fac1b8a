// Package wholefile writes files that appear whole or not at all.
//
// It is ours because the kept libraries would make it worse: renameio builds on Unix alone,
// natefinch/atomic takes no stream and gives new files the permissions of a temporary one
// instead of those that the user's mask leaves. Neither follows a link to its target,
// and neither respects a file that another process created in the meantime.
package wholefile

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/gofrs/flock"
)

// File is a file being written. It is written beside its final path and renamed when it is
// complete; until then, and if it is abandoned, an existing file stays as it is.
type File struct {
	file  *os.File
	lock  *flock.Flock // shows other processes that the file is being written
	place string
	fresh bool // no file may exist under the name
}

// Create begins a file. An existing one is kept and the error is an [fs.ErrExist], unless it
// is to be overwritten; then it keeps its permissions, and of a link its target is replaced.
// Only regular files can be overwritten.
func Create(path string, overwrite bool) (*File, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return beside(path, 0, !overwrite)
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, errors.New("it is a folder; must be a file")
	case !info.Mode().IsRegular():
		return nil, errors.New("it is a device or the like; must be a file")
	case !overwrite:
		return nil, fs.ErrExist
	}
	if err := writable(path, info); err != nil {
		return nil, err
	}
	behind, err := filepath.EvalSymlinks(path)
	if err != nil {
		return nil, err
	}
	return beside(behind, info.Mode().Perm(), false)
}

// writable checks the permission to write, which a rename would not need.
func writable(path string, info fs.FileInfo) error {
	if info.Mode().Perm()&0o200 == 0 {
		return fmt.Errorf("it is protected against writing: %w", fs.ErrPermission)
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return f.Close()
}

// drawnLetters is the length of what is drawn.
const drawnLetters = 12

// beside makes the file that is written to, with a mode, 0 for that of a new file. Its name is drawn, so that
// nobody can put something there ahead; it decides nothing else.
func beside(place string, mode fs.FileMode, fresh bool) (*File, error) {
	return besideNamed(place, rand.Text()[:drawnLetters], mode, fresh)
}

// besideNamed makes the file itself: one that is there, a link too, is an error.
func besideNamed(place, drawn string, mode fs.FileMode, fresh bool) (*File, error) {
	folder, name := filepath.Split(place)
	f, err := os.OpenFile(folder+"."+name+"."+drawn+partEnding, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, err
	}
	w := &File{f, lockOf(f.Name()), place, fresh}
	removeStale(f, folder, name)
	if mode != 0 {
		if err := f.Chmod(mode); err != nil {
			w.Abandon()
			return nil, err
		}
	}
	return w, nil
}

// Write adds to the file.
func (f *File) Write(p []byte) (int, error) { return f.file.Write(p) }

// Commit puts the file in its place. If anything fails nothing is left behind.
func (f *File) Commit() error {
	defer f.unlock()     // once it has its name
	err := f.file.Sync() // or a loss of power might leave the name without the text
	if err = errors.Join(err, f.file.Close()); err == nil {
		err = f.name()
	}
	if err != nil {
		_ = os.Remove(f.file.Name()) // the first error is the one to report
	}
	return err
}

// name renames the file to its final path.
func (f *File) name() error {
	from := f.file.Name()
	if !f.fresh {
		return os.Rename(from, f.place)
	}
	err := os.Link(from, f.place) // finds a name that was taken in the meantime
	switch {
	case err == nil:
		return os.Remove(from)
	case errors.Is(err, fs.ErrExist):
		return err
	}
	if _, err := os.Lstat(f.place); err == nil { // not every file system has links
		return fs.ErrExist
	}
	return os.Rename(from, f.place)
}

// Abandon discards the file.
func (f *File) Abandon() {
	defer f.unlock()
	_ = f.file.Close()
	_ = os.Remove(f.file.Name())
}

// Reason is an error without the name of the file beside the place, which says nothing to who
// gave the name of the place.
func Reason(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
