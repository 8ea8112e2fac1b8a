// Package progress keeps which lessons of the course a person has done, in a file of the person's state folder.
package progress

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"

	"holdbench/scenarios/wholefile"
)

// Score counts the questions of a lesson that was done.
type Score struct {
	Asked int `json:"asked"`
	Right int `json:"right"`
	Near  int `json:"near,omitempty"`
}

// Store is the progress of a course. It belongs to one goroutine. One whose file cannot be read or written goes
// on without it.
type Store struct {
	file  string // empty: nothing is kept
	done  map[string]Score
	fault error
}

// document is the file.
type document struct {
	Course  string           `json:"course"`
	Lessons map[string]Score `json:"lessons"`
}

// course is the one that there is.
const course = "brake-test"

// mostBytes bounds the file that is read.
const mostBytes = 1 << 20

// File is where the progress is kept: course.json in the folder holdbench of XDG_STATE_HOME, or of
// ~/.local/state; empty where neither is known. A relative XDG_STATE_HOME is none (XDG Base Directory
// Specification 0.8).
func File(env func(string) string) string {
	state := env("XDG_STATE_HOME")
	if !filepath.IsAbs(state) {
		home := env("HOME")
		if home == "" {
			home = env("USERPROFILE")
		}
		if !filepath.IsAbs(home) {
			return ""
		}
		state = filepath.Join(home, ".local", "state")
	}
	return filepath.Join(state, "holdbench", "course.json")
}

// Open reads a file, which need not be there. What cannot be read is left as it is, and [Store.Fault] says why.
func Open(file string) *Store {
	s := &Store{file: file, done: map[string]Score{}}
	if file == "" {
		s.fault = errors.New("progress is not kept: neither XDG_STATE_HOME nor HOME names a folder")
		return s
	}
	done, err := read(file)
	if err != nil {
		s.file = ""
		s.fault = fmt.Errorf("progress cannot be read and is not kept: %w; correct the file, or remove it to begin again", err)
		return s
	}
	s.done = done
	return s
}

// InMemory is a store that keeps nothing.
func InMemory() *Store { return &Store{done: map[string]Score{}} }

func read(file string) (map[string]Score, error) {
	f, err := wholefile.Open(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return map[string]Score{}, nil
	case err != nil:
		return nil, err
	}
	defer func() { _ = f.Close() }() // nothing was written
	text, err := io.ReadAll(io.LimitReader(f, mostBytes+1))
	switch {
	case err != nil:
		return nil, err
	case len(text) > mostBytes:
		return nil, fmt.Errorf("%s has more than %d bytes; must be a file of holdbench", file, mostBytes)
	}
	done, err := parse(text)
	if err != nil {
		return nil, fmt.Errorf("%s is damaged: %w", file, err)
	}
	return done, nil
}

func parse(text []byte) (map[string]Score, error) {
	var d document
	decode := json.NewDecoder(bytes.NewReader(text))
	if err := decode.Decode(&d); err != nil {
		return nil, err
	}
	if d.Course != course {
		return nil, fmt.Errorf("course is %.40q; must be %q", d.Course, course)
	}
	for name, s := range d.Lessons {
		if s.Asked < 0 || s.Right < 0 || s.Near < 0 || s.Right+s.Near > s.Asked {
			return nil, fmt.Errorf("lesson %.40q has %d right and %d near of %d questions", name, s.Right, s.Near, s.Asked)
		}
	}
	if d.Lessons == nil {
		d.Lessons = map[string]Score{}
	}
	return d.Lessons, nil
}

// Fault is why progress is not kept, nil if it is.
func (s *Store) Fault() error { return s.fault }

// Done is the score of a lesson, false if it was not done.
func (s *Store) Done(scenario string) (Score, bool) {
	score, ok := s.done[scenario]
	return score, ok
}

// best is the better of two scores of a lesson: a lesson that is played again loses nothing. Of a lesson that asks
// something else by now, the newer one counts.
func best(before, now Score) Score {
	switch {
	case before.Asked != now.Asked, now.Right > before.Right:
		return now
	case now.Right == before.Right && now.Near > before.Near:
		return now
	}
	return before
}

// Finish notes that a lesson is done; the best score is kept. Save, which may run beside the store, writes it; it is nil where nothing is
// kept.
func (s *Store) Finish(scenario string, score Score) (save func() error) {
	if before, done := s.done[scenario]; done {
		score = best(before, score)
	}
	s.done[scenario] = score
	if s.file == "" {
		return nil
	}
	file := s.file
	return func() error { return write(file, scenario, score) }
}

// write adds a lesson to the file as it is now: another bench may have written it meanwhile.
func write(file, scenario string, score Score) error {
	err := os.MkdirAll(filepath.Dir(file), 0o700)
	if err != nil {
		return fmt.Errorf("progress is not kept: %w", err)
	}
	done, err := read(file)
	if err != nil {
		return fmt.Errorf("progress is not kept: %w", err)
	}
	done = maps.Clone(done)
	if before, ok := done[scenario]; ok {
		score = best(before, score)
	}
	done[scenario] = score
	text, err := json.MarshalIndent(document{course, done}, "", "  ")
	if err != nil {
		return fmt.Errorf("progress is not kept: %w", err)
	}
	f, err := wholefile.Create(file, true)
	if err != nil {
		return fmt.Errorf("progress is not kept in %s: %w", file, err)
	}
	if _, err := f.Write(append(text, '\n')); err != nil {
		f.Abandon()
		return fmt.Errorf("progress is not kept in %s: %w", file, err)
	}
	if err := f.Commit(); err != nil {
		return fmt.Errorf("progress is not kept in %s: %w", file, err)
	}
	return nil
}
