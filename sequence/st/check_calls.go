package st

import "slices"

// call is the call of a function within an expression. As nothing else can be called there, a
// variable of the same name does not hide it.
func (c *checker) call(e *callExpr) *Type {
	e.block, e.builtin, e.lowered = nil, nil, nil
	u := upper(e.name)
	if b := c.blocks[u]; b != nil {
		if b.Kind == Function {
			return c.callFunction(e, b)
		}
		c.src.errorf(e.nameAt, "%s is a %s and cannot be called within an expression; declare an instance, call it in a statement, and read its outputs", e.name, b.Kind)
		return c.badCall(e)
	}
	f := c.findBuiltin(u)
	if f == nil && c.refused(e.name) {
		return c.badCall(e)
	}
	if v := c.variable(u); v != nil && f == nil {
		c.src.errorf(e.nameAt, "%s is %s and no function%s", e.name, v.Type, indexHint(v))
		return c.badCall(e)
	}
	if f == nil {
		c.src.errorf(e.nameAt, "the function %q does not exist%s", e.name, c.functionHint(e.name))
		return c.badCall(e)
	}
	e.builtin = f
	if !c.bind(e) {
		return c.badCall(e)
	}
	return f.check(c, e)
}

// indexHint is for an index in parentheses.
func indexHint(v *Variable) string {
	if v.Type.kind == Array {
		return "; an element is written in brackets, as in " + v.Name + "[1]"
	}
	return ""
}

// badCall looks for errors in the arguments all the same.
func (c *checker) badCall(e *callExpr) *Type {
	for _, a := range e.args {
		if a.value != nil && !a.output {
			c.expr(a.value)
		}
	}
	return c.elementary[kindBad]
}

func (c *checker) functionHint(name string) string {
	switch upper(name) {
	case "ADR", "SIZEOF", "REF":
		return "; there are no addresses; pass the variable as VAR_IN_OUT"
	case "TIME", "TIME_TO_TOD", "CURRENT_TIME", "NOW":
		return "; the time comes from timers such as TON"
	case "ROUND":
		return "; write REAL_TO_DINT(…), which rounds to the nearest even"
	case "CEIL", "FLOOR":
		return "; write it with TRUNC"
	}
	var names []string
	for _, b := range c.file.blocks {
		if b.Kind == Function {
			names = append(names, b.Name)
		}
	}
	for n := range c.builtins {
		names = append(names, n)
	}
	slices.Sort(names)
	return suggest(name, names)
}

// callFunction is the call of a FUNCTION of the file. Its type is nil without a result.
func (c *checker) callFunction(e *callExpr, b *Block) *Type {
	e.block = b
	c.block.calls = append(c.block.calls, blockCall{e.nameAt, b})
	c.arguments(b, e.name, e.at, e.args)
	if b.resultSpec == nil {
		return nil
	}
	return c.resolve(b.resultSpec)
}

// arguments checks those of the call of a block of the file, or of an instance.
func (c *checker) arguments(b *Block, name string, at span, args []argument) {
	params := callParams(b)
	positional := 0
	for i := range args {
		a := &args[i]
		if a.name == "" {
			positional++
			c.positional(params, positional-1, name, a)
			continue
		}
		c.namedArgument(b, a)
	}
	if positional > 0 && positional < len(args) {
		c.src.errorf(at, "the arguments of %s are either all named or all without names", name)
	}
	if positional > 0 && positional < len(params) && b.Kind == Function {
		c.src.errorf(at, "%s has %s, the call has %d; name them to leave some out", name, count(len(params), "parameter"), positional)
	}
	c.everyInOut(b, name, at, args)
	for i := range args {
		c.argument(&args[i])
	}
}

// callParams are the parameters that can be given by position.
func callParams(b *Block) []*Variable {
	var list []*Variable
	for _, v := range b.Variables {
		if !v.hidden && (v.Section == Input || v.Section == InOut) {
			list = append(list, v)
		}
	}
	return list
}

func (c *checker) positional(params []*Variable, i int, name string, a *argument) {
	a.param = nil
	if i >= len(params) {
		c.src.errorf(a.at, "%s has %s; this is one more", name, count(len(params), "input"))
		return
	}
	a.param = params[i]
}

