// Package follow shows the run of a bench on a second screen: the bench serves it on the loopback interface, and a
// follower in another terminal draws it. Both speak in lines of JSON. A follower asks for a size and for what is to be
// seen, and gets the rows that change; it changes nothing on the bench.
package follow

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"holdbench/cmd/holdbench/terminal/page"
)

// version is that of the protocol; both sides must have the same.
const version = 1

// Bounds of what the other side may ask for or send.
const (
	mostWidth, mostHeight = 400, 200 // cells
	mostRequest           = 4 << 10  // bytes of a line
	mostFrame             = 4 << 20
)

// request is what a follower wants to see.
type request struct {
	Version int  `json:"holdbench_follow"`
	Width   int  `json:"width"`
	Height  int  `json:"height"`
	Truth   bool `json:"truth"`
	Large   bool `json:"large"`
	ASCII   bool `json:"ascii"`
}

// readRequest reads a line of a follower.
func readRequest(line []byte) (request, error) {
	var r request
	switch err := json.Unmarshal(line, &r); {
	case err != nil:
		return r, fmt.Errorf("no request of a follower: %w", err)
	case r.Version != version:
		return r, fmt.Errorf("protocol %d; must be %d", r.Version, version)
	}
	r.Width, r.Height = min(max(r.Width, 0), mostWidth), min(max(r.Height, 0), mostHeight)
	return r, nil
}

// frame is what changes on the screen of a follower, or why there will be no more.
type frame struct {
	Version int    `json:"holdbench_bench"`
	Width   int    `json:"width"`
	Height  int    `json:"height"`
	Rows    []row  `json:"rows,omitempty"`
	Locked  bool   `json:"truth_locked,omitempty"` // nobody sees the truth now
	End     string `json:"end,omitempty"`
}

// row is one line of the screen.
type row struct {
	Y    int        `json:"y"`
	Runs []page.Run `json:"runs"`
}

// readFrame reads a line of a bench. What is in it may be anything; it is drawn cell by cell, so that nothing of it
// steers the terminal.
func readFrame(line []byte) (frame, error) {
	var f frame
	switch err := json.Unmarshal(line, &f); {
	case err != nil:
		return f, errors.New("what answers there is no bench of holdbench")
	case f.Version != version:
		return f, fmt.Errorf("the bench speaks protocol %d; must be %d, that of the same holdbench", f.Version, version)
	case f.Width < 0 || f.Height < 0 || f.Width > mostWidth || f.Height > mostHeight:
		return f, fmt.Errorf("the bench sends a screen of %d by %d cells; must be %d by %d at most", f.Width, f.Height, mostWidth, mostHeight)
	}
	return f, nil
}

// draw draws the rows on a page, anew if it has another size.
func (f *frame) draw(p *page.Page, ascii bool) *page.Page {
	if p == nil || p.W() != f.Width || p.H() != f.Height {
		p = page.New(f.Width, f.Height, ascii)
	}
	for _, r := range f.Rows {
		line := p.Area().Sub(0, r.Y, f.Width, 1)
		line.Fill(' ', page.Plain)
		x := 0
		for _, part := range r.Runs {
			x = line.Text(x, 0, part.Role, part.Text)
		}
	}
	return p
}

// changed are the rows of a page that are not as those of the one before.
func changed(before, now *page.Page) frame {
	f := frame{Version: version, Width: now.W(), Height: now.H()}
	anew := before == nil || before.W() != now.W() || before.H() != now.H()
	for y := range now.H() {
		if runs := now.Runs(y); anew || !equal(before.Runs(y), runs) {
			f.Rows = append(f.Rows, row{y, runs})
		}
	}
	return f
}

func equal(a, b []page.Run) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// lines reads lines of a bounded length.
func lines(r io.Reader, most int) *bufio.Scanner {
	s := bufio.NewScanner(r)
	s.Buffer(make([]byte, 0, min(most, bufio.MaxScanTokenSize)), most)
	return s
}

// lineOf is a value as a line.
func lineOf(v any) []byte {
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	_ = encoder.Encode(v) // of numbers and text
	return text.Bytes()
}
