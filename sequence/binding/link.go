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
	index  index   // of the values of words that are no texts
	low    float64 // of an integer: the least and the largest value that it can hold
	high   float64

	inverted bool     // a BOOL that is FALSE while the signal is true
	flags    []st.Ref // in place of the variable, one for each of the first words
}

// paths are those of the variables.
func (l *link) paths() []string {
	if l.flags == nil {
		return []string{l.handle.Path()}
	}
	list := make([]string, len(l.flags))
	for k := range l.flags {
		list[k] = l.flags[k].Path()
	}
	return list
}

// value is a value of a variable that stands for a word.
type value struct {
	word  string
	place int // of the word in the words of an output
	whole int64
	text  string // of a STRING
}

// putNumber converts a number as an input card does: an integer is rounded to the nearest, and one
// that is too large for the variable stays at its limit.
func (l *link) putNumber(i *st.Machine, x float64) error {
	return i.SetNumber(l.handle, min(max(x*l.factor, l.low), l.high))
}

// putWord writes the value for a word. The binding has one for each, which the variable can have.
func (l *link) putWord(i *st.Machine, word string) error {
	for k := range l.words {
		if l.words[k].word != word {
			continue
		}
		if l.kind == st.String {
			return i.SetText(l.handle, l.words[k].text)
		}
		i.PutInt(l.handle, l.words[k].whole)
		break
	}
	return nil
}

// takeText reads free text; nothing is allocated while it stays as it was.
func (l *link) takeText(i *st.Machine, to *string) {
	if !i.TextIs(l.handle, *to) {
		*to = i.Text(l.handle)
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
	l.plain = l.kind == st.Lreal && l.factor == 1
	list := make([]int64, len(l.words))
	for k := range l.words {
		list[k] = l.words[k].whole
	}
	l.index = indexOf(list)
}

// isInteger is whether a kind is that of an integer.
func isInteger(k st.Kind) bool { return k >= st.Sint && k <= st.Ulint }

func (l *link) real() bool { return l.kind == st.Real || l.kind == st.Lreal }

// match is the place of the value that the variable has, -1 if it has none of them.
func (l *link) match(i *st.Machine) int {
	if l.flags != nil {
		return l.firstSet(i)
	}
	if l.kind == st.String {
		return slices.IndexFunc(l.words, func(v value) bool { return i.TextIs(l.handle, v.text) })
	}
	return l.index.place(whole(i, l.handle, l.kind))
}

// firstSet is the place of the first flag that is set. While none is, it is that of the word behind those
// of the flags, -1 without one.
func (l *link) firstSet(i *st.Machine) int {
	for k := range l.flags {
		if i.Bool(l.flags[k]) {
			return k
		}
	}
	if len(l.words) > len(l.flags) {
		return len(l.flags)
	}
	return -1
}

// without is why an output has no word now.
func (l *link) without(i *st.Machine) error {
	if l.flags != nil {
		return fmt.Errorf("none of the flags of the output %s is set, and the binding has no word for that (otherwise)", l.signal.Name)
	}
	return fmt.Errorf("the output %s has the value %s, for which the binding has no word", l.signal.Name, l.shown(i))
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
