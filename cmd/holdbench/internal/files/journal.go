package files

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"holdbench/scenarios/wholefile"
)

// Journal is the file of --keep: what is done, each on its line as soon as it
// is complete, so that an interruption loses only what is in progress.
type Journal struct {
	file    *os.File
	path    string
	Resumed bool // it has its head already
}

// Kept is what a file has from before.
type Kept struct {
	Bytes  int64  // of the lines that are whole and are gone on behind
	Unlike string // in what it differs from what is wanted, empty if it is the same
}

// OpenJournal opens the file, with what holds of what it keeps: a probe, a sweep. A line that
// broke off is cut; a file of something else is left alone.
func OpenJournal(path, what string, head any, anew bool, read func(io.Reader) (Kept, error)) (*Journal, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, CannotWrite(path, err)
	}
	j := &Journal{file: file, path: path}
	if err := j.takeOver(what, head, anew, read); err != nil {
		return nil, errors.Join(err, j.Close())
	}
	return j, nil
}

// takeOver reads what the file has and stands where new lines go.
func (j *Journal) takeOver(what string, head any, anew bool, read func(io.Reader) (Kept, error)) error {
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
	case had.Unlike != "":
		return fmt.Errorf("--keep %s holds another %s: %s; must be another FILE, or --anew discards it", j.path, what, had.Unlike)
	}
	j.Resumed = true
	return j.cut(had.Bytes)
}

// unbegun is whether the file has nothing yet, or a head that broke off.
func (j *Journal) unbegun(head any) (bool, error) {
	var line bytes.Buffer
	if err := WriteJSON(&line, head); err != nil {
		return false, err
	}
	start := make([]byte, line.Len())
	n, err := j.file.ReadAt(start, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, CannotRead(j.path, err)
	}
	return n < line.Len() && bytes.HasPrefix(line.Bytes(), start[:n]), nil
}

func (j *Journal) cut(at int64) error {
	err := j.file.Truncate(at)
	if err == nil {
		_, err = j.file.Seek(at, io.SeekStart)
	}
	return j.failed(err)
}

// Write adds a line.
func (j *Journal) Write(line []byte) error {
	_, err := j.file.Write(line)
	return j.failed(err)
}

// Close ends the journal.
func (j *Journal) Close() error { return j.failed(j.file.Close()) }

func (j *Journal) failed(err error) error {
	if err == nil {
		return nil
	}
	return CannotWrite(j.path, err)
}

// CannotRead names the path as the user gave it.
func CannotRead(path string, err error) error {
	return fmt.Errorf("cannot read %s: %w", path, wholefile.Reason(err))
}
