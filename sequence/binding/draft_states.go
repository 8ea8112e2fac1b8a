package binding

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// findState finds what says the state before anything else is tied to it: an enumeration that a CASE
// selects by, else an integer, else flags.
func (d *draft) findState() {
	for i := range d.all {
		c := d.all[i]
		r, err := d.program.Find(d.block, c.path)
		if c.typ.Kind() != st.Enum || err != nil || len(d.program.Cases(d.block, r)) == 0 {
			continue
		}
		if d.steps == nil || len(c.typ.Values()) > len(d.steps.typ.Values()) {
			d.steps = &c
		}
	}
	if d.steps != nil {
		d.values = stepsOfEnumeration(d.steps.typ)
	} else {
		d.findNumbers()
	}
	if d.steps != nil {
		d.take(d.steps.path)
		return
	}
	d.flags = d.findFlags()
	for _, path := range d.flags {
		d.take(path)
	}
}

// state writes what says the state; where neither a CASE nor flags do, the enumeration with the most values
// that is left. The states have the names that the built-in scenarios know, where they are alike.
func (d *draft) state() {
	d.line("state:")
	if d.steps == nil && d.flags == nil {
		d.steps = d.largest()
	}
	var names []string
	switch {
	case d.steps != nil:
		names = d.writeValues()
	case d.flags != nil:
		names = d.flagStates()
	default:
		d.line("  # variable: of an enumeration or an integer; or flags: BOOL variables with their states   # necessary")
	}
	d.ends(names)
	if d.steps != nil {
		d.begin(d.steps, names)
	}
}

// largest is the enumeration with the most values; nil without one.
func (d *draft) largest() *candidate {
	var best *candidate
	for i := range d.all {
		c := d.all[i]
		if c.typ.Kind() == st.Enum && (best == nil || len(c.typ.Values()) > len(best.typ.Values())) {
			best = &c
		}
	}
	if best != nil {
		d.take(best.path)
		d.values = stepsOfEnumeration(best.typ)
	}
	return best
}

// writeValues writes the states of a variable.
func (d *draft) writeValues() []string {
	d.line("  variable: %s", d.steps.path)
	d.line("  values:   # named as in the built-in scenarios where one is alike")
	own := d.ownNames()
	unique := sortedUnique(slices.Clone(own))
	known := d.knownStates(unique)
	names := make([]string, len(own))
	for i := range own {
		names[i] = known[slices.Index(unique, own[i])]
		d.line("    %s", stepText(&d.values[i], names[i]))
	}
	return names
}

// ownNames are the names of the states in the program. Values of one branch are one state where they have
// one name; a name that another branch has already gets a number.
func (d *draft) ownNames() []string {
	own := make([]string, len(d.values))
	for i := range d.values {
		v := &d.values[i]
		own[i] = v.own
		for n := 2; ; n++ {
			k := slices.Index(own[:i], own[i])
			if k < 0 || v.at > 0 && d.values[k].at == v.at {
				break
			}
			own[i] = fmt.Sprintf("%s_%d", v.own, n)
		}
	}
	return own
}

// knownStates gives states the names that the reference has for what they are alike to.
func (d *draft) knownStates(own []string) []string {
	known := d.known.StateNames()
	names := slices.Clone(own)
	for k, o := range bestPairs(len(known), len(own), func(k, o int) float64 { return similarity(known[k], own[o]) }) {
		names[o] = known[k]
	}
	return names
}

// begin writes the state that a run starts in, where the initial value is another.
func (d *draft) begin(c *candidate, names []string) {
	k := slices.Index(names, "ready")
	if k < 0 {
		return
	}
	ready := d.values[k]
	r, err := d.program.Find(d.block, c.path)
	if err != nil {
		return
	}
	m, err := d.program.New(d.block)
	if err == nil && m.Int(r) != ready.value {
		d.line("start: {%s: %s}   # at the start of a run; after a loss of power the initial value counts", c.path, ready.key)
	}
}

func isStep(word string) bool {
	return slices.Contains([]string{"step", "state", "schritt", "zustand"}, word)
}

// findFlags are the BOOL variables that are named like steps, else those of the structure with the most.
func (d *draft) findFlags() []string {
	paths := d.flagPaths(func(path string) bool { return slices.ContainsFunc(plain(words(path)), isStep) })
	if len(paths) == 0 {
		paths = d.flagGroup()
	}
	return paths
}

