package trend

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"holdbench/plant/problem"
	"holdbench/sim/evaluate"
)

// Test is one evaluated test.
type Test struct {
	Name      string    // of the file, in messages
	At        time.Time // zero: not known
	Recording string    // SHA-256 of the recording
	Rig       string
	RigSHA256 string // of the rig's document
	Version   string // of the program that evaluated it
	Verdict   string
	Cause     string // of a failure
	// What it was judged against, as [evaluate.Evaluation.Requirement]; empty: not known.
	Requirement string
	Reserved    bool     // its proof is not to be relied on
	Settings    []string // KEY=VALUE, other values of the rig that it was judged with
	WindowDeg   float64  // of the judge; 0: not known
	Figures     evaluate.Figures
	Figures2    *evaluate.Figures // what the checks show of a second brake; nil without one
}

// Period is which tests of a history count.
type Period struct {
	AsOf, Since time.Time // zero: all
	ByNumber    bool      // leave the dates out
}

// Proven is whether the test has a proof that is to be relied on, against more than the bare test torque.
func (t *Test) Proven() bool {
	return t.Verdict == evaluate.Proven && t.Requirement != evaluate.RequirementBare && !t.Reserved
}

// History is the tests of one axis in order.
type History struct {
	Axis
	Tests []Test
	Since int // place of the first test that counts
	AsOf  float64
	Notes []string // what a reader should know of the tests
}

// NewHistory puts the tests of one axis in order, by date or as they come. The error names each test that
// does not belong to the others.
func NewHistory(tests []Test, p Period) (*History, error) {
	h := &History{}
	tests = h.distinct(tests)
	if err := oneAxis(tests); err != nil {
		return nil, err
	}
	dated, err := allDated(tests, p)
	if err != nil {
		return nil, err
	}
	if h.Dated = dated; dated {
		slices.SortStableFunc(tests, func(a, b Test) int { return a.At.Compare(b.At) })
	}
	if tests = upTo(tests, p.AsOf, dated); len(tests) == 0 {
		return nil, fmt.Errorf("there is no test up to %s", p.AsOf.Format(time.DateOnly))
	}
	h.Tests = tests
	if dated {
		h.First = tests[0].At
	}
	h.Since = slices.IndexFunc(tests, func(t Test) bool { return !t.At.Before(p.Since) })
	if h.Since < 0 {
		return nil, fmt.Errorf("there is no test since %s", p.Since.Format(time.DateOnly))
	}
	if len(tests)-h.Since > MostTests {
		return nil, fmt.Errorf("%d tests; must be at most %d: leave the oldest out", len(tests)-h.Since, MostTests)
	}
	h.AsOf = h.Place(len(tests) - 1)
	if dated && !p.AsOf.IsZero() {
		h.AsOf = h.at(p.AsOf)
	}
	if years := (h.farthest() / 2) / 365.25; dated && max(h.AsOf, h.Place(len(tests)-1)) > h.farthest()/2 {
		return nil, fmt.Errorf("the first test is of %s, and the last one, or --as-of, more than %.0f years later; must be dates of one axis", h.First.Format(time.DateOnly), years)
	}
	h.note()
	return h, nil
}

// distinct leaves out what was recorded by the same bytes as another test.
func (h *History) distinct(tests []Test) []Test {
	seen := map[string]string{}
	var kept []Test
	for _, t := range tests {
		if other, twice := seen[t.Recording]; twice && t.Recording != "" {
			h.Notes = append(h.Notes, fmt.Sprintf("%s is of the same recording as %s, and counts once", t.Name, other))
			continue
		}
		seen[t.Recording] = t.Name
		kept = append(kept, t)
	}
	return kept
}

// oneAxis refuses tests that were judged by different rigs.
func oneAxis(tests []Test) error {
	if len(tests) == 0 {
		return errors.New("there are no tests")
	}
	var list problem.List
	first := &tests[0]
	for i := range tests {
		t := &tests[i]
		switch {
		case t.Rig != first.Rig:
			list = append(list, problem.Problem{File: t.Name, Message: fmt.Sprintf("is a test of the rig %s, and %s is one of %s; must be tests of one axis", t.Rig, first.Name, first.Rig)})
		case t.RigSHA256 != first.RigSHA256:
			list = append(list, problem.Problem{File: t.Name, Message: fmt.Sprintf("was judged by another document of the rig %s than %s (SHA-256 %.12s, not %.12s), so that figures may differ for that; evaluate the recordings again with one document", t.Rig, first.Name, t.RigSHA256, first.RigSHA256)})
		}
	}
	if len(list) > 0 {
		return list
	}
	return nil
}

// allDated is whether tests are ordered by date: all must have one, or none.
func allDated(tests []Test, p Period) (bool, error) {
	var without problem.List
	for i := range tests {
		if tests[i].At.IsZero() {
			without = append(without, problem.Problem{File: tests[i].Name, Message: "the date of the test is not known, as that of others is; give it with --date NAME=DATE, or count tests with --by-number"})
		}
	}
	none := len(without) == len(tests) || p.ByNumber
	switch {
	case none && (!p.Since.IsZero() || !p.AsOf.IsZero()):
		return false, errors.New("--since and --as-of need dates, and the tests are counted by number")
	case none:
		return false, nil
	case len(without) > 0:
		return false, without
	}
	return true, nil
}

