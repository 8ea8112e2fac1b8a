// Package vcd writes value change dumps of four states as IEEE 1364-2005, clause 18, has them.
package vcd

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Kind is what a variable holds.
type Kind int

// The kinds.
const (
	Wire    Kind = iota // one bit: 0 or 1
	Integer             // a whole number of 32 bits, not negative
	Real
)

// Variable is one variable. Those of a scope stand together; an empty scope is the outermost one.
type Variable struct {
	Scope, Name string
	Kind        Kind
}

// Heading is what stands ahead of the variables. Without a date the same values give the same bytes.
type Heading struct {
	Date, Version string
	Comments      []string
	Top           string        // name of the outermost scope
	Tick          time.Duration // what all moments are multiples of
}

// Dump is a dump being written. What it is written to should be buffered.
type Dump struct {
	out       io.Writer
	unit      time.Duration // of the time scale
	variables []Variable
	codes     []string
	last      []float64
	begun     bool
	at        int64 // newest moment, in units
	written   int64 // newest moment that was written
	line      []byte
}

// New writes the heading. Names must be plain identifiers.
func New(out io.Writer, h Heading, variables []Variable) (*Dump, error) {
	unit, scale, err := timescale(h.Tick)
	if err != nil {
		return nil, err
	}
	d := &Dump{out: out, unit: unit, variables: variables, last: make([]float64, len(variables))}
	var b bytes.Buffer
	for _, part := range []struct{ keyword, text string }{{"date", h.Date}, {"version", h.Version}} {
		if part.text != "" {
			section(&b, part.keyword, part.text)
		}
	}
	for _, text := range h.Comments {
		section(&b, "comment", text)
	}
	section(&b, "timescale", scale)
	if err := d.declare(&b, h.Top); err != nil {
		return nil, err
	}
	_, err = out.Write(b.Bytes())
	return d, err
}

// section writes a keyword with its text, which cannot end it.
func section(b *bytes.Buffer, keyword, text string) {
	text = strings.ReplaceAll(strings.Join(strings.Fields(text), " "), "$end", "$ end")
	fmt.Fprintf(b, "$%s %s $end\n", keyword, text)
}

// timescale is the largest unit that divides a tick: 1, 10 or 100 of s, ms, us or ns.
func timescale(tick time.Duration) (time.Duration, string, error) {
	for unit, names := time.Second, []string{"s", "ms", "us", "ns"}; len(names) > 0; unit, names = unit/1000, names[1:] {
		for _, n := range []time.Duration{100, 10, 1} {
			if tick > 0 && tick%(n*unit) == 0 {
				return n * unit, fmt.Sprintf("%d %s", n, names[0]), nil
			}
		}
	}
	return 0, "", fmt.Errorf("a tick of %s; must be above 0", tick)
}

// identifier is a simple identifier, clause 3 (from memory).
var identifier = regexp.MustCompile(`^[a-zA-Z_][a-zA-Z0-9_$]*$`)

// declare writes the variables within their scopes.
func (d *Dump) declare(b *bytes.Buffer, top string) error {
	types := [...]string{Wire: "wire 1", Integer: "integer 32", Real: "real 64"}
	scope := ""
	section(b, "scope", "module "+top)
	for i, v := range d.variables {
		if !identifier.MatchString(v.Name) {
			return fmt.Errorf("a variable %q; must be letters, digits and _", v.Name)
		}
		if v.Scope != scope {
			if scope != "" {
				b.WriteString("$upscope $end\n")
			}
			section(b, "scope", "module "+v.Scope)
			scope = v.Scope
		}
		d.codes = append(d.codes, code(i))
		fmt.Fprintf(b, "$var %s %s %s $end\n", types[v.Kind], d.codes[i], v.Name)
	}
	if scope != "" {
		b.WriteString("$upscope $end\n")
	}
	b.WriteString("$upscope $end\n$enddefinitions $end\n")
	return nil
}

// code is the identifier code of a variable, of the printable characters from ! to ~.
func code(i int) string {
	const first, signs = '!', '~' - '!' + 1
	text := ""
	for ; ; i = i/signs - 1 {
		text += string(rune(first + i%signs))
		if i < signs {
			return text
		}
	}
}

// Comment writes a comment between two moments.
func (d *Dump) Comment(text string) error {
	var b bytes.Buffer
	section(&b, "comment", text)
	_, err := d.out.Write(b.Bytes())
	return err
}

// Moment writes what has changed since the moment before, one value a variable: 0 or 1 of a wire,
// the number of an integer or a real.
func (d *Dump) Moment(at time.Duration, values []float64) error {
	if at%d.unit != 0 || at < 0 || d.begun && int64(at/d.unit) <= d.at {
		return fmt.Errorf("a moment at %s; must be a later multiple of %s", at, d.unit)
	}
	if len(values) != len(d.variables) {
		return fmt.Errorf("%d values for %d variables", len(values), len(d.variables))
	}
	d.at = int64(at / d.unit)
	d.line = d.line[:0]
	if !d.begun {
		d.line = append(d.appendTime(d.line), "$dumpvars\n"...)
	}
	for i, x := range values {
		if d.begun && math.Float64bits(x) == math.Float64bits(d.last[i]) {
			continue
		}
		if len(d.line) == 0 {
			d.line = d.appendTime(d.line)
		}
		var err error
		if d.line, err = d.appendValue(d.line, i, x); err != nil {
			return err
		}
	}
	if !d.begun {
		d.line = append(d.line, "$end\n"...)
	}
	copy(d.last, values)
	d.begun = true
	return d.flush()
}

func (d *Dump) flush() error {
	if len(d.line) == 0 {
		return nil
	}
	_, err := d.out.Write(d.line)
	return err
}

func (d *Dump) appendTime(dst []byte) []byte {
	d.written = d.at
	return append(strconv.AppendInt(append(dst, '#'), d.at, 10), '\n')
}

// appendValue appends a value and the code of its variable: that of a real after a blank, and that of a
// vector without leading zeros (clause 18.2).
func (d *Dump) appendValue(dst []byte, i int, x float64) ([]byte, error) {
	switch kind := d.variables[i].Kind; {
	case kind == Real:
		dst = append(appendReal(append(dst, 'r'), x), ' ')
	case x != math.Trunc(x) || x < 0 || x > math.MaxInt32 || kind == Wire && x > 1:
		return dst, fmt.Errorf("%s is %g; must be %s", d.variables[i].Name, x, [...]string{Wire: "0 or 1", Integer: "a whole number of 31 bits"}[kind])
	case kind == Integer:
		dst = append(strconv.AppendInt(append(dst, 'b'), int64(x), 2), ' ')
	default:
		dst = strconv.AppendInt(dst, int64(x), 10)
	}
	return append(append(dst, d.codes[i]...), '\n'), nil
}

// appendReal writes a number with as many digits as give the same number when it is read. The standard
// names printf's %.16g, which writes what is no number in lower-case letters.
func appendReal(dst []byte, x float64) []byte {
	switch {
	case math.IsNaN(x):
		return append(dst, "nan"...)
	case math.IsInf(x, 1):
		return append(dst, "inf"...)
	case math.IsInf(x, -1):
		return append(dst, "-inf"...)
	}
	return strconv.AppendFloat(dst, x, 'g', -1, 64)
}

// Close writes the last moment, where nothing changed in it, so that a reader knows the end.
func (d *Dump) Close() error {
	d.line = d.line[:0]
	if d.begun && d.written != d.at {
		d.line = d.appendTime(d.line)
	}
	return d.flush()
}
