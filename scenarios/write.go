package scenarios

import (
	"bytes"
	"cmp"
	"fmt"
	"reflect"
	"strings"
	"time"
	"unicode"

	"holdbench/sim"
)

// Documents are written by this package and not by the library's encoder. That writes a
// text on one line, however long, faults and paths on ten lines instead of one, every
// number of a set in quotes, and 1e3 or a tab so that they read back as something else.
// The lines written here are readable, and are read back before they are kept.

// Format writes a scenario as a document: keys in our order, times as 250us, 8ms, 1.5s
// or 8h, an own rig or sequence in place, without the comments that it had. The
// header becomes comment lines at the top. The text has been read back to the same
// scenario; a scenario that no document can hold, or that has no name or title, is an
// error.
func Format(s *sim.Scenario, header string) ([]byte, error) {
	return format(s, header, "")
}

// unreviewed stands beside an expectation that has not been reviewed.
const unreviewed = "recorded from a run, not reviewed: check each line and decide whether it is right"

// NotReviewed is a sentence in what a scenario teaches while its expectation is what one run gave.
const NotReviewed = "What is expected of it was recorded from one run and is not reviewed yet."

// Unreviewed is whether the text of a scenario says that nobody has reviewed its expectation: by the remark
// beside it, or by the sentence in what it teaches.
func Unreviewed(text []byte) bool {
	return bytes.Contains(text, []byte(unreviewed)) || bytes.Contains(bytes.Join(bytes.Fields(text), []byte(" ")), []byte(NotReviewed))
}

// FormatTried writes a scenario like [Format], with the expectation and the seed taken
// from its run and a remark that they are not reviewed.
func FormatTried(s *sim.Scenario, r *sim.Result, header string) ([]byte, error) {
	tried := *s
	tried.Expect = sim.Expected(r)
	if tried.Seed != 0 || r.Seed != 1 { // a scenario without a seed runs with 1
		tried.Seed = r.Seed
	}
	return format(&tried, header, unreviewed)
}

func format(s *sim.Scenario, header, remark string) ([]byte, error) {
	tree, err := elementOf(reflect.ValueOf(atTheStart(*s)), "")
	if err != nil {
		return nil, fmt.Errorf("cannot write scenario %q: %w", s.Scenario, err)
	}
	for i := range tree.entries {
		if tree.entries[i].key == "expect" {
			tree.entries[i].remark = remark
		}
	}
	text := []byte(commented(header) + tree.blockText(""))
	if err := readsBack(text, &tree); err != nil {
		return nil, fmt.Errorf("cannot write scenario %q: %w", s.Scenario, err)
	}
	return text, nil
}

// readsBack checks that a text reads back as the tree that it was written from.
func readsBack(text []byte, want *element) error {
	src, err := read("as written", text)
	if err != nil {
		return err
	}
	var got sim.Scenario
	if err := src.decode("$", src.root(), &got); err != nil {
		return err
	}
	if err := src.checkNames(got.Scenario, got.Title); err != nil {
		return err
	}
	have, err := elementOf(reflect.ValueOf(got), "")
	if err != nil {
		return err
	}
	if where, ok := want.equal(&have, ""); !ok {
		return fmt.Errorf("%s reads back differently after writing; simplify it", cmp.Or(where, "document"))
	}
	return nil
}

// atTheStart converts moments after the start of the run to their form in a document, a
// time, and leaves out what a named fault sets.
func atTheStart(s sim.Scenario) sim.Scenario {
	s.Faults = append([]sim.Fault(nil), s.Faults...)
	for i := range s.Faults {
		f := &s.Faults[i]
		f.When, f.At = startTime(f.When, f.At)
		if f.Fault != "" {
			f.Set = nil // the name says it
		}
	}
	s.Lesson = append(sim.Lesson(nil), s.Lesson...)
	for i := range s.Lesson {
		l := &s.Lesson[i]
		l.When, l.At = startTime(l.When, l.At)
	}
	return s
}

func startTime(when *sim.Moment, at *time.Duration) (*sim.Moment, *time.Duration) {
	if when == nil || when.State != "" || when.After == 0 || at != nil {
		return when, at
	}
	return nil, &when.After
}

// commented turns a text into comment lines; characters that no document may have become
// spaces.
func commented(text string) string {
	if text == "" {
		return ""
	}
	var b strings.Builder
	for line := range strings.Lines(strings.ToValidUTF8(text, "\uFFFD")) {
		plain := strings.Map(func(r rune) rune {
			if !unicode.IsPrint(r) {
				return ' '
			}
			return r
		}, line)
		b.WriteString(strings.TrimRight("# "+plain, " ") + "\n")
	}
	return b.String()
}

// durationText writes a time as one number and one unit, exactly.
func durationText(d time.Duration) string {
	switch {
	case d < 0:
		return d.String() // the reader reports it
	case d == 0:
		return "0s"
	case d%(30*time.Minute) == 0:
		return inUnit(int64(d/(6*time.Minute)), 1, "h") // 6 min are a tenth of an hour
	case d < time.Millisecond:
		return inUnit(int64(d), 3, "us")
	case d < time.Second:
		return inUnit(int64(d), 6, "ms")
	}
	return inUnit(int64(d), 9, "s")
}

// inUnit writes a number of parts of which a unit has 10^digits.
func inUnit(parts int64, digits int, unit string) string {
	text := fmt.Sprintf("%0*d", digits+1, parts)
	point := len(text) - digits
	return strings.TrimRight(strings.TrimRight(text[:point]+"."+text[point:], "0"), ".") + unit
}