// upTo leaves out what is later than a date.
func upTo(tests []Test, asOf time.Time, dated bool) []Test {
	if !dated || asOf.IsZero() {
		return tests
	}
	end := asOf
	if end.Truncate(24 * time.Hour).Equal(end) {
		end = end.Add(24*time.Hour - 1) // the whole day
	}
	return slices.DeleteFunc(slices.Clone(tests), func(t Test) bool { return t.At.After(end) })
}

// Place is where a test is on the axis.
func (h *History) Place(test int) float64 {
	if h.Dated {
		return h.at(h.Tests[test].At)
	}
	return float64(test + 1)
}

// Unproven are the places of the tests that count and have no proof, in their order.
func (h *History) Unproven() []int {
	var list []int
	for i := h.Since; i < len(h.Tests); i++ {
		if !h.Tests[i].Proven() {
			list = append(list, i)
		}
	}
	return list
}

// NewestProven is whether the newest test has a proof.
func (h *History) NewestProven() bool { return h.Tests[len(h.Tests)-1].Proven() }

// noteSettings tells of tests that were judged with other values of the rig than the newest.
func (h *History) noteSettings() {
	newest := &h.Tests[len(h.Tests)-1]
	others := 0
	example := ""
	for i := range h.Tests {
		if t := &h.Tests[i]; !slices.Equal(t.Settings, newest.Settings) {
			others, example = others+1, t.Name
		}
	}
	if others > 0 {
		h.Notes = append(h.Notes, fmt.Sprintf("tests judged with other settings (--set) than the newest: %d of %d, as %s; figures may differ for that: evaluate the recordings again with the same settings", others, len(h.Tests), example))
	}
}

// noteRequirements tells of tests whose requirement was assumed.
func (h *History) noteRequirements() {
	for _, of := range [][2]string{
		{evaluate.RequirementSized, "tests judged against the sized requirement, as none is recorded"},
		{evaluate.RequirementBare, "tests judged against the bare test torque, as no requirement is recorded and the rig cannot be sized: these are no proof"},
	} {
		n, example := 0, ""
		for i := range h.Tests {
			if t := &h.Tests[i]; t.Requirement == of[0] {
				n, example = n+1, t.Name
			}
		}
		if n > 0 {
			h.Notes = append(h.Notes, fmt.Sprintf("%s: %d of %d, as %s", of[1], n, len(h.Tests), example))
		}
	}
}

// noteStops tells of stops that are left out.
func (h *History) noteStops() {
	n := 0
	for i := range h.Tests {
		if f := &h.Tests[i].Figures; f.StoppingMM != nil && f.StoppingBy != evaluate.ByBrake {
			n++
		}
	}
	if n > 0 {
		h.Notes = append(h.Notes, fmt.Sprintf("tests with a stop that was not by the brake alone, or not known: %d; stopping_mm leaves them out", n))
	}
}

func (h *History) note() {
	h.noteSettings()
	h.noteRequirements()
	h.noteStops()
	versions := map[string]bool{}
	same := 0
	for i := range h.Tests {
		versions[h.Tests[i].Version] = true
		if h.Dated && i > 0 && h.Tests[i].At.Equal(h.Tests[i-1].At) {
			same++
		}
	}
	if same > 0 {
		h.Notes = append(h.Notes, fmt.Sprintf("tests with the date of another one: %d; they count as tests of one moment, in the order of their names", same))
	}
	if len(versions) > 1 {
		h.Notes = append(h.Notes, fmt.Sprintf("the tests were evaluated by %d versions of the program: a figure may differ for that; evaluate the recordings again to be sure", len(versions)))
	}
	if !h.Dated {
		h.Notes = append(h.Notes, "no dates are used: the tests stand in the order in which they were named, and slopes are for 100 tests")
	}
}

// Window is the window of the newest test in deg, 0 if it is not known, and whether all have had the same.
func (h *History) Window() (deg float64, same bool) {
	same = true
	for i := range h.Tests {
		if w := h.Tests[i].WindowDeg; w > 0 {
			same = same && (deg == 0 || w == deg)
			deg = w
		}
	}
	return deg, same
}

// Series are the quantities over the tests that count, with their limits by name.
func (h *History) Series(limits map[string]*Limit) []Series {
	var all []Series
	for _, q := range Quantities() {
		s := Series{Quantity: q, Limit: limits[q.Name]}
		for i := h.Since; i < len(h.Tests); i++ {
			if value, ok := q.value(&h.Tests[i]); ok {
				s.Times, s.Values = append(s.Times, h.Place(i)), append(s.Values, value)
			}
		}
		all = append(all, s)
	}
	return all
}
