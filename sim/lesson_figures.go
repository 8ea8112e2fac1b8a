package sim

import (
	"fmt"
	"math"
	"strings"

	"holdbench/plant/problem"
)

// NumberAsked is a number that a question asks for, to be compared with the run: at the stop of the question, or
// at the next one, where the answer is a prediction. A place on a curve is its time, t_s or since_stop_s.
type NumberAsked struct {
	Of     string  `yaml:"of"`                // formula of values of the run, see [FigureNames]
	Unit   string  `yaml:"unit"`              // of the answer
	Right  float64 `yaml:"right"`             // largest deviation of a right answer, in the unit
	Near   float64 `yaml:"near"`              // largest deviation of an answer that is near
	AtNext bool    `yaml:"at_next,omitempty"` // the value is that at the next stop

	Calculated bool `yaml:"calculated,omitempty"` // the value is worked out from settings, and not read from the run
	Amount     bool `yaml:"amount,omitempty"`     // an amount is asked for: the sign of the answer does not count
}

// Closeness is how near a typed number is to the run.
type Closeness int

// The degrees of closeness.
const (
	Off Closeness = iota
	Near
	Right
)

// Compare tells how close an answer is to the value.
func (n *NumberAsked) Compare(answer, value float64) Closeness {
	if n.Amount {
		answer, value = math.Abs(answer), math.Abs(value)
	}
	const rounding = 1e-9 // of the answer's decimal fraction
	switch deviation := math.Abs(answer-value) - rounding; {
	case deviation <= n.Right:
		return Right
	case deviation <= n.Near:
		return Near
	}
	return Off
}

// check reports what is wrong with a number; last is whether no stop follows.
func (n *NumberAsked) check(path string, scope nameScope, last bool) problem.List {
	var found problem.List
	wrong := func(key, format string, args ...any) {
		found = append(found, problem.Problem{Path: path + "." + key, Message: fmt.Sprintf(format, args...)})
	}
	if _, err := parseFormula(n.Of, scope); err != nil {
		wrong("of", "%s", err)
	}
	if strings.TrimSpace(n.Unit) == "" {
		wrong("unit", "unit is missing; must be that of the answer, such as N·m")
	}
	if !(n.Right > 0) {
		wrong("right", "right is %g; must be above 0, the largest deviation of a right answer", n.Right)
	}
	if !(n.Near > n.Right) {
		wrong("near", "near is %g; must be above right, %g", n.Near, n.Right)
	}
	if n.AtNext && last {
		wrong("at_next", "at_next is set, and no stop follows; must be left out at the last stop")
	}
	return found
}

// texts are the texts of a stop with the keys that they stand under.
func (s *Stop) texts() map[string]*string {
	all := map[string]*string{"say": &s.Say, "ask": &s.Ask, "because": &s.Because}
	for i := range s.Choices {
		all[fmt.Sprintf("choices[%d]", i)] = &s.Choices[i]
	}
	return all
}

// checkFigures reports figures that cannot be read or name what is not there.
func (s *Stop) checkFigures(path string, scope nameScope) problem.List {
	var found problem.List
	all := s.texts()
	for _, key := range sortedKeys(all) {
		if _, err := parseText(*all[key], scope); err != nil {
			found = append(found, problem.Problem{Path: path + "." + key, Message: err.Error()})
		}
	}
	return found
}

// ShownStop is a stop of a lesson with the figures of the run at that moment.
type ShownStop struct {
	Stop
	Value     float64 // of the number that is asked for, of this moment
	Predicted float64 // value of the number that the stop before asks for, if it is that of this moment
	Reason    string  // because of that one; its figures are of this moment
	Tick      int64   // of the moment: ticks done
}

// Shown is a stop that the run has just reached, with its figures; index is that of [Bench.AtStop].
func (b *Bench) Shown(s *Stops, index int) ShownStop {
	m := figureMoment{bench: b, row: b.row(), sinceS: s.sinceS}
	m.row.TS = b.seconds(max(0, b.tick-1))
	scope := newFigureScope(b.c.Sequence)
	filled := func(text string) string { return fill(text, scope, m.value) }
	shown := ShownStop{Stop: s.lesson[index], Tick: b.tick}
	shown.Choices = append([]string(nil), shown.Choices...)
	number := shown.Number
	predicts := number != nil && number.AtNext
	for key, text := range shown.texts() {
		if key != "because" || !predicts {
			*text = filled(*text)
		}
	}
	if number != nil && !predicts {
		shown.Value = m.number(number.Of, scope)
	}
	if index > 0 {
		if before := &s.lesson[index-1]; before.Number != nil && before.Number.AtNext {
			shown.Predicted, shown.Reason = m.number(before.Number.Of, scope), filled(before.Because)
		}
	}
	return shown
}

// number is the value of a formula that was checked.
func (m *figureMoment) number(text string, scope nameScope) float64 {
	f, err := parseFormula(text, scope)
	if err != nil {
		return math.NaN()
	}
	return f(m.value)
}
