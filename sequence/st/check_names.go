package st

import (
	"fmt"
	"strings"
)

// name finds out what a name stands for: a variable of the block, or an enumerated value.
func (c *checker) name(e *nameExpr) *Type {
	e.variable = nil
	if e.typed != "" {
		return c.qualified(e)
	}
	u := upper(e.name)
	if v := c.variable(u); v != nil {
		return c.use(e, v)
	}
	switch types := c.enumerated[u]; len(types) {
	case 0:
	case 1:
		return c.enumValue(e, types[0])
	default:
		c.src.errorf(e.at, "%s is a value of %s and of %s; write %s#%s", e.name, types[0], types[1], types[0], e.name)
		return c.elementary[kindBad]
	}
	if !c.refused(e.name) {
		c.src.errorf(e.at, "%s", c.unknownName(e.name))
	}
	return c.elementary[kindBad]
}

// refused is whether a name was declared in a way that is not supported, which has been reported.
func (c *checker) refused(name string) bool {
	return c.file.globals[upper(name)] || c.file.skipped[upper(name)]
}

// variable finds one of the block by its name in capitals.
func (c *checker) variable(u string) *Variable {
	if c.block == nil {
		return nil
	}
	if r := c.block.result; r != nil && upper(r.Name) == u {
		return r
	}
	return c.block.byName[u]
}

func (c *checker) use(e *nameExpr, v *Variable) *Type {
	e.variable = v
	if v.active {
		c.src.errorf(e.at, "the type of %s depends on itself", v.Name)
	}
	if v.Type == nil { // a constant that is declared further down
		c.resolveVariable(v)
	}
	if v.Constant && v.value == nil && v.init != nil && v.init.value != nil {
		if c.initialOf(v); v.value == nil {
			return c.elementary[kindBad] // its error has been reported
		}
	}
	return v.Type
}

func (c *checker) unknownName(name string) string {
	u := upper(name)
	switch {
	case c.types[u] != nil:
		return name + " is a type; a value is needed here"
	case c.blocks[u] != nil && c.blocks[u].Kind == FunctionBlock:
		return name + " is a function block; declare an instance of it in VAR and use its name"
	case c.blocks[u] != nil:
		return name + " is a " + string(c.blocks[u].Kind) + "; a call has parentheses"
	case c.findBuiltin(u) != nil:
		return name + " is a function; a call has parentheses"
	}
	if u == "DEFAULT" || u == "OTHERS" || u == "OTHERWISE" {
		return quote(name) + " is not declared; in a CASE write ELSE"
	}
	if hint := unsupportedName(u); hint != "" {
		return u + " is not supported; " + hint
	}
	return quote(name) + " is not declared" + suggest(name, c.valueNames())
}

func quote(name string) string { return `"` + name + `"` }

// valueNames are the names that can stand for a value in the block.
func (c *checker) valueNames() []string {
	var names []string
	if c.block != nil {
		for _, v := range c.block.Variables {
			names = append(names, v.Name)
		}
		if c.block.result != nil {
			names = append(names, c.block.Name)
		}
	}
	for _, d := range c.file.types {
		if d.typ != nil {
			for _, v := range d.typ.values {
				names = append(names, v.Name)
			}
		}
	}
	return names
}

// qualified is Type#Name.
func (c *checker) qualified(e *nameExpr) *Type {
	d := c.types[upper(e.typed)]
	if d == nil {
		at := span{e.at.from, e.at.from + int32(len(e.typed))}
		c.src.errorf(at, "the enumeration %q is not declared%s", e.typed, suggest(e.typed, c.enumNames()))
		return c.elementary[kindBad]
	}
	t := c.resolveDecl(d)
	if t.kind == kindBad {
		return t
	}
	if t.kind != Enum {
		c.src.errorf(e.at, "%s is no enumeration", t)
		return c.elementary[kindBad]
	}
	return c.enumValue(e, t)
}

func (c *checker) enumNames() []string {
	var names []string
	for _, d := range c.file.types {
		if d.spec.isEnum {
			names = append(names, d.name)
		}
	}
	return names
}

// enumValue is a value of an enumeration.
func (c *checker) enumValue(e *nameExpr, t *Type) *Type {
	for i := range t.values {
		if v := &t.values[i]; strings.EqualFold(v.Name, e.name) {
			e.val = &constant{integer: v.Value}
			return t
		}
	}
	names := make([]string, len(t.values))
	for i, v := range t.values {
		names[i] = v.Name
	}
	c.src.errorf(e.at, "%s has no value %q%s", t, e.name, suggest(e.name, names))
	return c.elementary[kindBad]
}

