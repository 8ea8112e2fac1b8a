package schema

import (
	"strconv"

	"holdbench/plant"
)

// field is a key of a rig, made from its entry in the table of values. It is required if its default
// is not permitted; a value without effect is not.
func (b *builder) field(name string, f *plant.Field) Key {
	preset := f.Text(&b.defaults)
	permitted := f.Check(preset) == nil
	zero := f.RunsOnly || !f.Applies(&b.defaults) && !permitted // 0 passes, as a value that is not known or has no effect
	k := Key{Name: name, Note: f.Note, hover: unitAndRange(f), Shape: &Shape{Rules: written(f, zero), Says: ranges(f)}}
	k.Required = !permitted && !zero
	if permitted {
		k.Default, k.preset = preset, asJSON(f, preset)
	}
	return k
}

// unitAndRange is what the rules of a schema cannot say of a field.
func unitAndRange(f *plant.Field) string {
	switch {
	case f.Kind == plant.KindDuration:
		return " (a duration, " + f.Range() + ")"
	case f.Unit != "":
		return " (" + f.Unit + ")"
	}
	return ""
}

// ranges is type and range in words.
func ranges(f *plant.Field) string {
	switch f.Kind {
	case plant.KindNumber:
		if f.Unit == "" {
			return "a number, " + f.Range()
		}
	case plant.KindCount:
		return "a whole number, " + f.Range()
	}
	return f.Range()
}

// written are the rules for a value as a rig has it.
func written(f *plant.Field, zero bool) Object {
	switch f.Kind {
	case plant.KindFlag:
		return Object{"type": "boolean"}
	case plant.KindWord:
		return Object{"enum": f.Words}
	case plant.KindDuration:
		return Object{"type": []string{"string", "integer"}, "pattern": durationPattern, "minimum": 0, "maximum": 0}
	case plant.KindCount:
		return bounded(f, Object{"type": "integer"}, zero)
	}
	return bounded(f, Object{"type": "number"}, zero)
}

// bounded adds the range of a number; 0 can be permitted beside it.
func bounded(f *plant.Field, o Object, zero bool) Object {
	if zero && f.Min > 0 {
		o["anyOf"] = []Object{{"const": 0}, {"minimum": f.Min}}
	} else {
		o["minimum"] = f.Min
	}
	o["maximum"] = f.Max
	return o
}

// set are the rules for the same value as a scenario sets it: a text or what it looks like.
func set(f *plant.Field) Object {
	switch f.Kind {
	case plant.KindFlag:
		return flagText()
	case plant.KindWord:
		return Object{"enum": f.Words}
	case plant.KindDuration:
		return durationText()
	case plant.KindCount:
		return bounded(f, Object{"type": []string{"integer", "string"}, "pattern": wholePattern}, false)
	}
	return bounded(f, Object{"type": []string{"number", "string"}, "pattern": decimalPattern}, false)
}

func flagText() Object {
	return Object{"type": []string{"boolean", "string", "integer"}, "pattern": flagPattern, "minimum": 0, "maximum": 1}
}

func durationText() Object {
	return Object{"type": []string{"string", "integer"}, "pattern": `^[+-]?0$|` + durationPattern, "minimum": 0, "maximum": 0}
}

// asJSON is a default as an editor inserts it.
func asJSON(f *plant.Field, text string) any {
	switch f.Kind {
	case plant.KindFlag:
		return text == "true"
	case plant.KindNumber, plant.KindCount:
		x, _ := strconv.ParseFloat(text, 64) // made from a number
		return x
	}
	return text
}
