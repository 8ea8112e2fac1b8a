package sim

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
)

// rigValues are the rig's values of the parameters that the sequence has; a rig may have values for
// other sequences.
func rigValues(rig *plant.Rig, d *sequence.Description) sequence.Values {
	values := sequence.Values{}
	for _, p := range d.Params {
		if text, ok := rig.Sequence[p.Name]; ok {
			values[p.Name] = text
		}
	}
	return values
}

// override applies the settings of the scenario to the rig and to the parameters.
func (c *Case) override(values sequence.Values, logic sequence.Logic) problem.List {
	var found problem.List
	for _, key := range sortedKeys(c.Scenario.Set) {
		text := c.Scenario.Set[key]
		if err := c.overrideOne(key, text, values, logic); err != nil {
			found = append(found, problem.Problem{Path: SetPath(key), Message: err.Error()})
		}
	}
	return found
}

func (c *Case) overrideOne(key, text string, values sequence.Values, logic sequence.Logic) error {
	d := logic.About()
	if name, ok := strings.CutPrefix(key, "sequence."); ok {
		if _, ok := d.Param(name); !ok {
			return errors.New(noParam(name, logic))
		}
		values[name] = text
		return nil
	}
	f, ok := plant.FindKey(key)
	if !ok {
		return fmt.Errorf("%q is no value that can be set%s", key, suggestion(key, Settings(d)))
	}
	return f.Set(&c.Rig, text)
}

// Settings lists every key that a scenario with this sequence can set.
func Settings(d *sequence.Description) []string {
	var keys []string
	for _, f := range plant.Fields() {
		keys = append(keys, f.Key)
	}
	for _, name := range d.ParamNames() {
		keys = append(keys, "sequence."+name)
	}
	return keys
}

// overridePath is where the scenario sets the value of the rig, or a related one, and whether it
// does. The load and what carries it are related.
func overridePath(s *Scenario, path string) (set string, own bool) {
	wrong, ok := plant.FindField(path)
	if !ok {
		return "rig", false
	}
	inSection := func(name string) func(*plant.Field) bool {
		return func(f *plant.Field) bool { return f.Section() == name }
	}
	for _, belongs := range []func(*plant.Field) bool{
		func(f *plant.Field) bool { return f == wrong }, inSection(wrong.Section()), inSection("load"), inSection("test"),
	} {
		for _, key := range sortedKeys(s.Set) {
			if f, ok := plant.FindKey(key); ok && belongs(f) {
				return SetPath(key), true
			}
		}
	}
	return "rig", false
}

// quoted is a key as a step of a YAML path.
func quoted(key string) string {
	return ".'" + strings.ReplaceAll(key, "'", `\'`) + "'"
}

// SetPath is the path at which problems with a key of a scenario's set are reported.
func SetPath(key string) string { return "set" + quoted(key) }

// rigValuePath is where a rig has its values for sequences.
const rigValuePath = "rig.sequence"

// RigValuePath is the path at which problems with a rig's value of a parameter are reported, and their column is
// in that value.
func RigValuePath(name string) string { return rigValuePath + quoted(name) }

// InRig is the path within the rig of a problem with a rig's value of a parameter.
func InRig(path string) (within string, ok bool) {
	within, ok = strings.CutPrefix(path, "rig.")
	return within, ok && strings.HasPrefix(path, rigValuePath+".")
}

func sortedKeys[V any, K cmp.Ordered](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
