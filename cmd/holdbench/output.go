package main

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

// cannotPrint is what became of standard output.
func cannotPrint(err error) error { return fmt.Errorf("cannot write to standard output: %w", err) }

// writeJSON writes one value on one line. Signs such as > stay readable: nothing of
// it goes into a web page.
func writeJSON(w io.Writer, v any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	return encoder.Encode(v)
}

// target is a file that appears whole or not at all, or a stream.
type target struct {
	*bufio.Writer
	path   string   // as the user wrote it
	file   *os.File // what is written to; nil for a stream that is not ours
	rename string   // where the file goes at the end; empty for a stream
}

// isStdout tells the names under which standard output goes as a file.
func isStdout(path string) bool {
	switch path {
	case "-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1":
		return true
	}
	return false
}

// openTarget opens a path for writing. A regular file is written beside its place
// and renamed by close.
func openTarget(path string, stdout io.Writer) (*target, error) {
	if isStdout(path) {
		return &target{Writer: bufio.NewWriter(stdout), path: path}, nil
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return nil, cannotWrite(path, errors.New("it is a folder; must be a file"))
	case err == nil && !info.Mode().IsRegular():
		return openStream(path)
	case err == nil:
		return openBeside(path, info.Mode().Perm())
	case errors.Is(err, fs.ErrNotExist):
		return openBeside(path, 0)
	}
	return nil, cannotWrite(path, err)
}

// openStream opens a device or a pipe, which nothing can be renamed over.
func openStream(path string) (*target, error) {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return nil, cannotWrite(path, err)
	}
	return &target{Writer: bufio.NewWriter(f), path: path, file: f}, nil
}

// openBeside opens a new file in the folder of the path. The mode is that of the
// file to be replaced; 0 if there is none.
func openBeside(path string, mode fs.FileMode) (*target, error) {
	place := path
	if mode != 0 {
		if err := writable(path); err != nil {
			return nil, cannotWrite(path, err)
		}
		if behind, err := filepath.EvalSymlinks(path); err == nil {
			place = behind // the file behind a link is replaced, not the link
		}
	}
	beside := filepath.Join(filepath.Dir(place), "."+filepath.Base(place)+"."+strconv.Itoa(os.Getpid())+".part")
	f, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return nil, cannotWrite(path, err)
	}
	t := &target{Writer: bufio.NewWriterSize(f, 1<<16), path: path, file: f, rename: place}
	if mode != 0 {
		if err := f.Chmod(mode); err != nil {
			t.abandon()
			return nil, cannotWrite(path, err)
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

// close puts the file in its place. If anything fails nothing is left behind.
func (t *target) close() error {
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

// abandon gives the file up; what stood under its name stays as it was.
func (t *target) abandon() {
	if t.file == nil {
		return
	}
	_ = t.file.Close()
	if t.rename != "" {
		_ = os.Remove(t.file.Name())
	}
}

func (t *target) failed(err error) error {
	if err == nil {
		return nil
	}
	return cannotWrite(t.path, err)
}

// cannotWrite names the path as the user gave it, not the file beside it.
func cannotWrite(path string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return fmt.Errorf("cannot write %s: %w", path, err)
}

// sameFile is whether two paths lead to one file, there already or not. Streams are no files.
func sameFile(one, other string) bool {
	if one == "" || other == "" || isDevice(one) || isDevice(other) {
		return false
	}
	a, errA := os.Stat(one)
	b, errB := os.Stat(other)
	if errA == nil && errB == nil {
		return os.SameFile(a, b)
	}
	return filepath.Clean(one) == filepath.Clean(other)
}

// isDevice tells a path that is no regular file and so needs no ending.
func isDevice(path string) bool {
	if isStdout(path) {
		return true
	}
	info, err := os.Stat(path)
	return err == nil && !info.IsDir() && !info.Mode().IsRegular()
}
