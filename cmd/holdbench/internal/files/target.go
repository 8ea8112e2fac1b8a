// Package files writes files that appear whole or not at all, keeps journals that can be gone on
// with, and shows progress.
package files

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"holdbench/scenarios/wholefile"
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
	Path   string          // as the user wrote it
	file   *wholefile.File // nil for a stream
	stream *os.File        // nil for a file, and for a stream that is not ours
}

// IsStdout is whether a path is a name of standard output.
func IsStdout(path string) bool {
	switch path {
	case "-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1":
		return true
	}
	return false
}

// WriteWhole writes a text to a path.
func WriteWhole(path string, stdout io.Writer, text []byte) error {
	out, err := Create(path, stdout)
	if err != nil {
		return err
	}
	if _, err := out.Write(text); err != nil {
		out.Abandon()
		return CannotWrite(path, err)
	}
	return out.Close()
}

// Create opens a path for writing. A regular file gets its name with Close.
func Create(path string, stdout io.Writer) (*Target, error) {
	if IsStdout(path) {
		return &Target{Writer: bufio.NewWriter(stdout), Path: path}, nil
	}
	if IsDevice(path) { // nothing can be renamed over it
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return nil, CannotWrite(path, err)
		}
		return &Target{Writer: bufio.NewWriter(f), Path: path, stream: f}, nil
	}
	f, err := wholefile.Create(path, true)
	if err != nil {
		return nil, CannotWrite(path, err)
	}
	return &Target{Writer: bufio.NewWriterSize(f, 1<<16), Path: path, file: f}, nil
}

// Open opens a file that is read as a whole; a pipe or a device is refused.
func Open(path string) (*os.File, error) {
	f, err := wholefile.Open(path)
	if err != nil {
		return nil, CannotRead(path, err)
	}
	return f, nil
}

// mostBytes bounds a file that is read into memory.
const mostBytes = 1 << 30

// ReadFile reads a file into memory.
func ReadFile(path string) ([]byte, error) {
	f, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() //nolint:errcheck // nothing was written
	text, err := io.ReadAll(io.LimitReader(f, mostBytes+1))
	switch {
	case err != nil:
		return nil, CannotRead(path, err)
	case len(text) > mostBytes:
		return nil, fmt.Errorf("cannot read %s: it has more than %d bytes", path, mostBytes)
	}
	return text, nil
}

// Close puts the file in its place. If anything fails nothing is left behind.
func (t *Target) Close() error {
	err := t.Flush()
	switch {
	case err != nil:
		t.Abandon()
	case t.file != nil:
		err = t.file.Commit()
	case t.stream != nil:
		err = t.stream.Close()
	}
	if err == nil {
		return nil
	}
	return CannotWrite(t.Path, err)
}

// Abandon gives the file up; what stood under its name stays as it was.
func (t *Target) Abandon() {
	switch {
	case t.file != nil:
		t.file.Abandon()
	case t.stream != nil:
		_ = t.stream.Close()
	}
}

// CannotWrite names the path as the user gave it, not the file beside it.
func CannotWrite(path string, err error) error {
	return fmt.Errorf("cannot write %s: %w", path, wholefile.Reason(err))
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

// IsDevice is whether a path is no regular file, and so needs no ending.
func IsDevice(path string) bool {
	if IsStdout(path) {
		return true
	}
	info, err := os.Stat(path)
	return err == nil && !info.IsDir() && !info.Mode().IsRegular()
}
