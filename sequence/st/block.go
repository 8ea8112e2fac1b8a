package st

// BlockKind is the kind of a program organisation unit.
type BlockKind string

// The kinds of blocks.
const (
	ProgramBlock  BlockKind = "PROGRAM"
	FunctionBlock BlockKind = "FUNCTION_BLOCK"
	Function      BlockKind = "FUNCTION"
)

// Section is where a variable is declared.
type Section string

// The sections.
const (
	Local  Section = "VAR"
	Input  Section = "VAR_INPUT"
	Output Section = "VAR_OUTPUT"
	InOut  Section = "VAR_IN_OUT"
	Temp   Section = "VAR_TEMP"
)

// Block is a PROGRAM, a FUNCTION_BLOCK or a FUNCTION of the file.
type Block struct {
	Kind      BlockKind
	Name      string
	Line      int
	Variables []*Variable // in the order of their declaration
	Result    *Type       // of a FUNCTION; nil without one

	at         span // of the name
	whole      span
	resultSpec *typeSpec
	result     *Variable // named like the FUNCTION
	body       []statement
	byName     map[string]*Variable
	calls      []blockCall // FUNCTIONs called and instances held
	layout     *layout
	native     *nativeBlock // a standard function block
	typ        *Type        // as the type of instances; nil for a FUNCTION
}

type blockCall struct {
	at    span
	block *Block
}

// Variable is a declaration, or a member of a structure.
type Variable struct {
	Name     string
	Section  Section
	Type     *Type
	Constant bool
	Retain   bool
	Line     int
	Column   int
	Initial  string // as it is written; empty without one

	at     span
	spec   *typeSpec
	init   *initial
	offset int
	hidden bool // of a standard function block: not to be seen from outside
	value  *constant
	state  resolution
	active bool // its type is being resolved: a cycle if it is met
	fixed  bool // a CONSTANT that has gone into another value before the run
}

// resolution is how far a variable has been resolved.
type resolution uint8

const (
	unresolved resolution = iota
	resolving
	resolved
)

// isInput is whether the caller sets the variable.
func (v *Variable) isInput() bool { return v.Section == Input }
