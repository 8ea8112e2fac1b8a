package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// journal is the file of --keep: what is done, each on its line as soon as it
// is there, so that an interruption costs only what was on its way.
type journal struct {
	file *os.File
	path string
	kept bool // it has its head already
}

// kept is what a file has from before.
type kept struct {
	bytes  int64  // of the lines that are whole and are gone on behind
	unlike string // in what it differs from what is wanted, empty if it is the same
}

// openJournal opens the file, with what holds of what it keeps: a probe, a sweep. A line that
// broke off is cut; a file of something else is left alone.
func openJournal(path, what string, head any, anew bool, read func(io.Reader) (kept, error)) (*journal, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, cannotWrite(path, err)
	}
	j := &journal{file: file, path: path}
	if err := j.takeOver(what, head, anew, read); err != nil {
		return nil, errors.Join(err, j.close())
	}
	return j, nil
}

// takeOver reads what the file has and stands where new lines go.
func (j *journal) takeOver(what string, head any, anew bool, read func(io.Reader) (kept, error)) error {
	had, err := read(j.file)
	fresh, freshErr := j.unbegun(head)
	switch {
	case freshErr != nil:
		return freshErr
	case fresh:
		return j.cut(0)
	case err != nil:
		return fmt.Errorf("--keep %s: %w", j.path, err)
	case anew:
		return j.cut(0)
	case had.unlike != "":
		return fmt.Errorf("--keep %s holds another %s: %s; must be another FILE, or --anew starts it over", j.path, what, had.unlike)
	}
	j.kept = true
	return j.cut(had.bytes)
}

// unbegun is whether the file has nothing yet, or a head that broke off.
func (j *journal) unbegun(head any) (bool, error) {
	var line bytes.Buffer
	if err := writeJSON(&line, head); err != nil {
		return false, err
	}
	start := make([]byte, line.Len())
	n, err := j.file.ReadAt(start, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, cannotRead(j.path, err)
	}
	return n < line.Len() && bytes.HasPrefix(line.Bytes(), start[:n]), nil
}

func (j *journal) cut(at int64) error {
	err := j.file.Truncate(at)
	if err == nil {
		_, err = j.file.Seek(at, io.SeekStart)
	}
	return j.failed(err)
}

func (j *journal) write(line []byte) error {
	_, err := j.file.Write(line)
	return j.failed(err)
}

func (j *journal) close() error { return j.failed(j.file.Close()) }

func (j *journal) failed(err error) error {
	if err == nil {
		return nil
	}
	return cannotWrite(j.path, err)
}

func cannotRead(path string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return fmt.Errorf("cannot read %s: %w", path, err)
}
