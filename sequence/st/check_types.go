package st

import "math"

// Bounds of what one program can declare.
const (
	defaultStringLength = 80
	MaxStringLength     = 255     // characters of a STRING
	MaxSlots            = 1 << 18 // elementary values of a block with all that it holds
)

// resolveDecl is the type of a declaration, resolved when it is first asked for.
func (c *checker) resolveDecl(d *typeDecl) *Type {
	switch {
	case d.typ != nil:
		return d.typ
	case d.active:
		c.src.errorf(d.at, "the type %s contains itself", d.name)
		return c.elementary[kindBad]
	}
	d.active = true
	t := c.resolve(d.spec)
	d.active = false
	if t.kind != kindBad {
		// A new name for the same type; an elementary type stays what it is.
		named := *t
		named.name = d.name
		if alias := d.spec.name != "" && !d.spec.isEnum && (t.kind == Enum || t.kind == Struct || t.kind == Array); alias {
			named.origin = t.root()
		}
		if named.block != nil {
			c.src.errorf(d.spec.at, "%s is a function block; a TYPE cannot rename it", t)
		}
		if d.init != nil {
			named.init = d.init
		}
		t = &named
	}
	d.typ = t
	if t.kind == Enum && t.origin == nil {
		c.declareValues(t)
	}
	return t
}

// declareValues makes the values of an enumeration known.
func (c *checker) declareValues(t *Type) {
	for _, v := range t.values {
		u := upper(v.Name)
		c.enumerated[u] = append(c.enumerated[u], t)
	}
}

// resolve is the type that is written somewhere.
func (c *checker) resolve(s *typeSpec) *Type {
	if s.typ == nil {
		s.typ = c.elementary[kindBad]
		s.typ = c.resolveSpec(s)
		if s.typ.kind == Enum && s.isEnum && s.typ.name == "" && !c.spread[s.at] && !c.isDeclared(s) {
			c.spread[s.at] = true
			c.declareValues(s.typ)
		}
	}
	return s.typ
}

// isDeclared is whether a specification belongs to a TYPE, which gives it a name.
func (c *checker) isDeclared(s *typeSpec) bool {
	for _, d := range c.file.types {
		if d.spec == s {
			return true
		}
	}
	return false
}

func (c *checker) resolveSpec(s *typeSpec) *Type {
	switch {
	case s.refused:
		return c.elementary[kindBad]
	case s.isEnum:
		return c.enumeration(s)
	case s.isArray:
		return c.array(s)
	case s.isStruct:
		return c.structure(s)
	}
	t := c.named(s)
	switch {
	case t.kind == kindBad:
	case s.length != nil:
		return c.stringLength(s)
	case s.low != nil:
		return c.subrange(s, t)
	}
	return t
}

// named is the type of a name.
func (c *checker) named(s *typeSpec) *Type {
	u := upper(s.name)
	for k := Bool; k <= String; k++ {
		if k.String() == u {
			return c.elementary[k]
		}
	}
	if d := c.types[u]; d != nil {
		return c.resolveDecl(d)
	}
	b := c.blocks[u]
	switch {
	case b != nil && b.Kind == FunctionBlock:
		return b.typ
	case b != nil:
		c.src.errorf(s.nameAt, "%s is a %s and no type", s.name, b.Kind)
	case c.refused(s.name):
	case foreignType(u) != "":
		c.src.errorf(s.nameAt, "the type %q is not in the standard; write %s", s.name, foreignType(u))
	case unsupportedType(u) != "":
		c.src.errorf(s.nameAt, "%s is not supported; %s", u, unsupportedType(u))
	default:
		c.src.errorf(s.nameAt, "the type %q is not declared%s", s.name, suggest(s.name, c.typeNames()))
	}
	return c.elementary[kindBad]
}

// foreignType is the type that is meant by the name that another language has for it.
func foreignType(u string) string {
	switch u {
	case "BOOLEAN":
		return "BOOL"
	case "INTEGER", "INT16", "SHORT":
		return "INT"
	case "INT32", "LONG":
		return "DINT"
	case "INT64":
		return "LINT"
	case "INT8":
		return "SINT"
	case "UINT8":
		return "USINT"
	case "UINT16":
		return "UINT"
	case "UINT32":
		return "UDINT"
	case "UINT64":
		return "ULINT"
	case "FLOAT", "FLOAT32", "SINGLE":
		return "REAL"
	case "DOUBLE", "FLOAT64":
		return "LREAL"
	}
	return ""
}

func unsupportedType(u string) string {
	switch u {
	case "LTIME":
		return "write TIME, which has 64 bits here"
	case "WSTRING", "CHAR", "WCHAR":
		return "write STRING"
	case "DATE", "LDATE", "TOD", "TIME_OF_DAY", "LTOD", "DT", "DATE_AND_TIME", "LDT":
		return "the bench has no calendar; use TIME and timers"
	case "BIT":
		return "write BOOL"
	case "ANY", "ANY_NUM", "ANY_INT", "ANY_REAL", "ANY_BIT":
		return "write the type itself"
	}
	return ""
}

