package st

import "slices"

// nature is what the value of an expression depends on.
type nature uint8

const (
	outside nature = 1 << iota // on inputs, which may change at any time or never
	timed                      // on the time
)

// natures finds that of the variables of a block, for a state that is to be left in a limited
// time: a timer that runs by the state alone is a limit, one that waits for an input is none. The
// variables of the state itself count as known.
type natures struct {
	vetter *vetter
	state  []*Variable
	of     map[*Variable]nature
	grown  bool
}

func (v *vetter) naturesOf(state []*Variable) *natures {
	n := &natures{vetter: v, state: state, of: map[*Variable]nature{}}
	for n.grown = true; n.grown; {
		n.grown = false
		n.list(v.block.body, 0)
	}
	return n
}

func (n *natures) add(v *Variable, more nature) {
	if v == nil || slices.Contains(n.state, v) || n.of[v]|more == n.of[v] {
		return
	}
	n.of[v] |= more
	n.grown = true
}

// expr is the nature of an expression.
func (n *natures) expr(e expr) nature {
	var found nature
	walkExpr(e, func(part expr) {
		name, ok := part.(*nameExpr)
		if !ok || name.variable == nil {
			return
		}
		found |= n.variable(name.variable)
	})
	return found
}

func (n *natures) variable(v *Variable) nature {
	switch {
	case v.Section == InOut:
		return outside
	case v.Section == Input && slices.ContainsFunc(n.vetter.options.Times, func(t string) bool { return upper(t) == upper(v.Name) }):
		return timed
	case v.Section == Input:
		return outside
	}
	return n.of[v]
}

// list goes through statements that are run under a condition of some nature.
func (n *natures) list(body []statement, guard nature) {
	resets := slices.ContainsFunc(body, n.changesState)
	for _, s := range body {
		n.statement(s, guard, resets)
	}
}

func (n *natures) changesState(s statement) bool {
	return slices.ContainsFunc(writes(s), func(e expr) bool { return slices.Contains(n.state, rootVariable(e)) })
}

func (n *natures) statement(s statement, guard nature, resets bool) {
	switch s := s.(type) {
	case *assignStmt:
		n.assign(s, guard, resets)
	case *callStmt:
		n.call(s, guard)
	case *ifStmt:
		for _, b := range s.branches {
			guard |= n.expr(b.condition)
			n.list(b.body, guard)
		}
		n.list(s.orElse, guard)
	default:
		for _, e := range reads(s) {
			guard |= n.expr(e)
		}
		for _, e := range writes(s) {
			n.add(rootVariable(e), guard)
		}
		for _, body := range bodiesOf(s) {
			n.list(body, guard)
		}
	}
}

// assign enters the nature of a value. A counter that is set to a constant where the state
// changes depends on nothing else by that; one that is counted up grows with the scans.
func (n *natures) assign(s *assignStmt, guard nature, resets bool) {
	target := rootVariable(s.target)
	own := n.expr(s.value)
	if resets && own == 0 {
		guard = 0
	}
	if b, ok := s.value.(*binaryExpr); ok && (b.op == "+" || b.op == "-") && rootVariable(b.x) == target {
		own |= timed
	}
	n.add(target, own|guard)
}

// call enters the nature of an instance. Of a timer only IN counts; one that is switched off waits for
// nothing.
func (n *natures) call(s *callStmt, guard nature) {
	if s.instance == nil {
		for _, e := range writes(s) {
			n.add(rootVariable(e), guard|outside)
		}
		return
	}
	instance := rootVariable(s.instance)
	own := guard
	block := s.instance.info().typ.block
	timer := isTimer(block)
	for _, a := range s.args {
		switch {
		case a.value == nil || a.output:
		case timer && (a.param.Name == "PT" || isFalse(a.value)):
			if a.param.Name == "IN" {
				own = 0
			}
		default:
			own |= n.expr(a.value)
		}
	}
	if timer || holdsTimer(block) {
		own |= timed
	}
	n.add(instance, own)
	for _, e := range writes(s) {
		n.add(rootVariable(e), n.of[instance]|guard)
	}
}

func isTimer(b *Block) bool {
	return b.native != nil && b.native.timer != nil
}

func isFalse(e expr) bool {
	l, ok := e.(*literal)
	return ok && l.kind == tokKeyword && l.value.integer == 0
}

// holdsTimer is whether a block has a timer within.
func holdsTimer(b *Block) bool {
	found := false
	for _, v := range b.Variables {
		instances(v.Type, func(inner *Block) { found = found || isTimer(inner) || holdsTimer(inner) })
	}
	return found
}

// certain is whether a condition becomes true in a limited time, whatever the inputs do.
func (n *natures) certain(e expr) bool {
	switch e := e.(type) {
	case *parenExpr:
		return n.certain(e.x)
	case *unaryExpr:
		return n.certain(e.x)
	case *literal:
		return e.kind == tokKeyword && e.value.integer == 1
	case *nameExpr, *fieldExpr, *indexExpr:
		return n.expr(e) == timed
	case *binaryExpr:
		x, y := e.x, e.y
		switch e.op {
		case "OR":
			return n.certain(x) || n.certain(y)
		case "AND":
			return (n.certain(x) || n.expr(x) == 0) && (n.certain(y) || n.expr(y) == 0) && (n.certain(x) || n.certain(y))
		case "XOR":
			return false
		}
		return n.expr(x) == timed || n.expr(y) == timed
	}
	return false
}
