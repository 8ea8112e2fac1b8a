package plant

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// read parses a text and checks the range; it returns a pointer to the value.
func (f *Field) read(text string) (any, error) {
	value, err := f.parse(text)
	if err != nil {
		return nil, err
	}
	return value, f.check(value)
}

// parse returns a pointer to the value of a text.
func (f *Field) parse(text string) (any, error) {
	var value any = &text
	var err error
	var want string
	switch f.kind.(type) {
	case *float64:
		x, wrong := strconv.ParseFloat(text, 64)
		value, err, want = &x, wrong, f.aNumber()
	case *int:
		n, wrong := strconv.Atoi(text)
		value, err, want = &n, wrong, "a whole number"
	case *bool:
		b, wrong := strconv.ParseBool(text)
		value, err, want = &b, wrong, "true or false"
	case *time.Duration:
		d, wrong := time.ParseDuration(text)
		value, err, want = &d, wrong, "a duration such as 8ms or 1.5s"
	}
	if err != nil {
		return nil, f.wrong(text, want)
	}
	return value, nil
}

// check reports why the value at a pointer is not permitted, nil if it is.
func (f *Field) check(value any) error {
	switch v := value.(type) {
	case *float64:
		if math.IsNaN(*v) || *v < f.Min || *v > f.Max {
			return f.wrong(textOf(value), f.span())
		}
	case *int:
		if float64(*v) < f.Min || float64(*v) > f.Max {
			return f.wrong(textOf(value), f.span())
		}
	case *time.Duration:
		if v.Seconds() < f.Min || v.Seconds() > f.Max {
			return f.wrong(textOf(value), f.span())
		}
	case *string:
		if len(f.Words) > 0 && !slices.Contains(f.Words, *v) {
			return f.wrong(*v, strings.Join(f.Words, " or "))
		}
	}
	return nil
}

func (f *Field) wrong(found, want string) error {
	if (found == "0" || found == "0s") && f.Min > 0 {
		return fmt.Errorf("%s is missing or 0; must be %s", f.Path, want)
	}
	return fmt.Errorf("%s is %q; must be %s", f.Path, found, want)
}

func (f *Field) span() string {
	if f.isPeriod() {
		return fmt.Sprintf("between %s and %s", shortSeconds(f.Min), shortSeconds(f.Max))
	}
	return fmt.Sprintf("between %g and %g%s", f.Min, f.Max, inUnit(f.Unit))
}

func (f *Field) aNumber() string {
	if f.Unit == "" {
		return "a number"
	}
	return "a number in " + f.Unit
}

func (f *Field) isPeriod() bool {
	_, ok := f.kind.(*time.Duration)
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

// Range describes the permitted values.
func (f *Field) Range() string {
	switch f.kind.(type) {
	case *bool:
		return "true or false"
	case *string:
		return strings.Join(f.Words, ", ")
	}
	return strings.Replace(strings.TrimPrefix(f.span(), "between "), " and ", " to ", 1)
}
