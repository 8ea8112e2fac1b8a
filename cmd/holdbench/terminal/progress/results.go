package progress

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// ResultsFile is where results of riddles are kept without another file: riddles.jsonl beside that of the course;
// empty where no folder is known.
func ResultsFile(env func(string) string) string {
	course := File(env)
	if course == "" {
		return ""
	}
	return filepath.Join(filepath.Dir(course), "riddles.jsonl")
}

// AppendResult adds a line of JSON to a file of results, which need not be there. One with something else in it is left
// as it is. The line is written at once, so that two benches may write to the same file.
func AppendResult(file string, line []byte) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return fmt.Errorf("the result is not kept: %w", err)
	}
	f, err := os.OpenFile(file, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return fmt.Errorf("the result is not kept: %w", err)
	}
	err = checkResults(f)
	if err == nil {
		_, err = f.Write(append(line, '\n'))
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("the result is not kept in %s: %w", file, err)
	}
	return nil
}

// checkResults refuses a file that does not begin with a line of JSON, or does not end with the end of a line.
func checkResults(f *os.File) error {
	about, err := f.Stat()
	if err != nil || about.Size() == 0 {
		return err
	}
	if !about.Mode().IsRegular() {
		return errors.New("it is no regular file")
	}
	var last [1]byte
	if _, err := f.ReadAt(last[:], about.Size()-1); err != nil {
		return err
	}
	first, err := bufio.NewReaderSize(f, 1<<16).ReadSlice('\n')
	if err != nil || !json.Valid(first) || last[0] != '\n' {
		return errors.New("it has something else in it; must be a file of results, or a new one")
	}
	return nil
}
