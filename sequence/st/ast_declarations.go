package st

// file holds the declarations of one text.
type file struct {
	types   []*typeDecl
	blocks  []*Block
	globals map[string]bool // names in capitals of global variables, which are refused
	skipped map[string]bool // and of other declarations that are refused
}

// typeDecl is one name of a TYPE block.
type typeDecl struct {
	at     span // of the name
	name   string
	spec   *typeSpec
	init   *initial
	typ    *Type
	active bool // being resolved: a cycle if it is met again
}

// typeSpec is a type as it is written: a name with a range, an enumeration, an array or a
// structure.
type typeSpec struct {
	at       span
	name     string // of the type, or of the base of an enumeration; empty for none
	nameAt   span
	low      expr // of a subrange
	high     expr
	length   expr // of STRING[length]
	isEnum   bool
	values   []enumSpec
	isArray  bool
	dims     []dimSpec
	elem     *typeSpec
	isStruct bool
	fields   []*Variable
	refused  bool  // a pointer or a reference
	typ      *Type // after it has been resolved
}

type enumSpec struct {
	at    span
	name  string
	value expr // nil if it follows from the one before
}

type dimSpec struct {
	at        span
	low, high expr
}

// initial is an initial value: an expression, the list of an array, or that of a structure.
type initial struct {
	at       span
	value    expr
	isArray  bool
	items    []initialItem
	isStruct bool
	fields   []initialField
}

type initialItem struct {
	repeat expr // nil for one
	count  int
	value  *initial // nil leaves the elements as they are
}

type initialField struct {
	at    span
	name  string
	value *initial
	field *Variable
}
