package controller

import (
	"bytes"
	"io"
	"strings"
	"sync"
)

const (
	// mostPassed bounds what is passed on of the standard error of one process, in bytes.
	mostPassed = 64 << 10
	// mostLast bounds the last line that is kept, in bytes.
	mostLast = 160
)

// tail passes on what a process writes to its standard error, up to a bound, and keeps the last line
// that is not empty.
type tail struct {
	to io.Writer // nil: nothing is passed on

	mu     sync.Mutex
	passed int
	line   []byte // that is being written
	newest string // the last complete one
}

// Write never fails: nothing that a controller says to people may stop it.
func (t *tail) Write(text []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if part := text[:min(len(text), mostPassed-t.passed)]; t.to != nil && len(part) > 0 {
		t.passed += len(part)
		_, _ = t.to.Write(part)
	}
	for rest := text; len(rest) > 0; {
		end := bytes.IndexByte(rest, '\n')
		if end < 0 {
			t.add(rest)
			break
		}
		t.add(rest[:end])
		t.finish()
		rest = rest[end+1:]
	}
	return len(text), nil
}

func (t *tail) add(part []byte) {
	t.line = append(t.line, part[:min(len(part), mostLast-min(mostLast, len(t.line)))]...)
}

func (t *tail) finish() {
	if text := strings.TrimSpace(string(t.line)); text != "" {
		t.newest = text
	}
	t.line = t.line[:0]
}

// last is the last line.
func (t *tail) last() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.finish()
	return t.newest
}
