package st

import (
	"fmt"
	"slices"
	"strings"
)

// builtin is a standard function.
type builtin struct {
	name   string
	params []string // formal names
	more   bool     // the last parameter can be repeated: IN1, IN2, IN3 …
	check  func(c *checker, e *callExpr) *Type
	make   func(k *compiler, e *callExpr) code
}

// builtins are the standard functions by name. Conversions are added when they are first named.
func builtins() map[string]*builtin {
	all := map[string]*builtin{}
	for _, group := range [][]builtin{operatorFunctions(), numericFunctions(), selectionFunctions(), bitFunctions(), stringFunctions()} {
		for i := range group {
			all[group[i].name] = &group[i]
		}
	}
	return all
}

// findBuiltin is the standard function of a name in capitals, or nil.
func (c *checker) findBuiltin(u string) *builtin {
	if f := c.builtins[u]; f != nil {
		return f
	}
	f := conversionFunction(u)
	if f != nil {
		c.builtins[u] = f
	}
	return f
}

// param is the formal name of the parameter of an index.
func (f *builtin) param(i int) string {
	last := len(f.params) - 1
	if !f.more || i <= last {
		return f.params[i]
	}
	name := f.params[last] // IN1 is followed by IN2
	digit := int(name[len(name)-1] - '0')
	return fmt.Sprintf("%s%d", name[:len(name)-1], digit+i-last)
}

// bind puts the arguments into the order of the parameters.
func (c *checker) bind(e *callExpr) bool {
	f := e.builtin
	e.params = nil
	named := slices.ContainsFunc(e.args, func(a argument) bool { return a.name != "" })
	if named && slices.ContainsFunc(e.args, func(a argument) bool { return a.name == "" }) {
		c.src.errorf(e.at, "the arguments of %s are either all named or all without names", e.name)
		return false
	}
	n := len(e.args)
	if least := len(f.params); n < least || n > least && !f.more {
		c.src.errorf(e.at, "%s has %s; this call has %d", e.name, f.signature(), n)
		return false
	}
	for i := range n {
		a := &e.args[i]
		if named {
			a = findArgument(e.args, f.param(i))
		}
		if a == nil || a.output {
			c.src.errorf(e.at, "%s has %s; %s is missing", e.name, f.signature(), f.param(i))
			return false
		}
		e.params = append(e.params, a.value)
	}
	return true
}

// signature describes the parameters in a message.
func (f *builtin) signature() string {
	text := "the parameters " + list(f.params)
	if len(f.params) == 1 {
		text = "the parameter " + f.params[0]
	}
	if f.more {
		text += ", and more of the last kind"
	}
	return text
}

func findArgument(args []argument, name string) *argument {
	for i := range args {
		if strings.EqualFold(args[i].name, name) {
			return &args[i]
		}
	}
	return nil
}

// operatorFunctions are those that have an operator of the same meaning, and MOVE.
func operatorFunctions() []builtin {
	in := []string{"IN1", "IN2"}
	var group []builtin
	for _, o := range []struct {
		name, op string
		more     bool
	}{
		{"ADD", "+", true}, {"SUB", "-", false}, {"MUL", "*", true}, {"DIV", "/", false}, {"MOD", "MOD", false},
		{"EXPT", "**", false}, {"AND", "AND", true}, {"OR", "OR", true}, {"XOR", "XOR", true},
		{"GT", ">", true}, {"GE", ">=", true}, {"EQ", "=", true}, {"LE", "<=", true}, {"LT", "<", true}, {"NE", "<>", false},
		{"ADD_TIME", "+", false}, {"SUB_TIME", "-", false}, {"MUL_TIME", "*", false}, {"DIV_TIME", "/", false},
	} {
		op := o.op
		group = append(group, builtin{name: o.name, params: in, more: o.more, check: func(c *checker, e *callExpr) *Type {
			return c.lower(e, lowerChain(e, op))
		}})
	}
	return append(group, builtin{name: "MOVE", params: []string{"IN"}, check: func(c *checker, e *callExpr) *Type {
		return c.lower(e, e.params[0])
	}})
}

// lower checks a call as the operator that it stands for.
func (c *checker) lower(e *callExpr, as expr) *Type {
	e.lowered = as
	t := c.value(as)
	if t.kind == kindAnyInt && as.info().val == nil {
		c.settleDefault(as)
		t = as.info().typ
	}
	e.val = as.info().val
	return t
}

// lowerChain is a op b op c, and for comparisons (a op b) AND (b op c).
func lowerChain(e *callExpr, op string) expr {
	node := func(op string, x, y expr) expr {
		return &binaryExpr{exprInfo: exprInfo{at: e.at}, op: op, opAt: e.nameAt, x: x, y: y}
	}
	compares := slices.Contains([]string{"<", ">", "=", "<=", ">=", "<>"}, op)
	all := node(op, e.params[0], e.params[1])
	for i := 2; i < len(e.params); i++ {
		if compares {
			all = node("AND", all, node(op, e.params[i-1], e.params[i]))
		} else {
			all = node(op, all, e.params[i])
		}
	}
	return all
}
