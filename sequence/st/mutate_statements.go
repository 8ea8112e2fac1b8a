package st

import "slices"

// statements changes those of a list in a state.
func (m *mutator) statements(list []statement, state string) {
	for _, s := range list {
		m.state = state
		m.statement(s, state)
	}
}

func (m *mutator) statement(s statement, state string) {
	switch s := s.(type) {
	case *assignStmt:
		m.assign(s)
	case *callStmt:
		m.add(CallDropped, s.at, ";")
		m.arguments(s)
	case *ifStmt:
		for _, b := range s.branches {
			m.condition(b.condition)
			m.statements(b.body, state)
			m.state = state
		}
		m.statements(s.orElse, state)
	case *caseStmt:
		m.caseStatement(s, state)
	case *jumpStmt:
		m.add(JumpDropped, s.at, ";")
	case *whileStmt:
		m.condition(s.condition)
		m.statements(s.body, state)
	case *repeatStmt:
		m.condition(s.until)
		m.statements(s.body, state)
	case *forStmt:
		m.expr(s.from)
		m.expr(s.to)
		m.statements(s.body, state)
	}
}

func (m *mutator) assign(s *assignStmt) {
	if v := rootVariable(s.target); v == nil || !slices.Contains(m.states, v) {
		m.add(AssignmentDropped, s.at, ";")
		m.expr(s.value)
		return
	}
	m.add(TransitionDropped, s.at, ";")
	if other := m.otherState(s); other != "" {
		m.add(TargetChanged, s.value.info().at, other)
	}
}

// otherState is the value after the one to which the state is set, the first after the last.
func (m *mutator) otherState(s *assignStmt) string {
	t, v := s.target.info().typ, s.value.info().val
	if v == nil {
		return ""
	}
	if t.kind != Enum {
		next := ordered(t.kind, v.integer+1)
		if _, high := t.kind.limits(); next > high || t.limited && next > t.high {
			return ""
		}
		return orderedText(t.kind, next)
	}
	for i, w := range t.values {
		if w.Value == v.integer {
			name := t.values[(i+1)%len(t.values)].Name
			if t.name != "" {
				name = t.name + "#" + name
			}
			return name
		}
	}
	return ""
}

func (m *mutator) arguments(s *callStmt) {
	args := s.args
	if s.function != nil {
		args = s.function.args
	}
	for _, a := range args {
		if a.value != nil && !a.output && (a.param == nil || a.param.Section != InOut) {
			m.expr(a.value)
		}
	}
}

// caseStatement knows the state in the branches of a CASE over it.
func (m *mutator) caseStatement(s *caseStmt, state string) {
	over := isWhole(s.selector) && slices.Contains(m.states, rootVariable(s.selector))
	value := m.value
	for _, b := range s.branches {
		if over {
			first, last := b.labels[0].at, b.labels[len(b.labels)-1].at
			state, m.value = m.program.src.piece(first.until(last)), b.labels[0].from
		}
		m.statements(b.body, state)
	}
	m.value = value
	if over {
		state = "ELSE"
	}
	m.statements(s.orElse, state)
}

// condition changes a condition and the parts of it.
func (m *mutator) condition(e expr) {
	text := m.program.src.piece(e.info().at)
	if u, ok := e.(*unaryExpr); ok && u.op == "NOT" {
		m.add(ConditionNegated, e.info().at, m.program.src.piece(u.x.info().at))
	} else {
		m.add(ConditionNegated, e.info().at, "NOT ("+text+")")
	}
	m.expr(e)
}

// expr changes the operators and constants within an expression.
func (m *mutator) expr(e expr) {
	walkExpr(e, func(part expr) {
		switch part := part.(type) {
		case *literal:
			m.literal(part)
		case *binaryExpr:
			m.binary(part)
		case *unaryExpr:
			if part.op == "NOT" {
				m.add(ConditionNegated, part.at, m.program.src.piece(part.x.info().at))
			}
		}
	})
}

func (m *mutator) binary(e *binaryExpr) {
	src := m.program.src
	switch e.op {
	case "AND", "OR":
		m.add(LogicChanged, e.opAt, map[string]string{"AND": "OR", "OR": "AND"}[e.op])
		if e.x.info().typ.kind == Bool {
			m.add(OperandDropped, e.at, src.piece(e.x.info().at))
			m.add(OperandDropped, e.at, src.piece(e.y.info().at))
		}
		return
	case "+", "-", "*", "/":
		m.doubtful(ArithmeticChanged, e.opAt, map[string]string{"+": "-", "-": "+", "*": "/", "/": "*"}[e.op])
		return
	}
	for _, now := range map[string][]string{
		"<": {"<=", ">"}, "<=": {"<", ">="}, ">": {">=", "<"}, ">=": {">", "<="}, "=": {"<>"}, "<>": {"="},
	}[e.op] {
		m.add(ComparisonChanged, e.opAt, now)
	}
}
