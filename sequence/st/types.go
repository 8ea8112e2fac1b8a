package st

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Kind is the kind of a type.
type Kind uint8

// The kinds. Those up to kindAnyReal are elementary.
const (
	kindBad Kind = iota // after an error
	Bool
	Sint
	Int
	Dint
	Lint
	Usint
	Uint
	Udint
	Ulint
	Byte
	Word
	Dword
	Lword
	Real
	Lreal
	Time
	String
	kindAnyInt  // an integer that is written without a type
	kindAnyReal // a real that is written without a type
	Enum
	Array
	Struct
	Instance // of a function block
)

// Type is a type of the standard or of the file.
type Type struct {
	kind    Kind
	name    string
	values  []EnumValue // of an enumeration
	base    *Type       // of an enumeration that names one
	limited bool        // a subrange: low and high count
	low     int64       // ordered, see there
	high    int64
	length  int // of a STRING, in characters
	dims    []Bounds
	elem    *Type
	fields  []*Variable // of a structure
	block   *Block      // of an instance
	init    *initial    // of a type with an initial value of its own
	origin  *Type       // of which this is another name
	slots   int         // of the memory, once it is laid out
	laidOut bool
}

// EnumValue is a value of an enumeration.
type EnumValue struct {
	Name  string
	Value int64
	at    span
}

// Bounds are the limits of one dimension of an array.
type Bounds struct{ Low, High int64 }

// Kind is the kind of the type. A subrange has the kind of its base.
func (t *Type) Kind() Kind { return t.kind }

// Values are those of an enumeration, in their order.
func (t *Type) Values() []EnumValue { return t.values }

// Elem is the type of the elements of an array.
func (t *Type) Elem() *Type { return t.elem }

// Dimensions are those of an array.
func (t *Type) Dimensions() []Bounds { return t.dims }

// Fields are the members of a structure or of an instance that can be read from outside.
func (t *Type) Fields() []*Variable {
	if t.kind != Instance {
		return t.fields
	}
	var list []*Variable
	for _, v := range t.block.Variables {
		if !v.hidden {
			list = append(list, v)
		}
	}
	return list
}

// String is the type as it is declared.
func (t *Type) String() string {
	switch {
	case t.name != "" && t.limited:
		return fmt.Sprintf("%s (%s..%s)", t.name, orderedText(t.kind, t.low), orderedText(t.kind, t.high))
	case t.name != "":
		return t.name
	case t.kind == String:
		return fmt.Sprintf("STRING[%d]", t.length)
	case t.kind == Array:
		texts := make([]string, len(t.dims))
		for i, d := range t.dims {
			texts[i] = fmt.Sprintf("%d..%d", d.Low, d.High)
		}
		return "ARRAY [" + strings.Join(texts, ", ") + "] OF " + t.elem.String()
	case t.kind == Enum:
		return "an enumeration without a name"
	case t.kind == Struct:
		return "a structure without a name"
	case t.limited:
		return fmt.Sprintf("%s (%s..%s)", t.kind, orderedText(t.kind, t.low), orderedText(t.kind, t.high))
	}
	return t.kind.String()
}

// String is the keyword of an elementary kind.
func (k Kind) String() string {
	names := [...]string{
		"an error", "BOOL", "SINT", "INT", "DINT", "LINT", "USINT", "UINT", "UDINT", "ULINT", "BYTE", "WORD", "DWORD", "LWORD",
		"REAL", "LREAL", "TIME", "STRING", "an integer", "a real number", "an enumeration", "ARRAY", "STRUCT", "FUNCTION_BLOCK",
	}
	return names[k]
}

// elementaryNames are the keywords of the elementary kinds.
func elementaryNames() []string {
	var list []string
	for k := Bool; k <= String; k++ {
		list = append(list, k.String())
	}
	return list
}

func (k Kind) signed() bool   { return k >= Sint && k <= Lint }
func (k Kind) unsigned() bool { return k >= Usint && k <= Ulint }
func (k Kind) integer() bool  { return k >= Sint && k <= Ulint || k == kindAnyInt }
func (k Kind) bits() bool     { return k >= Byte && k <= Lword }
func (k Kind) real() bool     { return k == Real || k == Lreal || k == kindAnyReal }
func (k Kind) number() bool   { return k.integer() || k.real() }
func (k Kind) elementary() bool {
	return k >= Bool && k <= Enum
}

// width is the number of bits of an integer or a bit string.
func (k Kind) width() int {
	switch k {
	case Sint, Usint, Byte:
		return 8
	case Int, Uint, Word:
		return 16
	case Dint, Udint, Dword:
		return 32
	}
	return 64
}

// limits are the least and the largest value of an integer or a bit string, ordered.
func (k Kind) limits() (low, high int64) {
	w := k.width()
	if k.signed() || k == Enum {
		return math.MinInt64 >> (64 - w), math.MaxInt64 >> (64 - w)
	}
	if w == 64 {
		return ordered(k, 0), ordered(k, -1)
	}
	return 0, 1<<w - 1
}

// ordered maps a value as it is stored to one that compares as the values of its kind do: those
// of ULINT and LWORD have their highest bit inverted.
func ordered(k Kind, stored int64) int64 {
	if k == Ulint || k == Lword {
		return stored ^ math.MinInt64
	}
	return stored
}

func orderedText(k Kind, v int64) string {
	if k == Ulint || k == Lword {
		return strconv.FormatUint(uint64(v^math.MinInt64), 10)
	}
	return strconv.FormatInt(v, 10)
}

// widens is whether each value of one kind is a value of the other, so that it is converted
// without being asked for (implicit conversions of IEC 61131-3 (2013), from memory).
func widens(from, to Kind) bool {
	switch {
	case from == to:
		return true
	case from.signed() && to.signed(), from.unsigned() && to.unsigned(), from.bits() && to.bits(),
		from.unsigned() && to.signed():
		return from.width() < to.width()
	case from.integer() && to == Real:
		return from.width() <= 16
	case from.integer() && to == Lreal:
		return from.width() <= 32
	}
	return from == Real && to == Lreal
}

// common is the smallest kind to which two others widen.
func common(a, b Kind) (Kind, bool) {
	switch {
	case widens(a, b):
		return b, true
	case widens(b, a):
		return a, true
	}
	for k := Bool; k <= String; k++ {
		if widens(a, k) && widens(b, k) {
			return k, true
		}
	}
	return kindBad, false
}

// root is the type without the names that other declarations give it.
func (t *Type) root() *Type {
	if t.origin != nil {
		return t.origin
	}
	return t
}

// same is whether two types are one: elementary ones by kind, arrays by their parts, others by
// their declaration.
func same(a, b *Type) bool {
	a, b = a.root(), b.root()
	switch {
	case a == b:
		return true
	case a.kind != b.kind:
		return false
	case a.kind == Array:
		if len(a.dims) != len(b.dims) || !same(a.elem, b.elem) {
			return false
		}
		for i := range a.dims {
			if a.dims[i] != b.dims[i] {
				return false
			}
		}
		return true
	case a.kind == String:
		return a.length == b.length
	case a.kind.elementary() && a.kind != Enum:
		return a.limited == b.limited && (!a.limited || a.low == b.low && a.high == b.high)
	}
	return false
}
