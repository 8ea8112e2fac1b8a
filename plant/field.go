package plant

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// Field describes one value of a rig: its key, range, meaning and rules. There is one table
// of them, see [Fields]; lists, range checks, settings, completion and faults are derived
// from it. A field is independent of a rig: its methods take the rig that they read or set.
type Field struct {
	Path     string  // key in the rig's document, such as load.mass_kg
	Key      string  // key in a scenario's set, such as rig.load.mass_kg or judge.dwell
	Unit     string  // unit of a number, empty if it has none
	Min, Max float64 // range of a number or, in seconds, of a duration; both included
	Words    []string
	Note     string

	FixedInRun   bool // constant during a run: no fault can change it
	Permanent    bool // a change during a run cannot be reversed
	NeedsPartner bool // without a partner it has no effect and is not checked

	kind any            // nil pointer of the type of the value
	at   func(*Rig) any // *float64, *int, *bool, *string or *time.Duration
}

func newField[T any](path string, at func(*Rig) *T, note string) Field {
	return Field{Path: path, Key: rigKey(path), Note: note, kind: (*T)(nil), at: func(r *Rig) any { return at(r) }}
}

func rigKey(path string) string { return "rig." + path }

func number(path, unit string, low, high float64, at func(*Rig) *float64, note string) Field {
	f := newField(path, at, note)
	f.Unit, f.Min, f.Max = unit, low, high
	return f
}

func period(path string, low, high float64, at func(*Rig) *time.Duration, note string) Field {
	f := newField(path, at, note)
	f.Unit, f.Min, f.Max = "s", low, high
	return f
}

func count(path string, low, high float64, at func(*Rig) *int, note string) Field {
	f := newField(path, at, note)
	f.Min, f.Max = low, high
	return f
}

func flag(path string, at func(*Rig) *bool, note string) Field { return newField(path, at, note) }

func word(path string, words []string, at func(*Rig) *string, note string) Field {
	f := newField(path, at, note)
	f.Words = words
	return f
}

// Section is the section of the document that contains the value, such as load.
func (f *Field) Section() string {
	section, _, _ := strings.Cut(f.Path, ".")
	return section
}

// Text is the rig's value in the notation of a document.
func (f *Field) Text(r *Rig) string { return textOf(f.at(r)) }

func textOf(value any) string {
	switch v := value.(type) {
	case *float64:
		return strconv.FormatFloat(*v, 'g', -1, 64)
	case *int:
		return strconv.Itoa(*v)
	case *bool:
		return strconv.FormatBool(*v)
	case *time.Duration:
		return strings.ReplaceAll(v.String(), "µ", "u")
	case *string:
		return *v
	}
	return ""
}

// Check reports why a text is not a permitted value, nil if it is: with the field, the value
// found and the permitted values.
func (f *Field) Check(text string) error {
	_, err := f.read(text)
	return err
}

// Set parses a text and sets the value of the rig. If [Field.Check] refuses the text, the rig
// is unchanged.
func (f *Field) Set(r *Rig, text string) error {
	value, err := f.read(text)
	if err == nil {
		f.put(r, value)
	}
	return err
}

// MustSet is Set for a text that has passed [Field.Check] or comes from [Field.Text]. It does
// not check the range: a value without effect may be out of range and must be restorable. It
// panics if the text cannot be parsed.
func (f *Field) MustSet(r *Rig, text string) {
	value, err := f.parse(text)
	if err != nil {
		panic("plant: a value that was not checked: " + err.Error())
	}
	f.put(r, value)
}

// put copies the value at a pointer from parse into the rig.
func (f *Field) put(r *Rig, value any) {
	switch v := f.at(r).(type) {
	case *float64:
		*v = *value.(*float64)
	case *int:
		*v = *value.(*int)
	case *bool:
		*v = *value.(*bool)
	case *time.Duration:
		*v = *value.(*time.Duration)
	case *string:
		*v = *value.(*string)
	}
}

// Number is the rig's value as a number, of a duration in s. It is false for words and flags.
func (f *Field) Number(r *Rig) (float64, bool) {
	switch v := f.at(r).(type) {
	case *float64:
		return *v, true
	case *int:
		return float64(*v), true
	case *time.Duration:
		return v.Seconds(), true
	}
	return 0, false
}

// SetNumber sets a number as [Field.Set] does: a duration in s, a count rounded.
func (f *Field) SetNumber(r *Rig, x float64) error {
	text := strconv.FormatFloat(x, 'g', -1, 64)
	switch f.kind.(type) {
	case *int:
		text = strconv.FormatFloat(math.Round(x), 'f', 0, 64)
	case *time.Duration:
		text = strconv.FormatFloat(x, 'f', -1, 64) + "s"
	}
	return f.Set(r, text)
}
