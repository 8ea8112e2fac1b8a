package plant

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// Field describes one value of a rig: its key, range, meaning and rules. There is one table
// of them, see [Fields]; lists, range checks, settings, completion and faults are derived
// from it. A field is independent of a rig: its methods take the rig that they read or set.
type Field struct {
	Path     string  // key in the rig's document, such as load.mass_kg
	Key      string  // key in a scenario's set, such as rig.load.mass_kg or judge.dwell
	Kind     Kind    // what its value is in a document
	Unit     string  // unit of a number, empty if it has none
	Min, Max float64 // range of a number or, in seconds, of a duration; both included
	Words    []string
	Note     string

	FixedInRun   bool // constant during a run: no fault can change it
	Permanent    bool // a change during a run cannot be reversed
	NeedsPartner bool // without a partner it has no effect and is not checked
	NeedsBrake2  bool // the same without a second brake
	RunsOnly     bool // 0 is a value that is not known yet: a rig can be sized without it and not run

	want      string // what a text must be
	permitted string // what its value must be
	advice    string // what the message about a missing value adds
	value     value
}

// Kind is what a value is in a document.
type Kind uint8

// The kinds of values.
const (
	KindNumber   Kind = iota + 1 // in the unit of the field
	KindDuration                 // with its unit: 250us, 8ms, 1.5s, 8h
	KindCount                    // a whole number
	KindFlag                     // true or false
	KindWord                     // one of the field's words
)

// value is the value of a field in a rig. Only what makes a field knows its type, see [typed].
type value interface {
	text(r *Rig) string
	number(r *Rig) (float64, bool)
	numberText(x float64) string
	put(f *Field, r *Rig, text string) error
	check(f *Field, r *Rig) error
	checkText(f *Field, text string) error
}

// typed is a value of one type. Words and flags are not numeric: asNumber is nil.
type typed[T any] struct {
	at         func(*Rig) *T
	parse      func(string) (T, error)
	format     func(T) string
	asNumber   func(T) float64
	fromNumber func(float64) string
}

func number(path, unit string, low, high float64, at func(*Rig) *float64, note string) Field {
	f := newField(path, note, KindNumber, &typed[float64]{
		at: at, format: shortest, fromNumber: shortest,
		parse:    func(text string) (float64, error) { return strconv.ParseFloat(text, 64) },
		asNumber: func(x float64) float64 { return x },
	})
	f.Unit, f.Min, f.Max, f.want = unit, low, high, "a number"
	f.permitted = problem.Text("between %g and %g", low, high)
	if unit != "" {
		f.want += " in " + unit
		f.permitted += " " + unit
	}
	return f
}

func period(path string, low, high float64, at func(*Rig) *time.Duration, note string) Field {
	f := newField(path, note, KindDuration, &typed[time.Duration]{
		at: at, parse: time.ParseDuration, asNumber: time.Duration.Seconds,
		format:     func(d time.Duration) string { return strings.ReplaceAll(problem.Time(d), "µ", "u") },
		fromNumber: func(x float64) string { return strconv.FormatFloat(math.Round(x*1e9)/1e9, 'f', -1, 64) + "s" },
	})
	f.Unit, f.Min, f.Max, f.want = "s", low, high, "a duration such as 8ms or 1.5s"
	f.permitted = problem.Text("between %s and %s", seconds(low), seconds(high))
	return f
}

func count(path string, low, high float64, at func(*Rig) *int, note string) Field {
	f := newField(path, note, KindCount, &typed[int]{
		at: at, parse: strconv.Atoi, format: strconv.Itoa,
		asNumber:   func(n int) float64 { return float64(n) },
		fromNumber: func(x float64) string { return strconv.FormatFloat(math.Round(x), 'f', 0, 64) },
	})
	f.Min, f.Max, f.want = low, high, "a whole number"
	f.permitted = problem.Text("between %g and %g", low, high)
	return f
}

func flag(path string, at func(*Rig) *bool, note string) Field {
	f := newField(path, note, KindFlag, &typed[bool]{
		at: at, parse: strconv.ParseBool, format: strconv.FormatBool, fromNumber: shortest,
	})
	f.want, f.permitted = "true or false", "true or false"
	return f
}

func word(path string, words []string, at func(*Rig) *string, note string) Field {
	itself := func(text string) string { return text }
	f := newField(path, note, KindWord, &typed[string]{
		at: at, parse: func(text string) (string, error) { return text, nil }, format: itself, fromNumber: shortest,
	})
	f.Words, f.permitted = words, strings.Join(words, " or ")
	return f
}