// fieldOf is a member of a structure or of an instance.
func (c *checker) fieldOf(e *fieldExpr) *Type {
	e.field = nil
	if n, ok := e.of.(*nameExpr); ok && n.typed == "" && c.variable(upper(n.name)) == nil {
		switch {
		case c.types[upper(n.name)] != nil:
			c.src.errorf(e.at, "found %s.%s; a value of an enumeration is written %s", n.name, e.name, c.enumSpelling(n.name, e.name))
			return c.elementary[kindBad]
		case c.file.globals[upper(e.name)] && len(c.enumerated[upper(n.name)]) == 0: // with the name of the list before it
			return c.elementary[kindBad]
		}
	}
	t := c.expr(e.of)
	switch {
	case t.kind == kindBad:
		return t
	case isDigit(e.name[0]) || e.name[0] == '%':
		c.refuseBit(e, t, false)
		return c.elementary[kindBad]
	case t.kind == Enum && t.named(e.name) && t.name != "": // a variable with the name of its type
		c.src.errorf(e.at, "found %s; a value of an enumeration is written %s", c.src.piece(e.at), c.enumSpelling(t.name, e.name))
		return c.elementary[kindBad]
	case t.kind == Instance && c.file.skipped[upper(e.name)] && t.block.byName[upper(e.name)] == nil: // a method
		return c.elementary[kindBad]
	case t.kind == Struct, t.kind == Instance:
	default:
		c.src.errorf(e.nameAt, "%s is %s and has no members", c.src.piece(e.of.info().at), t)
		return c.elementary[kindBad]
	}
	v := c.member(t, e.name, e.nameAt)
	if v == nil {
		return c.elementary[kindBad]
	}
	if t.kind == Instance && v.Section != Input && v.Section != Output {
		c.src.errorf(e.nameAt, "%s is inside %s; only inputs and outputs of an instance can be used from outside", v.Name, t)
		return c.elementary[kindBad]
	}
	e.field = v
	if v.Type == nil {
		c.resolveVariable(v)
	}
	return v.Type
}

// member finds a member by its name, or reports that there is none.
func (c *checker) member(t *Type, name string, at span) *Variable {
	u := upper(name)
	var names []string
	for _, v := range t.Fields() {
		if upper(v.Name) == u {
			return v
		}
		if t.kind != Instance || v.Section == Input || v.Section == Output {
			names = append(names, v.Name)
		}
	}
	hint := suggest(name, names)
	if hint == "" && len(names) > 0 && len(names) <= 8 {
		hint = "; it has " + list(names)
	}
	c.src.errorf(at, "%s has no member %q%s", t, name, hint)
	return nil
}

// indexOf is an element of an array.
func (c *checker) indexOf(e *indexExpr) *Type {
	t := c.expr(e.of)
	for _, i := range e.indexes {
		it := c.value(i)
		switch {
		case it.kind == kindBad:
		case it.kind == kindAnyInt:
			c.settleDefault(i)
		case it.kind == Enum && it.base != nil:
			c.convert(i, c.elementary[it.base.kind], "the index")
		case !it.kind.integer():
			c.src.errorf(i.info().at, "an index is an integer, the value is %s", it)
		}
	}
	if t.kind == kindBad {
		return t
	}
	if t.kind != Array {
		c.src.errorf(e.at, "%s is %s and no ARRAY", c.src.piece(e.of.info().at), t)
		return c.elementary[kindBad]
	}
	if len(e.indexes) != len(t.dims) {
		c.src.errorf(e.at, "%s has %s, the index has %d", c.src.piece(e.of.info().at), count(len(t.dims), "dimension"), len(e.indexes))
		return c.elementary[kindBad]
	}
	for n, i := range e.indexes {
		if v := i.info().val; v != nil && i.info().typ.kind.integer() && (v.integer < t.dims[n].Low || v.integer > t.dims[n].High) {
			c.src.errorf(i.info().at, "the index %d is outside %d..%d", v.integer, t.dims[n].Low, t.dims[n].High)
		}
	}
	return t.elem
}

// count is a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// list joins names with commas and a last "and".
func list(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
