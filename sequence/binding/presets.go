package binding

import (
	"strconv"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// set writes the value.
func (p *preset) set(i *st.Machine) error {
	switch p.kind {
	case st.Real, st.Lreal:
		return i.SetReal(p.handle, p.real)
	case st.Bool:
		return i.SetBool(p.handle, p.whole != 0)
	}
	return i.SetInt(p.handle, p.whole)
}

// presets reads the values with which a run starts.
func (c *checker) presets() []preset {
	var list []preset
	for _, name := range sortedKeys(c.doc.Start) {
		at, text := "$.start."+name, c.doc.Start[name]
		h, ok := c.variable(at, name, false)
		if !ok {
			continue
		}
		p := preset{handle: h, kind: h.Type().Kind()}
		switch p.kind {
		case st.String, st.Time:
			c.fail(at, "%s is %s; must be a number, an enumeration or a BOOL", name, article(h.Type()))
			continue
		case st.Real, st.Lreal:
			x, err := strconv.ParseFloat(text, 64)
			p.real, ok = x, err == nil
		default:
			p.whole, ok = parseValue(h.Type(), text)
		}
		if !ok {
			c.fail(at, "%q is no value of %s%s", text, article(h.Type()), nearestValue(h.Type(), text))
			continue
		}
		list = append(list, p)
	}
	return list
}

// scans finds the variable that receives how many scans have passed.
func (c *checker) scans() st.Ref {
	if c.doc.Scans == "" {
		return st.Ref{}
	}
	h, ok := c.variable("$.scans", c.doc.Scans, false)
	if !ok {
		return st.Ref{}
	}
	if err := c.machine().SetInt(h, mostScans); err != nil || h.Type().Kind() == st.Enum {
		c.fail("$.scans", "%s is %s; must be an integer that can be %d", c.doc.Scans, article(h.Type()), mostScans)
		return st.Ref{}
	}
	return h
}

// causeLink checks the variable that says why a test ended, and lists the causes that it can say.
func (c *checker) causeLink() (*link, []string) {
	w := c.doc.Cause
	if w == nil {
		return nil, nil
	}
	l := &link{signal: sequence.Signal{Name: "cause", Kind: sequence.KindWord, Output: true}, factor: 1}
	var ok bool
	if len(w.Flags) > 0 {
		*l, ok = c.flags("$.cause", w, *l)
	} else {
		ok = c.causeWords(w, l)
	}
	if !ok {
		return nil, nil
	}
	var causes []string
	for k := range l.words {
		v := &l.words[k]
		if v.word == noWord || v.word == "" {
			v.word = ""
			continue
		}
		if why := sequence.CauseFault(v.word); why != "" {
			c.fail("$.cause", "%s", why)
		}
		causes = append(causes, v.word)
	}
	return l, sortedUnique(causes)
}

// causeWords ties the causes to the values of a variable.
func (c *checker) causeWords(w *Link, l *link) bool {
	h, ok := c.variable("$.cause", w.Variable, true)
	if !ok {
		return false
	}
	l.handle, l.kind = h, h.Type().Kind()
	switch {
	case w.Otherwise != "":
		c.fail("$.cause", "otherwise is given without flags; must stand beside flags")
	case w.Inverted:
		c.fail("$.cause", "inverted is given and cause is a word; must be left out")
	case l.kind == st.String && len(w.Words) == 0:
		c.fail("$.cause", "%s is a STRING; words must say which text stands for which cause", w.Variable)
		return false
	case l.kind != st.Enum && !l.real() && l.kind != st.Time && len(w.Words) == 0:
		c.fail("$.cause", "%s is %s; words must say which value stands for which cause, such as words: {none: 0, slipped: 1}", w.Variable, article(h.Type()))
		return false
	}
	written := *w
	if len(w.Words) == 0 {
		written.Words = causesOf(h.Type())
	}
	c.checkWord("$.cause", &written, l)
	return true
}

// causesOf takes the names of an enumeration for causes, without the beginning that all share:
// F_BRAKE_NOT_CLOSED is brake-not-closed.
func causesOf(t *st.Type) map[string]Values {
	words, values := map[string]Values{}, t.Values()
	for i, name := range stateNames(values) {
		word := strings.ReplaceAll(name, "_", "-")
		words[word] = append(words[word], values[i].Name)
	}
	return words
}
