// Package files writes files that appear whole or not at all, keeps journals that can be gone on
// with, and shows progress.
package files

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
)

// CannotPrint is what became of standard output.
func CannotPrint(err error) error { return fmt.Errorf("cannot write to standard output: %w", err) }

// WriteJSON writes one value on one line. Signs such as > stay readable: nothing of
// it goes into a web page.
func WriteJSON(w io.Writer, v any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	return encoder.Encode(v)
}

// Target is a file that appears whole or not at all, or a stream.
type Target struct {
	*bufio.Writer
	Path   string   // as the user wrote it
	file   *os.File // what is written to; nil for a stream that is not ours
	rename string   // where the file goes at the end; empty for a stream
}

// IsStdout tells the names under which standard output goes as a file.
func IsStdout(path string) bool {
	switch path {
	case "-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1":
		return true
	}
	return false
}

// Create opens a path for writing. A regular file is written beside its place
// and renamed by close.
func Create(path string, stdout io.Writer) (*Target, error) {
	if IsStdout(path) {
		return &Target{Writer: bufio.NewWriter(stdout), Path: path}, nil
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return nil, CannotWrite(path, errors.New("it is a folder; must be a file"))
	case err == nil && !info.Mode().IsRegular():
		return openStream(path)
	case err == nil:
		return openBeside(path, info.Mode().Perm())
	case errors.Is(err, fs.ErrNotExist):
		return openBeside(path, 0)
	}
	return nil, CannotWrite(path, err)
}

// openStream opens a device or a pipe, which nothing can be renamed over.
func openStream(path string) (*Target, error) {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return nil, CannotWrite(path, err)
	}
	return &Target{Writer: bufio.NewWriter(f), Path: path, file: f}, nil
}

// openBeside opens a new file in the folder of the path. The mode is that of the
// file to be replaced; 0 if there is none.
func openBeside(path string, mode fs.FileMode) (*Target, error) {
	place := path
	if mode != 0 {
		if err := writable(path); err != nil {
			return nil, CannotWrite(path, err)
		}
		if behind, err := filepath.EvalSymlinks(path); err == nil {
			place = behind // the file behind a link is replaced, not the link
		}
	}
	beside := filepath.Join(filepath.Dir(place), "."+filepath.Base(place)+"."+strconv.Itoa(os.Getpid())+".part")
	f, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return nil, CannotWrite(path, err)
	}
	t := &Target{Writer: bufio.NewWriterSize(f, 1<<16), Path: path, file: f, rename: place}
	if mode != 0 {
		if err := f.Chmod(mode); err != nil {
			t.Abandon()
			return nil, CannotWrite(path, err)
		}
	}
	return t, nil
}

// writable asks for the right to write that a rename would not need.
func writable(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return f.Close()
}

// Close puts the file in its place. If anything fails nothing is left behind.
func (t *Target) Close() error {
	err := t.Flush()
	if t.file == nil {
		return t.failed(err)
	}
	if t.rename == "" {
		return t.failed(errors.Join(err, t.file.Close()))
	}
	if err == nil {
		err = t.file.Sync()
	}
	if err = errors.Join(err, t.file.Close()); err == nil {
		err = os.Rename(t.file.Name(), t.rename)
	}
	if err != nil {
		_ = os.Remove(t.file.Name()) // the first error is the one to tell
	}
	return t.failed(err)
}

// Abandon gives the file up; what stood under its name stays as it was.
func (t *Target) Abandon() {
	if t.file == nil {
		return
	}
	_ = t.file.Close()
	if t.rename != "" {
		_ = os.Remove(t.file.Name())
	}
}

func (t *Target) failed(err error) error {
	if err == nil {
		return nil
	}
	return CannotWrite(t.Path, err)
}

// CannotWrite names the path as the user gave it, not the file beside it.
func CannotWrite(path string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return fmt.Errorf("cannot write %s: %w", path, err)
}

// SameFile is whether two paths lead to one file, there already or not. Streams are no files.
func SameFile(one, other string) bool {
	if one == "" || other == "" || IsDevice(one) || IsDevice(other) {
		return false
	}
	a, errA := os.Stat(one)
	b, errB := os.Stat(other)
	if errA == nil && errB == nil {
		return os.SameFile(a, b)
	}
	return filepath.Clean(one) == filepath.Clean(other)
}

// IsDevice tells a path that is no regular file and so needs no ending.
func IsDevice(path string) bool {
	if IsStdout(path) {
		return true
	}
	info, err := os.Stat(path)
	return err == nil && !info.IsDir() && !info.Mode().IsRegular()
}