func (c *checker) namedArgument(b *Block, a *argument) {
	a.param = nil
	var names []string
	for _, v := range b.Variables {
		if v.hidden || v.Section == Local || v.Section == Temp {
			continue
		}
		if upper(v.Name) == upper(a.name) {
			a.param = v
		}
		names = append(names, v.Name)
	}
	switch u := upper(a.name); {
	case a.param != nil && a.output && a.param.Section != Output:
		c.src.errorf(a.nameAt, "%s is %s of %s; write %s := …", a.name, a.param.Section, b.Name, a.name)
		a.param = nil
	case a.param != nil && !a.output && a.param.Section == Output:
		c.src.errorf(a.nameAt, "%s is an output of %s; write %s => …", a.name, b.Name, a.name)
		a.param = nil
	case a.param != nil:
	case u == "EN" || u == "ENO":
		c.src.errorf(a.nameAt, "%s is not supported; put the call into an IF", u)
	default:
		hint := suggest(a.name, names)
		if hint == "" && len(names) > 0 && len(names) <= 8 {
			hint = "; it has " + list(names)
		}
		c.src.errorf(a.nameAt, "%s has no parameter %q%s", b.Name, a.name, hint)
	}
}

// everyInOut reports those that are missing, and parameters that are given twice.
func (c *checker) everyInOut(b *Block, name string, at span, args []argument) {
	given := map[*Variable]bool{}
	for _, a := range args {
		if a.param != nil && given[a.param] {
			c.src.errorf(a.at, "%s is given a second time", a.param.Name)
		}
		given[a.param] = true
	}
	for _, v := range b.Variables {
		if v.Section == InOut && !given[v] {
			c.src.errorf(at, "%s of %s is missing; it is VAR_IN_OUT and must be given in each call", v.Name, name)
		}
	}
}

// argument checks the value of one argument against its parameter.
func (c *checker) argument(a *argument) {
	if a.value == nil {
		return
	}
	t := c.expr(a.value)
	v := a.param
	if v == nil || t.kind == kindBad {
		return
	}
	if v.Type == nil {
		c.resolveVariable(v)
	}
	switch {
	case v.Section == InOut:
		if c.assignable(a.value) && !same(t, v.Type) && v.Type.kind != kindBad {
			c.src.errorf(a.value.info().at, "%s is VAR_IN_OUT and %s, the variable is %s; both must have the same type", v.Name, v.Type, t)
		}
	case a.output:
		c.outputArgument(a, t, v)
	default:
		c.convert(a.value, v.Type, v.Name)
	}
}

// outputArgument is name => variable.
func (c *checker) outputArgument(a *argument, t *Type, v *Variable) {
	if !c.assignable(a.value) || v.Type.kind == kindBad {
		return
	}
	switch {
	case a.not && v.Type.kind != Bool:
		c.src.errorf(a.nameAt, "NOT is for an output of type BOOL; %s is %s", v.Name, v.Type)
	case !assignableTypes(v.Type, t):
		c.src.errorf(a.value.info().at, "%s is %s, the variable is %s%s", v.Name, v.Type, t,
			"; take the output into a variable of its type first")
	}
}

// assignableTypes is whether a value of one type goes into a variable of another.
func assignableTypes(from, to *Type) bool {
	switch {
	case same(from, to), from.kind == String && to.kind == String:
		return true
	case from.kind < kindAnyInt && to.kind < kindAnyInt:
		return widens(from.kind, to.kind)
	}
	return false
}

// assignable is whether a variable can be written here.
func (c *checker) assignable(e expr) bool {
	switch e := e.(type) {
	case *nameExpr:
		return c.assignableName(e)
	case *fieldExpr:
		if e.of.info().typ != nil && e.of.info().typ.kind == Instance {
			if e.field != nil && e.field.Section != Input {
				c.src.errorf(e.at, "%s is an output of %s; only the block itself writes it", e.name, e.of.info().typ)
				return false
			}
			return e.field != nil
		}
		return c.assignable(e.of)
	case *indexExpr:
		return c.assignable(e.of)
	}
	c.src.errorf(e.info().at, "%s is no variable; only a variable can be written", c.src.piece(e.info().at))
	return false
}

func (c *checker) assignableName(e *nameExpr) bool {
	v := e.variable
	switch {
	case v == nil && e.typ != nil && e.typ.kind != kindBad:
		c.src.errorf(e.at, "%s is a value of an enumeration; only a variable can be written", e.name)
	case v == nil:
	case v.Constant:
		c.src.errorf(e.at, "%s is CONSTANT and cannot be written", v.Name)
	case v.isInput():
		c.src.errorf(e.at, "%s is VAR_INPUT and cannot be written inside %s; copy it into a VAR first", v.Name, c.block.Name)
	case slices.Contains(c.control, v):
		c.src.errorf(e.at, "%s counts the FOR loop around this and cannot be written in it", v.Name)
	default:
		return true
	}
	return false
}
