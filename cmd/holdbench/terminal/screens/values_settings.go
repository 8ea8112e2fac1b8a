package screens

import (
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// setting is one key that a scenario may set.
type setting struct {
	key, group       string
	unit, span, note string
	own              string // without the scenario's set; empty if it is not known
}

// settingsOf lists every key of a case with what it means.
func settingsOf(c *sim.Case) []setting {
	own := ownValues(c)
	var list []setting
	for _, key := range sim.Settings(c.Sequence) {
		s := setting{key: key, group: groupOf(key), own: own[key]}
		if f, ok := plant.FindKey(key); ok {
			s.unit, s.span, s.note = typedUnit(f.Unit), f.Range(), f.Note
		} else {
			s.unit, s.note = unitOfParam(key), "parameter of "+c.Sequence.Title()
			s.span = paramSpan(c.Sequence, key)
		}
		list = append(list, s)
	}
	return list
}

// typedUnit is the unit of a number. A time of the rig is written with a unit of its own.
func typedUnit(unit string) string {
	if unit == "s" {
		return ""
	}
	return unit
}

// paramSpan is the range of a parameter.
func paramSpan(d *sequence.Description, key string) string {
	if v, ok := d.Param(strings.TrimPrefix(key, "sequence.")); ok && v.Kind == sequence.KindBoolean {
		return "true or false"
	}
	number := "a number"
	if unit := unitOfParam(key); unit != "" {
		number += " in " + unit
	}
	return number + ", or an expression of other parameters"
}

// groupOf is the key without its last word: rig.brake for rig.brake.condition.
func groupOf(key string) string {
	if at := strings.LastIndex(key, "."); at > 0 {
		return key[:at]
	}
	return key
}

func unitOfParam(key string) string {
	u := sequence.UnitOf(strings.TrimPrefix(key, "sequence."))
	if u == (sequence.Unit{}) {
		return ""
	}
	return u.String()
}

// ownValues are the values without the scenario's set; faults and lesson are left out,
// since they may need it.
func ownValues(c *sim.Case) map[string]string {
	s := c.Scenario
	s.Set, s.Faults, s.Lesson = nil, nil, nil
	bare, _, err := c.With(s)
	if err != nil {
		return nil
	}
	return presentValues(bare)
}

// presentValues are the values of a case by key, as a document would write them.
func presentValues(c *sim.Case) map[string]string {
	values := map[string]string{}
	for _, f := range plant.Fields() {
		values[f.Key] = f.Text(&c.Rig)
	}
	for _, p := range c.Sequence.Params {
		values["sequence."+p.Name] = p.Written()
	}
	return values
}

// withUnit is a value with its unit; a time has its own, and words have none.
func withUnit(text, unit string) string {
	if _, err := strconv.ParseFloat(text, 64); err != nil || unit == "" {
		return text
	}
	return text + " " + unit
}

// about describes a setting.
func (s *setting) about(v *valuesScreen) []passage {
	list := []passage{{page.Plain, 0, s.note}, {page.Faint, 0, s.span}}
	if figure := s.evaluated(v.tried); figure != "" {
		list = append(list, passage{page.Faint, 0, "evaluates to " + figure})
	}
	if _, set := v.set[s.key]; set || v.changed(s.key) || v.changedBefore(s.key) {
		list = append(list, passage{page.Faint, 0, s.origin(v)})
	}
	return list
}

// evaluated is what an expression of a parameter comes to, with its unit; empty for all else.
func (s *setting) evaluated(c *sim.Case) string {
	name, ok := strings.CutPrefix(s.key, "sequence.")
	if !ok {
		return ""
	}
	p, ok := c.Sequence.Param(name)
	if !ok || p.Kind != sequence.KindNumber {
		return ""
	}
	if written, err := strconv.ParseFloat(p.Written(), 64); err == nil && written == p.Number {
		return ""
	}
	return withUnit(page.FourDigits(p.Number), s.unit)
}

// origin says where a value comes from and what it was.
func (s *setting) origin(v *valuesScreen) string {
	shown := func(text string) string { return withUnit(asShown(s.key, text), s.unit) }
	before, had := v.c.Scenario.Set[s.key]
	document, has := v.own[s.key]
	by := v.setBy(s.key)
	var first string
	var were []string
	switch changed := v.changed(s.key); {
	case changed && by != "":
		first, were = "changed", []string{by + " sets " + shown(before)}
	case changed && had:
		first, were = "changed", []string{"changed before to " + shown(before)}
	case changed:
		first = "changed"
	case by != "":
		first = "set by " + by
	default:
		first = "changed before"
	}
	if has && by != byScenario {
		were = append(were, "the scenario sets "+shown(document))
	}
	own := "original value"
	if s.own != "" {
		own += " " + withUnit(s.own, s.unit)
	}
	return first + "; " + strings.Join(append(were, own), ", ")
}

// asShown is a value of a key as the bench shows all values, however it was written: 250ms for 0.25s.
func asShown(key, text string) string {
	var rig plant.Rig
	if f, ok := plant.FindKey(key); ok && f.Set(&rig, text) == nil {
		return f.Text(&rig)
	}
	return text
}

// sameValue is whether two texts are the same value of a key.
func sameValue(key, a, b string) bool { return asShown(key, a) == asShown(key, b) }

// allShown are values as the bench shows them.
func allShown(set map[string]string) map[string]string {
	shown := map[string]string{}
	for key, text := range set {
		shown[key] = asShown(key, text)
	}
	return shown
}
