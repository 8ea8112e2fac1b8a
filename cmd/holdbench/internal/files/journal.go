package files

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"

	"github.com/gofrs/flock"

	"holdbench/scenarios/wholefile"
)

// Journal is the file of --keep: what is done, each on its line as soon as it is complete, so that an
// interruption loses only what is in progress. It is locked: no other process writes to it.
type Journal struct {
	lock    *flock.Flock
	file    *os.File
	path    string
	at      int64 // where new lines go
	begun   bool  // the file ends there
	Resumed bool  // it has its head already
}

// Kept is what a file has from before.
type Kept struct {
	Bytes  int64  // of the lines that are whole and are gone on behind
	Unlike string // in what it differs from what is wanted, empty if it is the same
}

// OpenJournal opens the file, with what holds of what it keeps, such as a probe or a sweep, and the line that it
// begins with. A file of something else is left alone, and one that another process has open is refused. The file
// is not changed until the first line is written: then what broke off behind the lines that are whole is cut.
func OpenJournal(path, what string, head []byte, anew bool, read func(io.Reader) (Kept, error)) (*Journal, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, CannotWrite(path, err)
	}
	j := &Journal{lock: flock.New(lockOf(path), flock.SetFlag(os.O_RDWR|os.O_CREATE), flock.SetPermissions(0o666)), file: file, path: path}
	locked, err := j.lock.TryLock()
	switch {
	case err != nil:
		err = CannotWrite(path, fmt.Errorf("it cannot be locked, %w; must be on a file system with locks", wholefile.Reason(err)))
	case !locked:
		err = fmt.Errorf("--keep %s is in use by another process; must be another FILE, or wait until that process has ended", path)
	default:
		err = j.takeOver(what, head, anew, read)
	}
	if err != nil {
		return nil, errors.Join(err, j.Close())
	}
	return j, nil
}

// lockOf is the file that is locked: the journal itself, but on Windows one beside it, as a lock there keeps the
// process that has it from reading by another handle.
func lockOf(path string) string {
	if runtime.GOOS == "windows" {
		return path + ".lock"
	}
	return path
}

// takeOver reads what the file has and finds where new lines go.
func (j *Journal) takeOver(what string, head []byte, anew bool, read func(io.Reader) (Kept, error)) error {
	had, err := read(j.Reader())
	fresh, freshErr := j.unbegun(head)
	switch {
	case freshErr != nil:
		return freshErr
	case fresh:
		return nil
	case err != nil:
		return fmt.Errorf("--keep %s: %w", j.path, err)
	case anew:
		return nil
	case had.Unlike != "":
		return fmt.Errorf("--keep %s holds another %s: %s; must be another FILE, or --anew discards it", j.path, what, had.Unlike)
	}
	j.Resumed, j.at = true, had.Bytes
	return nil
}

// Reader reads the file from its beginning.
func (j *Journal) Reader() io.Reader { return io.NewSectionReader(j.file, 0, math.MaxInt64) }

// unbegun is whether the file has nothing yet, or a head that broke off.
func (j *Journal) unbegun(head []byte) (bool, error) {
	start := make([]byte, len(head))
	n, err := j.file.ReadAt(start, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, CannotRead(j.path, err)
	}
	return n < len(head) && bytes.HasPrefix(head, start[:n]), nil
}

// Write adds a line.
func (j *Journal) Write(line []byte) error {
	if !j.begun {
		if err := j.cut(); err != nil {
			return j.failed(err)
		}
	}
	_, err := j.file.Write(line)
	return j.failed(err)
}

// cut ends the file where new lines go.
func (j *Journal) cut() error {
	err := j.file.Truncate(j.at)
	if err == nil {
		_, err = j.file.Seek(j.at, io.SeekStart)
	}
	j.begun = err == nil
	return err
}

// Close ends the journal.
func (j *Journal) Close() error { return j.failed(errors.Join(j.file.Close(), j.lock.Close())) }

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