// typeNames are the names that can stand for a type.
func (c *checker) typeNames() []string {
	names := elementaryNames()
	for _, d := range c.file.types {
		names = append(names, d.name)
	}
	for _, b := range c.file.blocks {
		if b.Kind == FunctionBlock {
			names = append(names, b.Name)
		}
	}
	for _, b := range c.standardBlocks() {
		names = append(names, b.Name)
	}
	return names
}

func (c *checker) stringLength(s *typeSpec) *Type {
	n, ok := c.constantInteger(s.length, "the length of a STRING")
	if !ok {
		return c.elementary[kindBad]
	}
	if n < 1 || n > MaxStringLength {
		c.src.errorf(s.length.info().at, "the length of a STRING is %d; must be from 1 to %d", n, MaxStringLength)
		return c.elementary[kindBad]
	}
	return c.stringOf(int(n))
}

func (c *checker) subrange(s *typeSpec, of *Type) *Type {
	if !of.kind.integer() {
		c.src.errorf(s.at, "%s cannot have a subrange; only integers can", of)
		return c.elementary[kindBad]
	}
	low, okLow := c.constantOf(s.low, c.elementary[of.kind], "the lower limit")
	high, okHigh := c.constantOf(s.high, c.elementary[of.kind], "the upper limit")
	if !okLow || !okHigh {
		return c.elementary[kindBad]
	}
	t := &Type{kind: of.kind, limited: true, low: ordered(of.kind, low.integer), high: ordered(of.kind, high.integer)}
	if t.low > t.high {
		c.src.errorf(s.at, "the lower limit of the subrange is above the upper one")
	}
	return t
}

func (c *checker) enumeration(s *typeSpec) *Type {
	t := &Type{kind: Enum}
	base := Lint
	if s.name != "" {
		t.base = c.named(s)
		if !t.base.kind.integer() && !t.base.kind.bits() && t.base.kind != kindBad {
			c.src.errorf(s.nameAt, "the values of an enumeration are integers or bit strings, not %s", t.base)
			return c.elementary[kindBad]
		}
		base = t.base.kind
	}
	seen := map[string]bool{}
	byValue := map[int64]string{}
	next := int64(0)
	for _, spec := range s.values {
		if spec.value != nil {
			if v, ok := c.constantOf(spec.value, c.elementary[base], "the value of "+spec.name); ok {
				next = v.integer
			}
		}
		switch u := upper(spec.name); {
		case seen[u]:
			c.src.errorf(spec.at, "%s is in the enumeration a second time", spec.name)
		case byValue[next] != "":
			c.src.errorf(spec.at, "%s and %s have the same value %d", byValue[next], spec.name, next)
		default:
			seen[u] = true
		}
		byValue[next] = spec.name
		t.values = append(t.values, EnumValue{Name: spec.name, Value: next, at: spec.at})
		next++
	}
	return t
}

func (c *checker) array(s *typeSpec) *Type {
	t := &Type{kind: Array, elem: c.resolve(s.elem)}
	count := int64(1)
	for _, d := range s.dims {
		low, okLow := c.constantInteger(d.low, "the lower limit")
		high, okHigh := c.constantInteger(d.high, "the upper limit")
		if !okLow || !okHigh {
			return c.elementary[kindBad]
		}
		if low > high {
			c.src.errorf(d.at, "the lower limit %d of the ARRAY is above the upper one %d", low, high)
			return c.elementary[kindBad]
		}
		n := high - low // as it may overflow, compared before it is used
		if n < 0 || n >= MaxSlots || count > MaxSlots/(n+1) {
			c.src.errorf(d.at, "the ARRAY is too large; a program holds at most %d elementary values", MaxSlots)
			return c.elementary[kindBad]
		}
		count *= n + 1
		t.dims = append(t.dims, Bounds{low, high})
	}
	if t.elem.kind == kindBad {
		return t.elem
	}
	return t
}

func (c *checker) structure(s *typeSpec) *Type {
	t := &Type{kind: Struct}
	seen := map[string]bool{}
	for _, f := range s.fields {
		if u := upper(f.Name); seen[u] {
			c.src.errorf(f.at, "%s is in the structure a second time", f.Name)
		} else {
			seen[u] = true
		}
		c.resolveVariable(f)
		t.fields = append(t.fields, f)
	}
	return t
}

// count is the number of elements of an array.
func (t *Type) count() int {
	n := int64(1)
	for _, d := range t.dims {
		n *= d.High - d.Low + 1
	}
	return int(min(n, math.MaxInt32))
}
