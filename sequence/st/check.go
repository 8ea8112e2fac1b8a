package st

import "slices"

// checker resolves all names, finds the type of each expression, and reports errors.
type checker struct {
	src        *source
	file       *file
	elementary [Instance + 1]*Type
	types      map[string]*typeDecl
	blocks     map[string]*Block // those of the file and the standard ones
	enumerated map[string][]*Type
	builtins   map[string]*builtin
	standard   []*Block
	total      int // slots of the blocks that are laid out

	block   *Block // that is being checked
	loops   int    // loops around the present statement
	control []*Variable
	spread  map[span]bool // enumerations without a name that have been declared
}

// check fills in the types of a file. Errors are in the source afterwards.
func check(src *source, f *file) *checker {
	c := &checker{
		src: src, file: f, types: map[string]*typeDecl{}, blocks: map[string]*Block{},
		enumerated: map[string][]*Type{}, builtins: builtins(), spread: map[span]bool{},
	}
	for k := range c.elementary {
		c.elementary[k] = &Type{kind: Kind(k)}
	}
	c.elementary[String] = c.stringOf(defaultStringLength)
	for _, b := range c.standardBlocks() {
		c.blocks[upper(b.Name)] = b
	}
	c.declare()
	for _, d := range f.types {
		c.resolveDecl(d)
	}
	for _, b := range f.blocks {
		c.variables(b)
	}
	c.initials()
	for _, b := range f.blocks {
		c.body(b)
	}
	c.recursion()
	return c
}

// declare enters the names of types and blocks.
func (c *checker) declare() {
	for _, d := range c.file.types {
		if c.nameTaken(d.name, d.at) {
			continue
		}
		c.types[upper(d.name)] = d
	}
	for _, b := range c.file.blocks {
		if c.nameTaken(b.Name, b.at) {
			continue
		}
		c.blocks[upper(b.Name)] = b
		if b.Kind != Function {
			b.typ = &Type{kind: Instance, name: b.Name, block: b}
		}
	}
	if len(c.file.blocks) == 0 && !c.src.failed() {
		c.src.errorf(span{0, 0}, "the file has no PROGRAM, FUNCTION_BLOCK or FUNCTION")
	}
}

// nameTaken reports a name that is used a second time or belongs to the standard.
func (c *checker) nameTaken(name string, at span) bool {
	u := upper(name)
	switch {
	case c.types[u] != nil || c.blocks[u] != nil && c.blocks[u].native == nil:
		c.src.errorf(at, "%s is declared a second time", name)
	case c.blocks[u] != nil:
		c.src.errorf(at, "%s is a function block of the standard; take another name", name)
	case slices.Contains(elementaryNames(), u):
		c.src.errorf(at, "%s is a type of the standard; take another name", name)
	case c.findBuiltin(u) != nil:
		c.src.errorf(at, "%s is a function of the standard; take another name", name)
		return false // it is declared all the same, so that its uses are no errors too
	default:
		return false
	}
	return true
}

// variables resolves the types of those of a block.
func (c *checker) variables(b *Block) {
	c.block = b
	for _, v := range b.Variables {
		u := upper(v.Name)
		switch {
		case b.byName[u] != nil:
			c.src.errorf(v.at, "%s is declared a second time; the first is in line %d", v.Name, b.byName[u].Line)
			continue
		case u == upper(b.Name) && b.Kind == Function:
			c.src.errorf(v.at, "%s is the name of the FUNCTION and of its result; take another name", v.Name)
			continue
		case slices.Contains(elementaryNames(), u):
			c.src.errorf(v.at, "%s is a type of the standard; take another name", v.Name)
		}
		b.byName[u] = v
	}
	if b.resultSpec != nil {
		b.Result = c.resolve(b.resultSpec)
		b.result = &Variable{Name: b.Name, Section: Output, Type: b.Result, at: b.at, state: resolved}
		if b.Result.kind == Instance {
			c.src.errorf(b.resultSpec.at, "a FUNCTION cannot return an instance of a function block")
		}
	}
	for _, v := range b.Variables {
		c.resolveVariable(v)
		c.checkSection(b, v)
	}
}

// resolveVariable finds the type of a variable. It can be asked for earlier by a constant that
// depends on it.
func (c *checker) resolveVariable(v *Variable) {
	if v.Type == nil {
		v.Type = c.elementary[kindBad]
		if v.spec != nil { // without one there is a syntax error
			v.active = true
			v.Type = c.resolve(v.spec)
			v.active = false
		}
	}
}

// checkSection refuses what cannot be declared in a section.
func (c *checker) checkSection(b *Block, v *Variable) {
	switch {
	case v.spec == nil:
	case v.Type.kind == Instance && (v.Constant || v.Section == Temp || v.Section == Input || v.Section == Output):
		c.src.errorf(v.spec.at, "%s is an instance of %s; declare it in VAR, or hand it over in VAR_IN_OUT", v.Name, v.Type)
	case holdsInstance(v.Type) && b.Kind == Function && v.Section != InOut:
		c.src.errorf(v.spec.at, "a FUNCTION keeps nothing from call to call; hand the instance over in VAR_IN_OUT, or write a FUNCTION_BLOCK")
	case v.Section == InOut && v.init != nil:
		c.src.errorf(v.init.at, "%s is VAR_IN_OUT and has the value that the caller hands over; leave the initial value out", v.Name)
	case v.Constant && v.init == nil:
		c.src.errorf(v.at, "the CONSTANT %s has no value; add := and a value", v.Name)
	}
}

// holdsInstance is whether a type is or contains an instance of a function block.
func holdsInstance(t *Type) bool {
	switch t.kind {
	case Instance:
		return true
	case Array:
		return holdsInstance(t.elem)
	case Struct:
		return slices.ContainsFunc(t.fields, func(v *Variable) bool { return holdsInstance(v.Type) })
	}
	return false
}

// stringOf is a STRING of a length.
func (c *checker) stringOf(length int) *Type {
	return &Type{kind: String, length: length, name: stringName(length)}
}

func stringName(length int) string {
	if length == defaultStringLength {
		return "STRING"
	}
	return ""
}
