package binding

import (
	"maps"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// params writes the parameters: those that are like one of the reference by its name, with its role, so
// that rigs, scenarios and size find them; others by their own name with a unit.
func (d *draft) params() {
	left := slices.DeleteFunc(slices.Clone(d.all), func(c candidate) bool { return !d.isParam(&c) })
	known := d.known.Params
	pairs := bestPairs(len(known), len(left), func(k, o int) float64 { return d.paramLikeness(&known[k], &left[o]) })
	var lines, names []string
	add := func(name, text string) {
		if !slices.Contains(names, name) {
			names, lines = append(names, name), append(lines, "  "+name+": "+text)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(pairs)) {
		c := &left[pairs[k]]
		add(known[k].Name, numberText(known[k].Name, known[k].Unit, c))
		d.take(c.path)
	}
	matched := len(names)
	for _, c := range left {
		if name := ownParam(&c); validParam(name) && d.has(c.path) && !slices.Contains(names, name) {
			add(name, c.path)
			d.take(c.path)
		}
	}
	if d.asksDownOnly() && !slices.Contains(names, "test_up") {
		add("test_up", "{value: false}   # it asks downwards only")
	}
	d.writeParams(lines, names[:matched])
}

func (d *draft) writeParams(lines, known []string) {
	if len(lines) == 0 {
		d.line("# params:   # what --set sequence.NAME and a rig can change; the end of a name is its unit")
		return
	}
	d.line("params:   # what --set sequence.NAME and a rig can change; the end of a name is its unit")
	for _, line := range lines {
		d.line("%s", line)
	}
	var roles []string
	for _, r := range sequence.RoleWords() {
		if name := d.known.Roles[r.Role]; slices.Contains(known, name) {
			roles = append(roles, r.Role+": "+name)
		}
	}
	if len(roles) > 0 {
		d.line("roles:   # what they are, for holdbench size and others")
		for _, role := range roles {
			d.line("  %s", role)
		}
	}
}

// asksDownOnly is whether the output that asks is bound, and has no word for upwards.
func (d *draft) asksDownOnly() bool {
	return strings.Contains(d.out.String(), "\n  ask: ") && !d.asksUp
}

// isParam is whether a variable may be a parameter: an input, or a member of a structure of parameters.
func (d *draft) isParam(c *candidate) bool {
	if c.owner.Section == st.Input {
		return true
	}
	root, _, inside := strings.Cut(c.path, ".")
	named := slices.ContainsFunc(words(root), func(w string) bool {
		return slices.Contains([]string{"par", "param", "params", "parameter", "parameters", "cfg", "config", "settings"}, w)
	})
	return inside && named && c.owner.Section != st.Output
}

// paramLikeness is how alike a variable is to a parameter of the reference, 0 if it cannot be it: its type
// and the sign of its value must fit.
func (d *draft) paramLikeness(p *sequence.ParamValue, c *candidate) float64 {
	if p.Kind == sequence.KindBoolean {
		score, inverted := sense(&sequence.Signal{Name: p.Name, Kind: sequence.KindBoolean}, c.path)
		if c.typ.Kind() != st.Bool || inverted {
			return 0
		}
		return score
	}
	if !holdsNumber(c.typ.Kind(), p.Unit) || p.Unit == sequence.UnitOf("_s") && c.typ.Kind() != st.Time && !saysUnit(c.path, "s", "ms") {
		return 0
	}
	score := max(similarity(p.Name, c.path), similarity(p.Name, withoutQuantity(c.path, p.Unit)))
	if score < alike || !unitFits(c.path, p.Unit) || p.Number*d.initial(c) < 0 {
		return 0
	}
	return score
}

// saysUnit is whether a name ends with one of these units.
func saysUnit(path string, of ...string) bool {
	_, unit := withoutUnit(pathWords(path))
	return slices.Contains(of, strings.Join(unit, "_"))
}

// withoutQuantity leaves out the word of a name that says no more than the unit does: the torque of
// rRequiredTorque for a parameter in N·m.
func withoutQuantity(path string, unit sequence.Unit) string {
	quantity := map[string]string{"_nm": "torque", "_a": "current", "_s": "time", "_mm": "position"}
	list := pathWords(path)
	for ending, word := range quantity {
		if sequence.UnitOf(ending) == unit && len(list) > 1 {
			list = slices.DeleteFunc(list, func(w string) bool { return w == word })
		}
	}
	return strings.Join(list, "_")
}

// initial is the initial value of a number, 0 for others.
func (d *draft) initial(c *candidate) float64 {
	k := c.typ.Kind()
	r, err := d.program.Find(d.block, c.path)
	if err != nil || k == st.Bool || k == st.Enum || k == st.String {
		return 0
	}
	m, err := d.program.New(d.block)
	if err != nil {
		return 0
	}
	return m.Number(r)
}

// ownParam is a name of its own for a parameter; empty where a variable looks like an input that no signal
// was found for: a BOOL, or a number or a time without a value.
func ownParam(c *candidate) string {
	list, unit := withoutUnit(pathWords(c.path))
	name := strings.Join(list, "_")
	k := c.typ.Kind()
	switch {
	case c.owner.Initial == "" && !strings.Contains(c.path, "."):
		return ""
	case k == st.Time:
		return name + "_s"
	case k == st.Bool || k == st.Enum || k == st.String:
		return ""
	case len(unit) > 0 && sequence.UnitOf("_"+strings.Join(unit, "_")) != (sequence.Unit{}):
		return name + "_" + strings.Join(unit, "_")
	}
	for _, q := range []struct{ word, ending string }{{"torque", "_nm"}, {"current", "_a"}, {"speed", "_mm_s"}, {"position", "_mm"}, {"pos", "_mm"}, {"angle", "_deg"}} {
		if slices.Contains(list, q.word) {
			return name + q.ending
		}
	}
	return name
}

// validParam is whether a parameter can have a name; that of an input or of a function it cannot.
func validParam(name string) bool {
	_, _, found := sequence.ResolveParams(sequence.Params{{Name: name, Value: "0"}}, nil, nil)
	return !hasErrors(found)
}

// rest lists the inputs and the outputs of the block that nothing was found for.
func (d *draft) rest() {
	for _, side := range []struct {
		name    string
		section st.Section
	}{{"inputs", st.Input}, {"outputs", st.Output}} {
		var paths []string
		for i := range d.all {
			if d.all[i].owner.Section == side.section {
				paths = append(paths, d.all[i].path)
			}
		}
		if len(paths) > 0 {
			d.line("# %s of %s for which nothing was found: %s", side.name, d.block.Name, strings.Join(paths, ", "))
		}
	}
}
