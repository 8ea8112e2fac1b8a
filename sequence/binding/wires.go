package binding

import (
	"fmt"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// wires tie the variables of a run to the values in an image. Where a value is, is looked up once for
// an image, and most of them need no conversion: what a scan carries is then a copy.
type wires struct {
	booleans []wire[bool]
	numbers  []wire[float64] // LREAL in the unit of the bench
	others   []converter
}

type wire[T any] struct {
	at       *T
	variable st.Ref
	inverted bool // of a boolean: the variable has the opposite value
}

// converter carries a value that is not the same on both sides.
type converter struct {
	link *link
	at   sequence.Place
}

func (w *wires) add(l *link, at sequence.Place) {
	switch {
	case at.Boolean != nil:
		w.booleans = append(w.booleans, wire[bool]{at.Boolean, l.handle, l.inverted})
	case at.Number != nil && l.plain:
		w.numbers = append(w.numbers, wire[float64]{at.Number, l.handle, false})
	default:
		w.others = append(w.others, converter{l, at})
	}
}

// put writes the inputs into their variables. It is an error if a variable cannot have the value, as
// one of a subrange.
func (w *wires) put(m *st.Machine) error {
	booleans, numbers := w.booleans, w.numbers
	for i := range booleans {
		b := &booleans[i]
		m.PutBool(b.variable, *b.at != b.inverted)
	}
	for i := range numbers {
		n := &numbers[i]
		if x := *n.at; x-x != 0 {
			return m.SetReal(n.variable, x) // which refuses it
		}
		m.PutReal(n.variable, *n.at)
	}
	for i := range w.others {
		if err := w.others[i].put(m); err != nil {
			return err
		}
	}
	return nil
}

func (c *converter) put(m *st.Machine) error {
	if c.at.Number != nil {
		return c.link.putNumber(m, *c.at.Number)
	}
	return c.link.putWord(m, *c.at.Text)
}

// take reads the outputs from their variables. It is an error if a variable has a value that the
// output cannot have.
func (w *wires) take(m *st.Machine, out *sequence.Outputs) error {
	w.copyOut(m)
	for i := range w.others {
		if err := w.others[i].take(m, out); err != nil {
			return err
		}
	}
	return nil
}

// copyOut reads what needs no conversion. A program has no number that is not finite.
func (w *wires) copyOut(m *st.Machine) {
	booleans, numbers := w.booleans, w.numbers
	for i := range booleans {
		b := &booleans[i]
		*b.at = m.Bool(b.variable) != b.inverted
	}
	for i := range numbers {
		n := &numbers[i]
		*n.at = m.Real(n.variable)
	}
}

func (c *converter) take(m *st.Machine, out *sequence.Outputs) error {
	l := c.link
	switch {
	case c.at.Number != nil:
		x := l.number(m)
		if x-x != 0 {
			return fmt.Errorf("the output %s is not a finite number", l.signal.Name)
		}
		*c.at.Number = x
		return nil
	case len(l.words) == 0:
		l.takeText(m, c.at.Text)
		return nil
	}
	k := l.match(m)
	switch {
	case k < 0:
		return l.without(m)
	case c.at.Text != nil:
		*c.at.Text = l.words[k].word
	default:
		l.signal.PutWord(out, l.words[k].place)
	}
	return nil
}

// show writes the variables that are watched into the image.
func (w *wires) show(m *st.Machine) {
	w.copyOut(m)
	for i := range w.others {
		*w.others[i].at.Number = w.others[i].link.number(m)
	}
}
