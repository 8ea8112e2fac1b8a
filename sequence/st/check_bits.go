package st

import (
	"fmt"
	"strconv"
	"strings"
)

// enumSpelling is how a value of an enumeration is written: with its type, or by itself if only one
// type has it.
func (c *checker) enumSpelling(typ, name string) string {
	if len(c.enumerated[upper(name)]) == 1 && c.variable(upper(name)) == nil {
		return typ + "#" + name + " or " + name
	}
	return typ + "#" + name
}

// refuseBit refuses the access to a part of a value, such as w.3 or w.%X3, and says what to write
// instead for this type.
func (c *checker) refuseBit(e *fieldExpr, t *Type, write bool) {
	name := c.src.piece(e.of.info().at)
	part, n := bitPart(e.name)
	switch width := t.kind.width(); {
	case !t.kind.integer() && !t.kind.bits():
		c.src.errorf(e.at, "%s is %s and has no bits", name, t)
	case part > 1:
		c.src.errorf(e.at, "access to a part is not supported; use SHR and a conversion such as DWORD_TO_BYTE(SHR(%s, %d))", name, n*part)
	case n >= width:
		c.src.errorf(e.at, "%s is %s; its bits are 0 to %d", name, t, width-1)
	case write:
		set, reset := bitWrites(name, t, n)
		c.src.errorf(e.at, "access to single bits is not supported; %s sets the bit, %s resets it", set, reset)
	default:
		c.src.errorf(e.at, "access to single bits is not supported; write (SHR(%s, %d) AND 1) <> 0", asBits(name, t), n)
	}
}

// bitPart is the width and the number of a part: 3 and %X3 are a bit, %B1 is a byte.
func bitPart(name string) (width, n int) {
	width = 1
	if rest, ok := strings.CutPrefix(upper(name), "%"); ok {
		for i, letter := range "XBWDL" {
			if strings.HasPrefix(rest, string(letter)) {
				width = []int{1, 8, 16, 32, 64}[i]
			}
		}
		name = strings.TrimLeft(rest, "XBWDL")
	}
	n, err := strconv.Atoi(name)
	if err != nil || n < 0 {
		n = 0
	}
	return width, n
}

// asBits is a value as a bit string of its width.
func asBits(name string, t *Type) string {
	if t.kind.bits() {
		return name
	}
	return t.kind.String() + "_TO_" + bitsLike(t) + "(" + name + ")"
}

// bitsLike is the name of the bit string of the width of a type.
func bitsLike(t *Type) string {
	return map[int]string{8: "BYTE", 16: "WORD", 32: "DWORD", 64: "LWORD"}[t.kind.width()]
}

// bitWrites are the assignments that set and reset a bit.
func bitWrites(name string, t *Type, n int) (set, reset string) {
	mask := fmt.Sprintf("%s#16#%X", bitsLike(t), uint64(1)<<n)
	set, reset = asBits(name, t)+" OR "+mask, asBits(name, t)+" AND NOT "+mask
	if !t.kind.bits() {
		back := bitsLike(t) + "_TO_" + t.kind.String()
		set, reset = back+"("+set+")", back+"("+reset+")"
	}
	return name + " := " + set, name + " := " + reset
}
