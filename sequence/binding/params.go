package binding

import (
	"maps"
	"slices"
	"strconv"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// param is a parameter that is written to a variable when a run begins.
type param struct {
	name string
	link link
}

// params checks the parameters against their variables, and gives those that take their value from
// the program that of its declaration.
func (c *checker) params() (sequence.Params, []param) {
	var list sequence.Params
	var tied []param
	for _, w := range c.doc.Params {
		at := "$.params." + w.Name
		p := sequence.Param{Name: w.Name, Value: sequence.Text(w.Value)}
		if w.Variable == "" && w.Value == "" {
			c.fail(at, "%s has neither a variable nor a value; must have one of them", w.Name)
			continue
		}
		if w.Variable == "" && (w.Unit != "" || w.Scale != 0 || w.Inverted) {
			c.fail(at, "%s has no variable; must have no unit, no scale and no inverted", w.Name)
		}
		if w.Variable != "" {
			l, ok := c.paramLink(at, &w)
			if !ok {
				continue
			}
			tied = append(tied, param{w.Name, l})
			if w.Value == "" {
				p.Value = sequence.Text(c.initial(&l))
			}
		}
		list = append(list, p)
	}
	return list, tied
}

// paramLink ties a parameter to its variable, which it writes.
func (c *checker) paramLink(path string, w *Param) (link, bool) {
	l, ok := c.valueLink(path, w, false)
	if ok {
		c.once(path, w.Variable, l.handle, &l.signal)
	}
	return l, ok
}

// shownLink ties a name to a variable that is only read.
func (c *checker) shownLink(path string, w *Param) (link, bool) { return c.valueLink(path, w, true) }

func (c *checker) valueLink(path string, w *Param, readOnly bool) (link, bool) {
	l := link{signal: sequence.Signal{Name: w.Name, Kind: sequence.KindNumber, Unit: sequence.UnitOf(w.Name)}, factor: 1, inverted: w.Inverted}
	h, ok := c.variable(path, w.Variable, readOnly)
	if !ok {
		return l, false
	}
	l.handle, l.kind = h, h.Type().Kind()
	before := len(c.found)
	if w.Inverted && l.kind != st.Bool {
		c.fail(path, "inverted is given and %s is %s; must be a BOOL", w.Variable, article(h.Type()))
	}
	if l.kind == st.Bool {
		l.signal.Kind = sequence.KindBoolean
		if w.Unit != "" || w.Scale != 0 {
			c.fail(path, "%s is true or false; must have no unit and no scale", w.Name)
		}
	} else {
		c.checkNumber(path, w.Variable, w.Unit, w.Scale, false, l.signal.Unit, &l)
	}
	return l, len(c.found) == before
}

// initial is the initial value of a variable, in the unit of the bench.
func (c *checker) initial(l *link) string {
	i := c.machine()
	if l.kind == st.Bool {
		return strconv.FormatBool(i.Bool(l.handle) != l.inverted)
	}
	if l.kind != st.Real {
		return strconv.FormatFloat(l.number(i), 'g', -1, 64)
	}
	short := strconv.FormatFloat(i.Real(l.handle), 'g', -1, 32) // the digits that give the REAL back
	if l.factor == 1 {
		return short
	}
	x, err := strconv.ParseFloat(short, 64)
	if err != nil {
		panic("binding: " + err.Error()) // a REAL is finite
	}
	return strconv.FormatFloat(x/l.factor, 'g', -1, 64)
}

// set writes the value of a parameter into its variable.
func (p *param) set(i *st.Machine, v *sequence.ParamValue) error {
	if v.Kind == sequence.KindBoolean {
		return i.SetBool(p.link.handle, v.Boolean != p.link.inverted)
	}
	return p.link.putNumber(i, v.Number)
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
