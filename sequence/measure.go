package sequence

import "github.com/expr-lang/expr/ast"

// measure is the unit of a part of an expression. A literal fits any unit, and
// so does what was already reported.
type measure struct {
	unit    Unit
	anyUnit bool
}

// measure is the unit of a node. Values that are added, compared or chosen between
// must have the same unit; * and / combine units. The kinds of the tree must have
// been checked.
func (c *checker) measure(node ast.Node) measure {
	switch n := node.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
		return measure{anyUnit: true}
	case *ast.IdentifierNode:
		return measure{unit: c.scope.symbols[n.Value].unit}
	case *ast.UnaryNode:
		return c.measure(n.Node)
	case *ast.BinaryNode:
		return c.binaryMeasure(n)
	case *ast.ConditionalNode:
		c.measure(n.Cond)
		return c.sameUnit(n, "? :", n.Exp1, n.Exp2)
	}
	if name, arguments, ok := call(node); ok {
		return c.callMeasure(node, name, arguments)
	}
	return measure{}
}

func (c *checker) binaryMeasure(n *ast.BinaryNode) measure {
	switch n.Operator {
	case "*", "/":
		l, r := c.measure(n.Left), c.measure(n.Right)
		if l.anyUnit && r.anyUnit {
			return measure{anyUnit: true}
		}
		if n.Operator == "*" {
			return measure{unit: l.unit.times(r.unit)}
		}
		return measure{unit: l.unit.per(r.unit)}
	case "+", "-":
		return c.sameUnit(n, n.Operator, n.Left, n.Right)
	}
	c.sameUnit(n, n.Operator, n.Left, n.Right)
	return measure{}
}

// sameUnit requires one unit of all operands and returns it.
func (c *checker) sameUnit(n ast.Node, operator string, operands ...ast.Node) measure {
	result, first := measure{anyUnit: true}, ast.Node(nil)
	for _, operand := range operands {
		m := c.measure(operand)
		switch {
		case m.anyUnit:
		case result.anyUnit:
			result, first = m, operand
		case m.unit != result.unit:
			c.report(n, "%s is %s, %s %s; %s needs the same unit%s", first, unitText(result.unit),
				operand, unitText(m.unit), operator, currentHint(result.unit, m.unit))
			return measure{anyUnit: true}
		}
	}
	return result
}

// currentHint names the conversion where amplitude and rms are mixed.
func currentHint(a, b Unit) string {
	amplitude, rms := base(baseA), base(baseRMSA)
	if (a == amplitude && b == rms) || (a == rms && b == amplitude) {
		return "; amplitude() and rms() convert"
	}
	return ""
}

func (c *checker) callMeasure(n ast.Node, name string, arguments []ast.Node) measure {
	switch name {
	case fnMin, fnMax:
		return c.sameUnit(n, name, arguments...)
	case fnSqrt:
		return c.rootMeasure(n, arguments[0])
	case fnSign:
		c.measure(arguments[0])
		return measure{}
	case fnAmplitude:
		return c.convert(n, arguments[0], base(baseRMSA), base(baseA))
	case fnRMS:
		return c.convert(n, arguments[0], base(baseA), base(baseRMSA))
	case fnCosDeg:
		return c.angleMeasure(n, arguments[0])
	}
	return c.measure(arguments[0]) // abs, previous
}

func (c *checker) rootMeasure(n, argument ast.Node) measure {
	m := c.measure(argument)
	root, ok := m.unit.root()
	if !m.anyUnit && !ok {
		c.report(n, "%s is %s; sqrt needs a squared unit or a plain number", argument, unitText(m.unit))
		return measure{anyUnit: true}
	}
	return measure{unit: root, anyUnit: m.anyUnit}
}

// angleMeasure requires an angle in degrees and gives a plain number.
func (c *checker) angleMeasure(n, argument ast.Node) measure {
	m := c.measure(argument)
	if deg := base(baseDeg); !m.anyUnit && m.unit != deg {
		c.report(n, "%s is %s; cos_deg needs an angle in %s", argument, unitText(m.unit), deg)
	}
	return measure{}
}

func (c *checker) convert(n, argument ast.Node, from, to Unit) measure {
	m := c.measure(argument)
	if !m.anyUnit && m.unit != from {
		c.report(n, "%s is %s; this needs a current in %s and gives %s", argument, unitText(m.unit), from, to)
	}
	return measure{unit: to}
}
