package view

import (
	"math"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"holdbench/sequence"
)

func TestFixed(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		v        float64
		decimals int
		plus     bool
		want     string
	}{
		{2.81, 2, true, "  +2.81"},
		{-2.81, 2, true, "  −2.81"},
		{-0.001, 2, true, "   0.00"},
		{0, 2, false, "   0.00"},
		{1234.567, 3, false, "1234.57"}, // a decimal goes before the width does
		{123456.7, 3, false, "123457"},
		{99999999, 2, false, "#######"},
		{math.NaN(), 2, false, "      —"},
		{math.Inf(-1), 2, false, "#######"},
	} {
		want := left(test.want, 7)
		assert.Equal(t, want, aligned(test.v, 7, test.decimals, test.plus), "%v", test.v)
	}
}

// Whatever the number, it takes its cells and no more, so that nothing beside it moves.
func TestFixedKeepsItsWidth(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-1000, 1000)).Draw(t, "v")
		width := rapid.IntRange(1, 12).Draw(t, "width")
		text := aligned(v, width, rapid.IntRange(0, 5).Draw(t, "decimals"), rapid.Bool().Draw(t, "plus"))
		assert.Equal(t, width, utf8.RuneCountInString(text))
	})
}

func TestLongTime(t *testing.T) {
	t.Parallel()
	assert.Equal(t, " 7 h 59 m 58 s", longTime(8*time.Hour-1500*time.Millisecond))
	assert.Equal(t, " 0 h 00 m 09 s", longTime(9*time.Second))
	assert.Equal(t, " 0 h 00 m 00 s", longTime(-time.Second))
}

// The next transition is one of the main path before one that happens only
// on a failure, and a time that runs out before both once it is near.
func TestNearest(t *testing.T) {
	t.Parallel()
	way := sequence.Condition{To: "on", Terms: []sequence.Term{{}, {Met: true}}}
	failure := sequence.Condition{To: "arrest_load", Cause: "slipped", Terms: []sequence.Term{{}}}
	late := sequence.Condition{To: "late", Met: true, Cause: "verdict-late", AfterLeft: 20 * time.Second}
	soon := late
	soon.AfterLeft = 500 * time.Millisecond
	firing := sequence.Condition{To: "firing", Met: true, ForLeft: 30 * time.Millisecond}
	usedUp := firing
	usedUp.TimesLeft = 0
	free := func(list ...sequence.Condition) []sequence.Condition {
		for i := range list {
			list[i].TimesLeft = -1
		}
		return list
	}
	assert.Equal(t, 1, nearest(free(failure, way, late)))
	assert.Equal(t, 2, nearest(free(failure, way, soon)))
	assert.Equal(t, 3, nearest(free(failure, way, soon, firing)))
	assert.Equal(t, 1, nearest(append([]sequence.Condition{usedUp}, free(late)...)))
	assert.Equal(t, -1, nearest(nil))
}

// A tick says that a transition fires now; one that only transitions for its time says that.
func TestStanding(t *testing.T) {
	t.Parallel()
	tests := map[string]struct {
		c    sequence.Condition
		want string
	}{
		"NotMet":         {sequence.Condition{TimesLeft: -1}, "✗"},
		"Met":            {sequence.Condition{Met: true, TimesLeft: -1}, "✓"},
		"HeldTooShort":   {sequence.Condition{Met: true, TimesLeft: -1, For: 2, ForLeft: 1}, "◷"},
		"HeldLongEnough": {sequence.Condition{Met: true, TimesLeft: 1, For: 2, After: 2}, "✓"},
		"TooEarly":       {sequence.Condition{Met: true, TimesLeft: -1, After: 2, AfterLeft: 1, Cause: "late"}, "◷"},
		"NeitherNor":     {sequence.Condition{TimesLeft: -1, After: 2, AfterLeft: 1}, "✗"},
		"UsedUp":         {sequence.Condition{Met: true}, "✗"},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			sign, _ := stateSign(&test.c)
			assert.Equal(t, test.want, sign)
		})
	}
}
