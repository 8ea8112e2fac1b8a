package sequence

import (
	"slices"

	"github.com/expr-lang/expr/ast"

	"holdbench/plant/problem"
)

// reaction is something that a brake test must react to, and the conditions that do. An input
// with a not before it counts where it is false.
type reaction struct {
	what  string
	anyOf []string
	add   string
	when  occasion
}

// occasion is when a reaction is needed.
type occasion uint8

const (
	always      occasion = iota
	ifGuarded            // the rig has a guard with guard locking, and with it a mode switch
	ifLockedOut          // a run can end with a failure
)

// reactions is the table of reactions. What a brake test must survive is common practice; that
// an abort and a stop of the machine are not held up by a test is in EN ISO 12100, 6.2.11.3
// (from memory).
func reactions() []reaction {
	return []reaction{
		{"a drive fault", []string{"drive_fault", "not drive_on", "not drive_ready"}, "no transition fires on drive_fault, or when drive_on or drive_ready goes; the drive no longer carries the load then: add one under any", always},
		{"an abort", []string{"cancel"}, "no transition fires on cancel; add one under any", always},
		{"a stop of the safety side", []string{"safe_stop"}, "no transition fires on safe_stop; drive and brake are taken over then, and its reset starts whatever is commanded: add one under any that switches the drive off", always},
		{"a stale verdict", []string{"test_count", "proof_left_s", "brake_1_proof_left_s", "brake_2_proof_left_s"}, "no transition compares test_count with its value at the ask, so a verdict that was given before counts as well: keep it on entry of the state that asks (keep: {count_before: test_count})", always},
		{"a proof that has lapsed", []string{"proof_due", "not proof", "operation_inhibited", "proof_left_s", "brake_1_proof_left_s"}, "no transition fires on proof_due, or when proof goes: add one that asks for the test in time", always},
		{"an acknowledgement", []string{"acknowledge"}, "no transition fires on acknowledge, so that an end with a failure is left by switching the controller off: add one from that end to a state that waits for a new test, without operation", ifLockedOut},
		{"an open guard", []string{"not guard_closed"}, "no transition fires when guard_closed goes: a test must not start, and not go on, with the guard open (ISO 14119, from memory)", ifGuarded},
		{"setup mode", []string{"setup_mode"}, "no transition fires on setup_mode: a test is not for setup", ifGuarded},
		{"a request for access", []string{"access", "not access"}, "no transition looks at access: a test must not start while a person asks to come in", ifGuarded},
	}
}

// MissingReactions warns of what a sequence that asks a judge does not react to: a sequence can
// run without it, so that these are no findings of Vet. It is empty for a document with errors
// in its states. What only a machine with a guard demands is in [Document.MissingGuardReactions].
func (d Document) MissingReactions(values Values) problem.List {
	return slices.Clone(check(d, values).reactions)
}

// MissingGuardReactions are those that the sequence lacks on a machine with a guard.
func (d Document) MissingGuardReactions(values Values) problem.List {
	return slices.Clone(check(d, values).guardReactions)
}

func (a *analysis) missingReactions() {
	if !a.asks() {
		return
	}
	read := a.conditionsRead()
	for _, r := range reactions() {
		if r.when == ifLockedOut && !a.canFail() {
			continue
		}
		list := &a.reactions
		if r.when == ifGuarded {
			list = &a.guardReactions
		}
		reacts := slices.ContainsFunc(r.anyOf, func(input string) bool { return read[input] })
		if !reacts {
			list.Warn("$.sequence", "there is no reaction to %s: %s", r.what, r.add)
		}
	}
	a.reactions = append(a.reactions, a.brakesUnwatched()...)
}

// canFail reports whether some state is an end with a failure.
func (a *analysis) canFail() bool {
	return slices.ContainsFunc(a.states, func(s DocumentState) bool { return s.End == EndFail })
}

// asks reports whether a state asks the judge: without that it is no test.
func (a *analysis) asks() bool {
	for _, s := range a.doc.States {
		for _, set := range s.Set {
			if value := string(set.Value); set.Output == "ask" && value != AskNone.String() {
				return true
			}
		}
	}
	return false
}

// conditionsRead collects what the conditions read of all transitions that a run can come to
// and that can fire.
func (a *analysis) conditionsRead() map[string]bool {
	read := map[string]bool{}
	for i, reached := range a.reachable(a.start, a.powerUp) {
		for _, edge := range a.outgoing(&a.states[i]) {
			if reached && edge.When != nil && edge.canFire() {
				readIn(edge.When.Node, false, read)
			}
		}
	}
	return read
}

// readIn adds the names that make a condition true, with a not where they do so by being
// false. What is compared or calculated with counts as both.
func readIn(n ast.Node, inverted bool, read map[string]bool) {
	switch n := n.(type) {
	case *ast.IdentifierNode:
		if inverted {
			read[opNot+" "+n.Value] = true
		} else {
			read[n.Value] = true
		}
		return
	case *ast.UnaryNode:
		if n.Operator != "-" {
			readIn(n.Node, !inverted, read)
			return
		}
	case *ast.BinaryNode:
		if joining(n.Operator, false) != "" {
			readIn(n.Left, inverted, read)
			readIn(n.Right, inverted, read)
			return
		}
	}
	walk(n, func(part ast.Node) {
		if name, ok := part.(*ast.IdentifierNode); ok {
			read[name.Value], read[opNot+" "+name.Value] = true, true
		}
	})
}

// brakesUnwatched warns of a command to a brake whose feedback nothing reads before the
// next command: a brake that does not follow goes unnoticed.
func (a *analysis) brakesUnwatched() problem.List {
	var found problem.List
	for _, brake := range []struct{ output, feedback string }{{"brake", "brake_closed"}, {"brake_2", "brake_2_closed"}} {
		reached := a.reachable(a.start, a.powerUp)
		for i := range a.states {
			s := &a.states[i]
			if reached[i] && s.End == EndNone && s.sets(brake.output) && !a.readsUntilNext(s, brake.output, brake.feedback) {
				found.Warn(pathKey(pathKey("$.states", s.Name)+".set", brake.output),
					"%s is %s from here on, and no transition reads %s before the next command: a brake that does not follow is not noticed; add a transition on %s",
					brake.output, s.word(brake.output), brake.feedback, notFollowed(s.word(brake.output), brake.feedback))
			}
		}
	}
	return found
}

// notFollowed is the condition that is met where a brake does not follow its command.
func notFollowed(command, feedback string) string {
	if command == BrakeClosed.String() {
		return opNot + " " + feedback
	}
	return feedback
}

func (s *DocumentState) sets(output string) bool {
	return slices.ContainsFunc(s.Sets, func(set Assign) bool { return set.Signal.Name == output })
}

func (s *DocumentState) word(output string) string {
	i := slices.IndexFunc(s.Sets, func(set Assign) bool { return set.Signal.Name == output })
	return s.Sets[i].Word
}

// readsUntilNext reports whether a condition reads a feedback in a state, or in those that
// follow it up to the next command of the output.
func (a *analysis) readsUntilNext(from *DocumentState, output, feedback string) bool {
	seen := make([]bool, len(a.states))
	todo := []*DocumentState{from}
	for len(todo) > 0 {
		s := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if seen[s.Index] || s != from && s.sets(output) {
			continue
		}
		seen[s.Index] = true
		for _, edge := range a.outgoing(s) {
			if edge.When != nil && edge.canFire() && mentions(edge.When, feedback) {
				return true
			}
			todo = append(todo, &a.states[edge.Target])
		}
	}
	return false
}
