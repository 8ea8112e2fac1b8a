package trend

import (
	"fmt"
	"strings"
)

// The words of an advice.
const (
	NoTrend      = "no-trend"
	Trending     = "trend" // it rises or falls, and does not come to a limit
	Watch        = "watch"
	Service      = "service"
	LimitReached = "limit-reached"
)

// Advice is what to do about a quantity.
type Advice struct {
	Word    string
	Why     string
	Before  *Moment // of a service
	Finding bool    // a limit is reached, or may be within the horizon
}

// advise is the advice, with the tests that have passed the limit: a level that has changed since, or scatter, must not
// hide them.
func (t *Trend) advise(axis Axis, o Options) Advice {
	a := t.adviseByTrend(axis, o)
	if text := t.passedText(axis); text != "" && a.Word != LimitReached {
		a.Why += "; " + text
		if a.Word == NoTrend {
			a.Word, a.Why = Watch, "no trend: "+a.Why
		}
	}
	return a
}

func (t *Trend) adviseByTrend(axis Axis, o Options) Advice {
	switch {
	case len(t.Series.Values) == 0:
		return Advice{Word: Watch, Why: "no test shows it"}
	case t.reached():
		return Advice{Word: LimitReached, Why: "of the newest three values at the limit or past it: " + t.past(axis), Finding: true}
	case !t.Enough():
		return Advice{Word: Watch, Why: fmt.Sprintf("more tests are needed: %s%s, and a trend needs %d, at three times or more", thereAre(t.Tests()), t.since(), LeastTests)}
	case t.Found:
		return t.adviseTrend(axis, o)
	case t.Meets != nil && t.Meets.Earliest <= o.AsOf+o.Horizon:
		return Advice{Word: Watch, Why: "more tests are needed: no trend is found, and these do not rule out the limit within the horizon"}
	}
	why := "none is found" + t.since()
	if len(t.Changes) > 0 {
		why += "; look for its cause if no service explains it"
	}
	return Advice{Word: NoTrend, Why: why}
}

// adviseTrend is the advice on values that rise or fall.
func (t *Trend) adviseTrend(axis Axis, o Options) Advice {
	how := "rises"
	if t.Line.Slope < 0 {
		how = "falls"
	}
	if t.Series.Limit == nil {
		return Advice{Word: Watch, Why: "it " + how + ", and no limit is known: give one with --limit"}
	}
	if t.Meets == nil {
		return Advice{Word: Trending, Why: "it " + how + ", away from the limit: look for the cause"}
	}
	before := axis.Moment(t.Meets.Earliest)
	if before == nil {
		return Advice{Word: Trending, Why: "it " + how + ", too slowly to come to the limit"}
	}
	within := t.Meets.Earliest <= o.AsOf+o.Horizon
	where := "beyond"
	if within {
		where = "within"
	}
	return Advice{Word: Service, Why: "it " + how + " and may reach the limit by then, " + where + " the horizon", Before: before, Finding: within}
}

// reached is whether the newest value is at the limit, or two of the newest three.
func (t *Trend) reached() bool {
	l, n := t.Series.Limit, len(t.Series.Values)
	if l == nil {
		return false
	}
	past := 0
	for _, value := range t.Series.Values[max(0, n-newest):] {
		if l.passed(value) {
			past++
		}
	}
	return past > 1 || l.passed(t.Series.Values[n-1])
}

// since says from what the trend is taken, if not of all tests.
func (t *Trend) since() string {
	if len(t.Changes) > 0 {
		return " since the last change of level"
	}
	return ""
}

// passedText says how many of all tests that count are at the limit or past it; empty for none.
func (t *Trend) passedText(axis Axis) string {
	n, last := 0, 0
	for i, value := range t.Series.Values {
		if t.Series.Limit != nil && t.Series.Limit.passed(value) {
			n, last = n+1, i
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("at the limit or past it: %d of %d tests, the last %s", n, len(t.Series.Values), nameOf(axis, t.Series.Times[last]))
}

// nameOf is a test by its date, or by its number.
func nameOf(axis Axis, at float64) string {
	m := axis.Moment(at)
	if m.Date != "" {
		return m.Date
	}
	return fmt.Sprintf("test %.0f", m.At)
}

// past names the newest tests that are at the limit or past it.
func (t *Trend) past(axis Axis) string {
	var list []string
	for i := max(0, len(t.Series.Values)-newest); i < len(t.Series.Values); i++ {
		if !t.Series.Limit.passed(t.Series.Values[i]) {
			continue
		}
		list = append(list, nameOf(axis, t.Series.Times[i]))
	}
	return strings.Join(list, ", ")
}

func thereAre(n int) string {
	if n == 1 {
		return "there is 1"
	}
	return fmt.Sprintf("there are %d", n)
}