// flagStates writes the states of flags.
func (d *draft) flagStates() []string {
	own := make([]string, len(d.flags))
	for i, path := range d.flags {
		_, last, inside := strings.Cut(path, ".")
		if !inside {
			last = path
		}
		own[i] = strings.Join(slices.DeleteFunc(plain(words(last)), isStep), "_")
	}
	names := d.knownStates(own)
	d.line("  flags:   # named as in the built-in scenarios where one is alike; the first that is set counts")
	for i, name := range names {
		d.line("    %s: %s", d.flags[i], name)
	}
	return names
}

// flagPaths are the BOOL variables that are chosen.
func (d *draft) flagPaths(chosen func(path string) bool) []string {
	var paths []string
	for i := range d.all {
		if c := &d.all[i]; c.typ.Kind() == st.Bool && chosen(c.path) {
			paths = append(paths, c.path)
		}
	}
	return paths
}

// flagGroup are the members of the structure inside of the block that has the most members, all of them
// BOOL; none without one that has several.
func (d *draft) flagGroup() []string {
	const several = 4
	var best *st.Variable
	for _, v := range d.block.Variables {
		fields := v.Type.Fields()
		other := slices.ContainsFunc(fields, func(f *st.Variable) bool { return f.Type.Kind() != st.Bool })
		if v.Type.Kind() == st.Struct && !v.Constant && v.Section != st.Input && !other && len(fields) >= several && (best == nil || len(fields) > len(best.Type.Fields())) {
			best = v
		}
	}
	if best == nil {
		return nil
	}
	return d.flagPaths(func(path string) bool { return strings.EqualFold(root(path), best.Name) })
}

// ends writes the states that are named like the end of a test.
func (d *draft) ends(names []string) {
	kinds := []struct {
		end string
		of  []string
	}{
		{"pass", []string{"passed", "pass", "done", "ok", "success", "bestanden", "fertig"}},
		{"fail", []string{"failed", "fail", "locked", "fault", "error", "fehler", "stoerung", "gesperrt"}},
		{"stop", []string{"stopped", "stop", "aborted", "cancelled", "canceled", "gestoppt", "abbruch"}},
	}
	var parts []string
	for _, name := range names {
		if d.known.End(name) == sequence.EndNone && slices.Contains(d.known.StateNames(), name) {
			continue
		}
		for _, k := range kinds {
			if slices.ContainsFunc(words(name), func(w string) bool { return slices.Contains(k.of, w) }) {
				parts = append(parts, name+": "+k.end)
				break
			}
		}
	}
	d.line("  ends: {%s}%s", strings.Join(parts, ", "), endsLeft(parts))
}

// endsLeft says which ends are not found.
func endsLeft(parts []string) string {
	has := func(end string) bool {
		return slices.ContainsFunc(parts, func(p string) bool { return strings.HasSuffix(p, ": "+end) })
	}
	switch {
	case !has("pass") && !has("fail"):
		return "   # necessary: the state of a passed test, as STATE: pass, and those of a failure, as STATE: fail"
	case !has("pass"):
		return "   # necessary: the state of a passed test, as STATE: pass"
	case !has("fail"):
		return "   # check: the states of a failure, as STATE: fail"
	}
	return ""
}

// cause writes the enumeration that says why a test failed, with the causes that the built-in scenarios
// expect where they are alike.
func (d *draft) cause() {
	for i := range d.all {
		c := &d.all[i]
		named := slices.ContainsFunc([]string{"error", "fault", "cause", "reason", "fehler", "stoerung", "ursache", "grund"}, func(w string) bool { return slices.Contains(words(c.path), w) })
		k := c.typ.Kind()
		if !named || c.owner.Section == st.Input || k != st.Enum && !isInteger(k) {
			continue
		}
		if k != st.Enum {
			d.line("# cause: {variable: %s, words: {none: 0, …}}   # with its numbers", c.path)
			return
		}
		d.line("cause: {variable: %s, words: {%s}}", c.path, d.causeWords(c.typ))
		d.take(c.path)
		return
	}
}

func (d *draft) causeWords(t *st.Type) string {
	known, own := d.known.Causes, stateNames(t.Values())
	names := make([]string, len(own))
	for i, name := range own {
		names[i] = strings.ReplaceAll(name, "_", "-")
		if slices.Contains([]string{"ok", "no", "no_error", "no_fault"}, name) {
			names[i] = noWord
		}
	}
	for k, o := range bestPairs(len(known), len(own), func(k, o int) float64 { return similarity(known[k], own[o]) }) {
		if names[o] != noWord {
			names[o] = known[k]
		}
	}
	parts := make([]string, len(names))
	for i, name := range names {
		parts[i] = fmt.Sprintf("%s: %s", name, t.Values()[i].Name)
	}
	return strings.Join(parts, ", ")
}