func newField(path, note string, kind Kind, v value) Field {
	return Field{Path: path, Key: rigKey(path), Kind: kind, Note: note, value: v}
}

func rigKey(path string) string { return "rig." + path }

// Applies reports whether the value has an effect on a rig: those of a partner and of a second
// brake have none without it, and are not checked.
func (f *Field) Applies(r *Rig) bool {
	return (!f.NeedsPartner || r.Partner.InertiaKGM2 > 0) && (!f.NeedsBrake2 || r.Brake2.Exists())
}

// Section is the section of the document that contains the value, such as load.
func (f *Field) Section() string {
	section, _, _ := strings.Cut(f.Path, ".")
	return section
}

// Range describes the permitted values.
func (f *Field) Range() string {
	if len(f.Words) > 0 {
		return strings.Join(f.Words, ", ")
	}
	return strings.Replace(strings.TrimPrefix(f.permitted, "between "), " and ", " to ", 1)
}

// Text is the rig's value in the notation of a document.
func (f *Field) Text(r *Rig) string { return f.value.text(r) }

// Check reports why a text is not a permitted value, nil if it is: with the field, the value
// found and the permitted values.
func (f *Field) Check(text string) error { return f.value.checkText(f, text) }

// Set parses a text and sets the value of the rig. If [Field.Check] refuses the text, the rig
// is unchanged.
func (f *Field) Set(r *Rig, text string) error {
	if err := f.value.checkText(f, text); err != nil {
		return err
	}
	return f.value.put(f, r, text)
}

// MustSet is Set for a text that has passed [Field.Check] or comes from [Field.Text]. It does
// not check the range: a value without effect may be out of range and must be restorable. It
// panics if the text cannot be parsed.
func (f *Field) MustSet(r *Rig, text string) {
	if err := f.value.put(f, r, text); err != nil {
		panic("plant: a value that was not checked: " + err.Error())
	}
}

func (f *Field) isZero(r *Rig) bool {
	x, ok := f.Number(r)
	return ok && x == 0
}

// Number is the rig's value as a number, of a duration in s. It is false for words and flags.
func (f *Field) Number(r *Rig) (float64, bool) { return f.value.number(r) }

// SetNumber sets a number as [Field.Set] does: a duration in s, a count rounded.
func (f *Field) SetNumber(r *Rig, x float64) error { return f.Set(r, f.value.numberText(x)) }

func (f *Field) wrong(found, want string) error {
	if (found == "0" || found == "0s") && f.Min > 0 {
		return fmt.Errorf("%s is missing or 0; must be %s%s", f.Path, want, f.advice)
	}
	return fmt.Errorf("%s is %q; must be %s", f.Path, found, want)
}

func (v *typed[T]) text(r *Rig) string { return v.format(*v.at(r)) }

func (v *typed[T]) number(r *Rig) (float64, bool) {
	if v.asNumber == nil {
		return 0, false
	}
	return v.asNumber(*v.at(r)), true
}

func (v *typed[T]) numberText(x float64) string { return v.fromNumber(x) }

// put sets the value of a rig, in range or not.
func (v *typed[T]) put(f *Field, r *Rig, text string) error {
	x, err := v.parse(text)
	if err != nil {
		return f.wrong(text, f.want)
	}
	*v.at(r) = x
	return nil
}

func (v *typed[T]) check(f *Field, r *Rig) error {
	x := *v.at(r)
	return v.permit(f, x, v.format(x))
}

func (v *typed[T]) checkText(f *Field, text string) error {
	x, err := v.parse(text)
	if err != nil {
		return f.wrong(text, f.want)
	}
	return v.permit(f, x, text)
}

// permit reports why a value is not permitted, with the text that it was read from, nil if it is.
func (v *typed[T]) permit(f *Field, x T, text string) error {
	ok := true
	if v.asNumber != nil {
		number := v.asNumber(x)
		ok = number >= f.Min && number <= f.Max // false for NaN
	} else if len(f.Words) > 0 {
		ok = slices.Contains(f.Words, v.format(x))
	}
	if ok {
		return nil
	}
	if v.asNumber != nil && v.asNumber(x) == 0 { // however it is written
		text = v.format(x)
	}
	return f.wrong(text, f.permitted)
}

// shortest writes a number with as few digits as identify it.
func shortest(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// seconds is a time of so many seconds.
func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
