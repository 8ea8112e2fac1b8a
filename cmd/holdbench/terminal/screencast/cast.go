package screencast

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
)

// Cast records a run in the format asciicast, version 2: a header, then a line for each change of the screen
// (docs.asciinema.org, asciicast v2). It has no time of day.
func Cast(ctx context.Context, c *sim.Case, o *Options) (*Recording, error) {
	const colours = 256 // what players have in common
	theme := page.Light
	if o.Dark {
		theme = page.Dark
	}
	f := &cast{paint: page.NewPaint(page.Colours{Number: colours, Theme: theme})}
	f.line(header{Version: 2, Width: o.Width, Height: o.Height, Title: title(c, o), Env: map[string]string{"TERM": "xterm-256color"}})
	return record(ctx, c, o, f, bounds())
}

// header is the first line.
type header struct {
	Version int               `json:"version"`
	Width   int               `json:"width"`
	Height  int               `json:"height"`
	Title   string            `json:"title"`
	Env     map[string]string `json:"env"`
}

// cast is the film of a terminal.
type cast struct {
	text  bytes.Buffer
	paint *page.Paint
	rows  []string // on the screen now
}

// What begins and ends a recording: an empty screen without a cursor, and the cursor on the last row again.
const (
	cleared  = "\x1b[?25l\x1b[2J\x1b[H"
	lastRow  = "\x1b[999;1H"
	cursorOn = "\x1b[0m\x1b[?25h" + lastRow + "\r\n"
)

// add writes the rows that are not as before.
func (c *cast) add(p *page.Page, fromS float64) {
	rows := strings.Split(p.ANSI(c.paint), "\n")
	var out strings.Builder
	if c.rows == nil {
		out.WriteString(cleared)
	}
	for y, row := range rows {
		if c.rows == nil || row != c.rows[y] {
			fmt.Fprintf(&out, "\x1b[%d;1H%s", y+1, row)
		}
	}
	if out.Len() > 0 {
		c.output(fromS, out.String())
	}
	c.rows = rows
}

func (c *cast) output(atS float64, text string) {
	const micro = 1e6
	c.line([]any{math.Round(atS*micro) / micro, "o", text})
}

// line writes a value on a line; a Buffer takes everything.
func (c *cast) line(v any) {
	encoder := json.NewEncoder(&c.text)
	encoder.SetEscapeHTML(false)
	_ = encoder.Encode(v) // of numbers and text
}

func (c *cast) size() int { return c.text.Len() }

func (c *cast) end(atS float64) []byte {
	c.output(atS, cursorOn)
	return c.text.Bytes()
}
