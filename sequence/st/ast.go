package st

import "math/big"

// expr is an expression. The checker fills in its types.
type expr interface{ info() *exprInfo }

// exprInfo is common to all expressions.
type exprInfo struct {
	at   span
	typ  *Type     // of the value; nil or kindBad after an error
	conv *Type     // the value is converted to this type; nil if it is not
	val  *constant // if it is known before the run
}

func (e *exprInfo) info() *exprInfo { return e }

// final is the type of the value after its conversion.
func (e *exprInfo) final() *Type {
	if e.conv != nil {
		return e.conv
	}
	return e.typ
}

// constant is a value that is known before the run. Which member counts depends on the type:
// whole for a literal that has no type yet, integer for integers, bit strings, enumerations,
// TIME in ns and BOOL (0 or 1).
type constant struct {
	whole   *big.Int
	integer int64
	real    float64
	text    string
}

// literal is a value as it is written.
type literal struct {
	exprInfo
	kind  tokenKind // tokInteger, tokReal, tokString, tokDuration, tokKeyword for TRUE and FALSE, tokBad
	typed string    // the name before #, empty without one
	value constant
}

// nameExpr is a variable or an enumerated value. With a type, it is Type#Name.
type nameExpr struct {
	exprInfo
	typed    string
	name     string
	variable *Variable // set by the checker, unless it is an enumerated value
}

// fieldExpr is a member of a structure or of a function block.
type fieldExpr struct {
	exprInfo
	of     expr
	name   string
	nameAt span
	field  *Variable
}

// indexExpr is an element of an array.
type indexExpr struct {
	exprInfo
	of      expr
	indexes []expr
}

// unaryExpr has the operator -, + or NOT.
type unaryExpr struct {
	exprInfo
	op string
	x  expr
}

// binaryExpr has an operator in capitals.
type binaryExpr struct {
	exprInfo
	op   string
	opAt span
	x, y expr
}

// parenExpr keeps the parentheses for those who change the text.
type parenExpr struct {
	exprInfo
	x expr
}

// callExpr is the call of a function.
type callExpr struct {
	exprInfo
	name    string
	nameAt  span
	args    []argument
	block   *Block   // a FUNCTION of the file
	builtin *builtin // a standard function
	lowered expr     // the operator that the function stands for
	params  []expr   // of a standard function, in its order
	open    []expr   // those of which the result takes its type, as long as they have none
}

// argument is one of a call.
type argument struct {
	at     span
	name   string // empty for a positional one
	nameAt span
	output bool // name => variable
	not    bool // NOT name => variable
	value  expr // nil for an output that is left empty
	param  *Variable
}

// statement is a statement.
type statement interface{ place() span }

type stmt struct{ at span }

func (s *stmt) place() span { return s.at }

type assignStmt struct {
	stmt
	target expr
	value  expr
}

// callStmt calls an instance of a function block or, without one, a function.
type callStmt struct {
	stmt
	instance expr
	args     []argument
	function *callExpr
}

type ifStmt struct {
	stmt
	branches []ifBranch
	orElse   []statement
	hasElse  bool
	elseAt   span
}

type ifBranch struct {
	at        span // from IF or ELSIF to the last statement
	condition expr
	body      []statement
}

type caseStmt struct {
	stmt
	selector expr
	branches []caseBranch
	orElse   []statement
	hasElse  bool
	elseAt   span
}

type caseBranch struct {
	at     span
	labels []caseLabel
	body   []statement
}

// caseLabel is a value, or a range if high is not nil.
type caseLabel struct {
	at        span
	low, high expr
	from, to  int64 // as compared: see ordered
}

type forStmt struct {
	stmt
	variable     expr
	from, to, by expr // by is nil for 1
	body         []statement
}

type whileStmt struct {
	stmt
	condition expr
	body      []statement
}

type repeatStmt struct {
	stmt
	body  []statement
	until expr
}

// jumpStmt is EXIT, CONTINUE or RETURN.
type jumpStmt struct {
	stmt
	word string
}
