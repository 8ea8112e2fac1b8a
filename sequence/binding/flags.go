package binding

import (
	"slices"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// flags checks the BOOL variables that stand for the words of an output.
func (c *checker) flags(path string, w *Link, l link) (link, bool) {
	before := len(c.found)
	switch {
	case !l.signal.Output:
		c.fail(path, "flags are given for an input; must be a variable with words")
	case l.signal.Kind == sequence.KindBoolean || l.signal.Kind == sequence.KindNumber:
		c.fail(path, "flags are given and %s has no words; must be a variable", l.signal.Name)
	case w.Variable != "":
		c.fail(path, "variable and flags are both given; must be one of them")
	case w.Unit != "" || w.Scale != 0 || len(w.Words) > 0 || w.Inverted:
		c.fail(path, "flags are given; must have no unit, scale, words or inverted")
	}
	for _, f := range w.Flags {
		at := path + ".flags." + f.Variable
		h, ok := c.variable(at, f.Variable, true)
		if ok && h.Type().Kind() != st.Bool {
			c.fail(at, "%s is %s; the flag of a word must be a BOOL", f.Variable, article(h.Type()))
		}
		if ok {
			l.flags = append(l.flags, h)
		}
		l.words = append(l.words, c.flagWord(at, f.Word, &l))
	}
	l.rest(c, path, w.Otherwise)
	return l, !hasErrors(c.found[before:])
}

// rest adds the word while no flag is set: behind those of the flags. Free text is empty then.
func (l *link) rest(c *checker, path, otherwise string) {
	switch {
	case otherwise != "":
		l.words = append(l.words, c.flagWord(path+".otherwise", otherwise, l))
	case l.signal.Words == nil:
		l.words = append(l.words, value{})
	default:
		c.warn(path, "otherwise is left out: a scan in which none of the flags of %s is set stops the controller", l.signal.Name)
	}
}

// flagWord is the word that a flag stands for.
func (c *checker) flagWord(path, word string, l *link) value {
	if l.signal.Words == nil {
		return value{word: word}
	}
	k := slices.IndexFunc(l.signal.Words, func(w string) bool { return shownWord(w) == word })
	if k < 0 {
		c.fail(path, "%s has no word %q; must be one of %s", l.signal.Name, word, shownWords(l.signal.Words))
		return value{}
	}
	return value{word: l.signal.Words[k], place: k}
}
