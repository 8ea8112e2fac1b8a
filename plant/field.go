package plant

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Field is one value of a rig: where it stands, what it may be and what it means.
// Lists, range checks, overrides and faults are all made from the fields.
type Field struct {
	Path     string  // key in the document, such as load.mass_kg
	Unit     string  // unit of a number, empty if it has none
	Min, Max float64 // range of a number or, in seconds, of a duration; both included
	Words    []string
	Note     string
	value    any // *float64, *int, *bool, *string or *time.Duration
}

func number(path, unit string, low, high float64, v *float64, note string) Field {
	return Field{Path: path, Unit: unit, Min: low, Max: high, Note: note, value: v}
}

func period(path string, low, high float64, v *time.Duration, note string) Field {
	return Field{Path: path, Unit: "s", Min: low, Max: high, Note: note, value: v}
}

func count(path string, low, high float64, v *int, note string) Field {
	return Field{Path: path, Min: low, Max: high, Note: note, value: v}
}

func flag(path string, v *bool, note string) Field {
	return Field{Path: path, Note: note, value: v}
}

func word(path string, words []string, v *string, note string) Field {
	return Field{Path: path, Words: words, Note: note, value: v}
}

// Text is the field's value as a document would write it.
func (f Field) Text() string {
	switch v := f.value.(type) {
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

// Set reads text into the field and checks its range. The error names the field,
// what was found and what would be right; the field is then unchanged.
func (f Field) Set(text string) error {
	before := f.Text()
	if err := f.parse(text); err != nil {
		return err
	}
	if err := f.check(); err != nil {
		_ = f.parse(before) // cannot fail: the text came from the field itself
		return err
	}
	return nil
}

// Number is the field's value as a number: a duration in s. It is false for words and for
// what is on or off.
func (f Field) Number() (float64, bool) {
	switch v := f.value.(type) {
	case *float64:
		return *v, true
	case *int:
		return float64(*v), true
	case *time.Duration:
		return v.Seconds(), true
	}
	return 0, false
}

// SetNumber puts a number into the field as [Field.Set] would: a duration is given in s, and
// a count is rounded to whole ones.
func (f Field) SetNumber(x float64) error {
	text := strconv.FormatFloat(x, 'g', -1, 64)
	switch f.value.(type) {
	case *int:
		text = strconv.FormatFloat(math.Round(x), 'f', 0, 64)
	case *time.Duration:
		text = strconv.FormatFloat(x, 'f', -1, 64) + "s"
	}
	return f.Set(text)
}

func (f Field) parse(text string) error {
	switch v := f.value.(type) {
	case *float64:
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return f.wrong(text, f.aNumber())
		}
		*v = x
	case *int:
		n, err := strconv.Atoi(text)
		if err != nil {
			return f.wrong(text, "a whole number")
		}
		*v = n
	case *bool:
		b, err := strconv.ParseBool(text)
		if err != nil {
			return f.wrong(text, "true or false")
		}
		*v = b
	case *time.Duration:
		d, err := time.ParseDuration(text)
		if err != nil {
			return f.wrong(text, "a duration such as 8ms or 1.5s")
		}
		*v = d
	case *string:
		*v = text
	}
	return nil
}

// check says what is wrong with the present value, nil if nothing is.
func (f Field) check() error {
	switch v := f.value.(type) {
	case *float64:
		if math.IsNaN(*v) || *v < f.Min || *v > f.Max {
			return f.wrong(f.Text(), f.span())
		}
	case *int:
		if float64(*v) < f.Min || float64(*v) > f.Max {
			return f.wrong(f.Text(), f.span())
		}
	case *time.Duration:
		if v.Seconds() < f.Min || v.Seconds() > f.Max {
			return f.wrong(f.Text(), f.span())
		}
	case *string:
		if len(f.Words) > 0 && !slices.Contains(f.Words, *v) {
			return f.wrong(*v, strings.Join(f.Words, " or "))
		}
	}
	return nil
}

func (f Field) wrong(found, want string) error {
	if (found == "0" || found == "0s") && f.Min > 0 {
		return fmt.Errorf("%s is missing or 0; must be %s", f.Path, want)
	}
	return fmt.Errorf("%s is %q; must be %s", f.Path, found, want)
}

func (f Field) span() string {
	if f.isPeriod() {
		return fmt.Sprintf("between %s and %s", shortSeconds(f.Min), shortSeconds(f.Max))
	}
	return fmt.Sprintf("between %g and %g%s", f.Min, f.Max, inUnit(f.Unit))
}

func (f Field) aNumber() string {
	if f.Unit == "" {
		return "a number"
	}
	return "a number in " + f.Unit
}

func (f Field) isPeriod() bool {
	_, ok := f.value.(*time.Duration)
	return ok
}

// shortSeconds writes 1m instead of 1m0s.
func shortSeconds(s float64) string {
	text := time.Duration(math.Round(s * 1e9)).String()
	if strings.HasSuffix(text, "m0s") {
		text = strings.TrimSuffix(text, "0s")
	}
	if strings.HasSuffix(text, "h0m") {
		text = strings.TrimSuffix(text, "0m")
	}
	return text
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}

// Range says in words what the field may be.
func (f Field) Range() string {
	switch f.value.(type) {
	case *bool:
		return "true or false"
	case *string:
		return strings.Join(f.Words, ", ")
	}
	return strings.Replace(strings.TrimPrefix(f.span(), "between "), " and ", " to ", 1)
}
