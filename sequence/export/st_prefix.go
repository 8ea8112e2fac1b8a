package export

import (
	"fmt"
	"regexp"
	"strings"

	"holdbench/sequence"
)

// longestPrefix leaves room for what a name says: with more, the ends of long names would be cut off.
const longestPrefix = 12

// PrefixOf is what the global names of a program begin with, unless another prefix is chosen: the name of
// the sequence.
func PrefixOf(p *sequence.Program) string { return cut(camel(p.About().Name), longestPrefix) }

// CheckPrefix says what is wrong with a prefix.
func CheckPrefix(prefix string) error {
	if len(prefix) <= longestPrefix && regexp.MustCompile(`^[A-Za-z][A-Za-z0-9]*(_[A-Za-z0-9]+)*$`).MatchString(prefix) {
		return nil
	}
	return fmt.Errorf("must be of at most %d letters, digits and single underscores between them, a letter first", longestPrefix)
}

// global is the name of a type, a function or a block, which a whole project shares.
func (w *stWriter) global(name string) string { return w.names.new(w.prefix + name) }

// valuePrefix is what the value of an enumeration begins with. A project shares these names too, while
// integer constants belong to the block.
func (w *stWriter) valuePrefix(prefix string) string {
	if w.options.Integers {
		return prefix
	}
	return strings.ToUpper(w.prefix) + "_" + prefix
}
