package binding

import (
	"errors"
	"math"
	"slices"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/st"
)

// checker compares a binding with the declarations of its program. Problems have the paths of the
// document.
type checker struct {
	doc     *Document
	program *st.Program
	block   *st.Block
	found   problem.List
	taken   map[string]string // what a variable is bound to, by its path
}

func (c *checker) fail(path, format string, values ...any) { c.found.Add(path, format, values...) }

func (c *checker) warn(path, format string, values ...any) { c.found.Warn(path, format, values...) }

// links checks the signals of one side.
func (c *checker) links(path string, written Links, table []sequence.Signal) []link {
	names := make([]string, len(table))
	for i := range table {
		names[i] = table[i].Name
	}
	var list []link
	for i := range written {
		w := &written[i]
		at := path + "." + w.Signal
		k := slices.Index(names, w.Signal)
		if k < 0 {
			c.fail(at, "there is no %s %q; %s", strings.TrimSuffix(path[2:], "s"), w.Signal, sequence.Suggest(w.Signal, names))
			continue
		}
		if l, ok := c.link(at, w, &table[k]); ok {
			list = append(list, l)
		}
	}
	return list
}

// link checks one signal.
func (c *checker) link(path string, w *Link, signal *sequence.Signal) (link, bool) {
	l := link{signal: *signal, factor: 1, inverted: w.Inverted}
	if len(w.Flags) > 0 {
		return c.flags(path, w, l)
	}
	if w.Otherwise != "" {
		c.fail(path, "otherwise is given without flags; must stand beside flags")
	}
	if w.Momentary {
		c.fail(path, "momentary is given for %s; must stand at cause only", signal.Name)
	}
	h, ok := c.variable(path, w.Variable, signal.Output)
	if !ok {
		return l, false
	}
	l.handle, l.kind = h, h.Type().Kind()
	c.once(path, w.Variable, h, signal)
	before := len(c.found)
	if w.Inverted && signal.Kind != sequence.KindBoolean {
		c.fail(path, "inverted is given and %s is not true or false; must be left out", signal.Name)
	}
	switch signal.Kind {
	case sequence.KindBoolean:
		c.checkBoolean(path, w, &l)
	case sequence.KindNumber:
		c.checkNumber(path, w.Variable, w.Unit, w.Scale, len(w.Words) > 0, signal.Unit, &l)
	default:
		c.checkWord(path, w, &l)
	}
	return l, len(c.found) == before || !slices.ContainsFunc(c.found[before:], func(p problem.Problem) bool { return !p.Warning })
}

// variable finds a variable of the block; an input of the bench must be one that can be written.
func (c *checker) variable(path, name string, readOnly bool) (st.Ref, bool) {
	if name == "" {
		c.fail(path, "variable is missing; must be a variable of %s, such as a.b or list[2]", c.block.Name)
		return st.Ref{}, false
	}
	h, err := c.program.Find(c.block, name)
	if err != nil {
		if inner := errors.Unwrap(err); inner != nil {
			err = inner // without file and block, which the binding names
		}
		c.fail(path, "%s", err.Error())
		return h, false
	}
	switch {
	case h.Type().Kind() > st.Enum:
		c.fail(path, "%s is %s; must be a single value, such as one of its members", name, article(h.Type()))
	case !readOnly && h.Variable().Constant:
		c.fail(path, "%s is a CONSTANT; must be a variable that can be written", name)
	default:
		return h, true
	}
	return h, false
}

// once refuses two signals that write one variable. Two outputs may read the same.
func (c *checker) once(path, name string, h st.Ref, signal *sequence.Signal) {
	if signal.Output {
		return
	}
	if other := c.taken[h.Path()]; other != "" {
		c.fail(path, "%s is bound to %s already; must be bound once", name, other)
		return
	}
	c.taken[h.Path()] = signal.Name
}

func (c *checker) checkBoolean(path string, w *Link, l *link) {
	switch {
	case l.kind != st.Bool:
		c.fail(path, "%s is %s; the signal %s is true or false and must be a BOOL", w.Variable, article(l.handle.Type()), l.signal.Name)
	case w.Unit != "" || w.Scale != 0 || len(w.Words) > 0:
		c.fail(path, "%s is true or false; must have no unit, scale or words", l.signal.Name)
	}
}

// checkNumber finds the factor between the two values.
func (c *checker) checkNumber(path, variable, unit string, scale float64, words bool, of sequence.Unit, l *link) {
	kind := l.kind
	number := isInteger(kind) || l.real() || kind == st.Time
	factor, known, right := factorOf(unit, of)
	switch {
	case !number:
		c.fail(path, "%s is %s; the signal is a number and must be an integer, REAL, LREAL or TIME", variable, article(l.handle.Type()))
	case words:
		c.fail(path, "the signal is a number; must have a unit or a scale in place of words")
	case unit != "" && scale != 0:
		c.fail(path, "unit and scale are both given; must be one of them")
	case kind == st.Time && (unit != "" || scale != 0):
		c.fail(path, "%s is a TIME, which is its own unit; must have no unit and no scale", variable)
	case kind == st.Time && of != sequence.UnitOf("_s"):
		c.fail(path, "%s is a TIME and the signal is %s; must be a time", variable, unitText(of))
	case unit != "" && !known:
		c.fail(path, "unit is %q; must be one of %s", unit, strings.Join(right, ", "))
	case scale < 0 || math.IsInf(scale, 0) || math.IsNaN(scale):
		c.fail(path, "scale is %g; must be above 0", scale)
	}
	switch {
	case unit != "" && known:
		l.factor = factor
	case scale != 0:
		l.factor = scale
	}
	l.low, l.high = limits(kind)
}

// limits are the least and the largest number that a variable can hold.
func limits(k st.Kind) (low, high float64) {
	whole := func(bits int) (float64, float64) {
		return -math.Ldexp(1, bits-1), math.Ldexp(1, bits-1) - 1
	}
	switch k {
	case st.Sint:
		return whole(8)
	case st.Int:
		return whole(16)
	case st.Dint:
		return whole(32)
	case st.Usint:
		return 0, math.MaxUint8
	case st.Uint:
		return 0, math.MaxUint16
	case st.Udint:
		return 0, math.MaxUint32
	case st.Real:
		return -math.MaxFloat32, math.MaxFloat32
	case st.Ulint:
		return 0, math.Ldexp(1, 62)
	}
	return -math.Ldexp(1, 62), math.Ldexp(1, 62) // LINT, LREAL, and TIME in s
}

func unitText(u sequence.Unit) string {
	if u == (sequence.Unit{}) {
		return "a plain number"
	}
	return "in " + u.String()
}

// article is a type in a sentence.
func article(t *st.Type) string {
	switch t.Kind() {
	case st.Enum:
		return "an enumeration"
	case st.Sint, st.Int, st.Usint, st.Uint, st.Dint, st.Lint, st.Udint, st.Ulint:
		return "an integer (" + t.String() + ")"
	}
	return "a " + t.String()
}
