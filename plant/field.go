package plant

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// Field describes one value of a rig: where it stands, what it may be, what it means, and
// the rules that it goes by. There is one table of them, see [Fields]; lists, range checks,
// settings, completion and faults are all made from it. A field belongs to no rig: its
// methods take the rig whose value they read or set.
type Field struct {
	Path     string  // key in the rig's document, such as load.mass_kg
	Key      string  // key in a scenario's set, such as rig.load.mass_kg or judge.dwell
	Unit     string  // unit of a number, empty if it has none
	Min, Max float64 // range of a number or, in seconds, of a duration; both included
	Words    []string
	Note     string

	FixedInRun   bool // a run is built on it: no fault changes it
	Permanent    bool // a run cannot take a change of it back
	NeedsPartner bool // without a partner it has no effect and no rules

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

// Section is the part of the document that the value stands in, such as load.
func (f *Field) Section() string {
	section, _, _ := strings.Cut(f.Path, ".")
	return section
}

// Text is the rig's value as a document would write it.
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

// Check says what is wrong with a text as a value, nil if nothing is: the field, what was
// found and what would be right.
func (f *Field) Check(text string) error {
	_, err := f.read(text)
	return err
}

// Set puts the value that a text is into the rig. On the error of [Field.Check] the rig is
// unchanged.
func (f *Field) Set(r *Rig, text string) error {
	value, err := f.read(text)
	if err == nil {
		f.put(r, value)
	}
	return err
}

// MustSet is Set for a text that passed [Field.Check], or that [Field.Text] wrote. It does not
// look at the range: a value that has no effect may be out of it, and must come back as it
// was. It panics on a text that is no value at all.
func (f *Field) MustSet(r *Rig, text string) {
	value, err := f.parse(text)
	if err != nil {
		panic("plant: a value that was not checked: " + err.Error())
	}
	f.put(r, value)
}

// put copies what a pointer from parse points to.
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

// Number is the rig's value as a number: a duration in s. It is false for words and for
// what is on or off.
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

// SetNumber puts a number into the rig as [Field.Set] would: a duration is given in s, and
// a count is rounded to whole ones.
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
