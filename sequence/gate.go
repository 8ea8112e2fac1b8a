package sequence

import "github.com/expr-lang/expr/ast"

// gate is a condition that is true wherever another is, and that changes only with boolean inputs or when a
// state is entered. While it is false the other needs no look: noise, which changes a number in every scan,
// seldom changes a switch.

// gateOf is the gate of a checked boolean expression, nil without one.
func (s *scope) gateOf(node ast.Node) func(*Inputs) bool {
	if s.isSteady(node) {
		return s.compile(node).boolean
	}
	n, ok := node.(*ast.BinaryNode)
	if !ok {
		return nil
	}
	left, right := s.gateOf(n.Left), s.gateOf(n.Right)
	switch joining(n.Operator, false) {
	case opAnd:
		if left == nil || right == nil {
			return firstOf(left, right)
		}
	case opOr:
		if left == nil || right == nil {
			return nil
		}
	default:
		return nil
	}
	return logic(n.Operator, left, right)
}

func firstOf(left, right func(*Inputs) bool) func(*Inputs) bool {
	if left != nil {
		return left
	}
	return right
}

// isSteady is whether an expression reads no input but booleans of the present scan.
func (s *scope) isSteady(node ast.Node) bool {
	steady := true
	walk(node, func(n ast.Node) {
		if name, ok := n.(*ast.IdentifierNode); ok {
			what := s.symbols[name.Value]
			steady = steady && (!what.input || what.kind == KindBoolean)
		}
		if name, _, ok := call(n); ok && name == fnPrevious {
			steady = false
		}
	})
	return steady
}

// sameBooleans is whether no boolean input differs from another image.
func (in *Inputs) sameBooleans(o *Inputs) bool {
	return in.Trigger == o.Trigger && in.Cancel == o.Cancel && in.Estop == o.Estop && in.Reset == o.Reset &&
		in.Acknowledge == o.Acknowledge && in.GuardClosed == o.GuardClosed && in.SetupMode == o.SetupMode && in.Access == o.Access &&
		in.DriveReady == o.DriveReady && in.DriveOn == o.DriveOn && in.DriveFault == o.DriveFault &&
		in.Standstill == o.Standstill && in.InPosition == o.InPosition &&
		in.BrakeClosed == o.BrakeClosed && in.Brake2Closed == o.Brake2Closed && in.PartnerCoupled == o.PartnerCoupled &&
		in.JudgeBusy == o.JudgeBusy && in.Proof == o.Proof && in.JudgeFailed == o.JudgeFailed && in.ProofDue == o.ProofDue &&
		in.SafeStop == o.SafeStop && in.ResetNeeded == o.ResetNeeded && in.OperationInhibited == o.OperationInhibited
}

// watched are the candidates of the present state whose gates are open. It is renewed in the scan after a
// transition and whenever a boolean input has changed; a condition behind a closed gate has held for no time.
func (m *Machine) watched(in *Inputs) []int {
	if m.settled && in.sameBooleans(&m.last) {
		return m.open
	}
	m.open, m.settled = m.open[:0], true
	list := m.program.states[m.state].candidates
	for i := range list {
		c := &list[i]
		if c.gate == nil || c.gate(in) {
			m.open = append(m.open, i)
		} else if c.timed {
			m.held(c)[c.place] = -1
		}
	}
	return m.open
}
