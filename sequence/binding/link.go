package binding

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// link is a signal tied to a variable, ready for a scan.
type link struct {
	signal sequence.Signal
	handle st.Ref
	kind   st.Kind
	factor float64 // value of the variable for a signal of 1
	plain  bool    // a LREAL in the unit of the bench: nothing is converted
	words  []value // of a word, in the order in which they are tried
	places []int32 // of the values from 0 on in words, -1 for one without a word; nil if there are others
	low    float64 // of an integer: the least and the largest value that it can hold
	high   float64
}

// value is a value of a variable that stands for a word.
type value struct {
	word  string
	place int // of the word in the words of an output
	whole int64
	text  string // of a STRING
}

// put writes a signal of the image into the variable. It is an error if the variable cannot have the
// value, as one of a subrange.
func (l *link) put(i *st.Machine, in *sequence.Inputs) error {
	switch l.signal.Kind {
	case sequence.KindBoolean:
		return i.SetBool(l.handle, l.signal.InputBoolean(in))
	case sequence.KindNumber:
		return l.putNumber(i, l.signal.InputNumber(in))
	}
	return l.putWord(i, l.signal.InputWord(in))
}

// putNumber converts a number as an input card does: an integer is rounded to the nearest, and one
// that is too large for the variable stays at its limit.
func (l *link) putNumber(i *st.Machine, x float64) error {
	if l.plain {
		return i.SetReal(l.handle, x)
	}
	return i.SetNumber(l.handle, min(max(x*l.factor, l.low), l.high))
}

// putWord writes the value for a word. The binding has one for each.
func (l *link) putWord(i *st.Machine, word string) error {
	for k := range l.words {
		if l.words[k].word != word {
			continue
		}
		switch v := &l.words[k]; l.kind {
		case st.String:
			return i.SetText(l.handle, v.text)
		case st.Bool:
			return i.SetBool(l.handle, v.whole != 0)
		default:
			return i.SetInt(l.handle, v.whole)
		}
	}
	return nil
}

// take reads an output from the variable into the image. It is an error if the variable has a value
// that the output cannot have.
func (l *link) take(i *st.Machine, out *sequence.Outputs) error {
	switch {
	case l.signal.Kind == sequence.KindBoolean:
		l.signal.PutBoolean(out, i.Bool(l.handle))
	case l.signal.Kind == sequence.KindNumber:
		x := l.number(i)
		if x-x != 0 {
			return fmt.Errorf("the output %s is not a finite number", l.signal.Name)
		}
		l.signal.PutNumber(out, x)
	case len(l.words) == 0:
		l.takeText(i, out)
	default:
		k := l.match(i)
		if k < 0 {
			return fmt.Errorf("the output %s has the value %s, for which the binding has no word", l.signal.Name, l.shown(i))
		}
		if l.signal.Words == nil {
			l.signal.PutText(out, l.words[k].word)
		} else {
			l.signal.PutWord(out, l.words[k].place)
		}
	}
	return nil
}

// takeText reads free text; nothing is allocated while it stays as it was.
func (l *link) takeText(i *st.Machine, out *sequence.Outputs) {
	if was := l.signal.OutputText(out); !i.TextIs(l.handle, was) {
		l.signal.PutText(out, i.Text(l.handle))
	}
}

// number is the value of a number in the unit of the bench.
func (l *link) number(i *st.Machine) float64 {
	if l.plain {
		return i.Real(l.handle)
	}
	return i.Number(l.handle) / l.factor
}

// settle prepares what a scan looks up.
func (l *link) settle() {
	const most = 256
	l.plain = l.kind == st.Lreal && l.factor == 1
	l.places = nil
	for k := range l.words {
		whole := l.words[k].whole
		if l.kind == st.String || whole < 0 || whole >= most {
			l.places = nil
			return
		}
		for int64(len(l.places)) <= whole {
			l.places = append(l.places, -1)
		}
		l.places[whole] = int32(k) //nolint:gosec // there are fewer than most
	}
}

func (l *link) real() bool { return l.kind == st.Real || l.kind == st.Lreal }

// match is the place of the value that the variable has, -1 if it has none of them.
func (l *link) match(i *st.Machine) int {
	if l.kind == st.String {
		return slices.IndexFunc(l.words, func(v value) bool { return i.TextIs(l.handle, v.text) })
	}
	now := whole(i, l.handle, l.kind)
	if l.places != nil {
		if now < 0 || now >= int64(len(l.places)) {
			return -1
		}
		return int(l.places[now])
	}
	for k := range l.words {
		if l.words[k].whole == now {
			return k
		}
	}
	return -1
}

// whole is a value that is no real number; 0 and 1 of a BOOL.
func whole(i *st.Machine, h st.Ref, kind st.Kind) int64 {
	if kind != st.Bool {
		return i.Int(h)
	}
	if i.Bool(h) {
		return 1
	}
	return 0
}

// shown is the value of the variable for people.
func (l *link) shown(i *st.Machine) string { return i.Format(l.handle) }

// parseValue reads a value of a variable as a binding writes it: the name of an enumeration, a
// number, TRUE or FALSE, a text.
func parseValue(t *st.Type, text string) (whole int64, ok bool) {
	switch t.Kind() {
	case st.Bool:
		return boolValue(text)
	case st.Enum:
		for _, v := range t.Values() {
			if strings.EqualFold(v.Name, bare(text)) {
				return v.Value, true
			}
		}
	}
	whole, err := strconv.ParseInt(text, 10, 64)
	if err != nil || t.Kind() != st.Enum {
		return whole, err == nil
	}
	return whole, slices.ContainsFunc(t.Values(), func(v st.EnumValue) bool { return v.Value == whole })
}

func boolValue(text string) (int64, bool) {
	switch strings.ToUpper(text) {
	case "TRUE", "1":
		return 1, true
	case "FALSE", "0":
		return 0, true
	}
	return 0, false
}

// bare is the name of a value without that of its type: S_TRAVEL of Step#S_TRAVEL.
func bare(text string) string {
	_, name, qualified := strings.Cut(text, "#")
	if !qualified {
		return text
	}
	return name
}
