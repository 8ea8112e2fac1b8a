package sequence

import (
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/parser"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// sound is a document without a finding; each row below breaks it in one place.
const sound = `sequence: s
start: wait
params:
  goal_mm: 400
  near_mm: goal_mm / 1000
  limit_s: 8
  tries: 2
states:
  wait:
    set: {drive: hold}
    go:
      - {to: go_there, when: trigger}
  go_there:
    set: {drive: move, target_mm: goal_mm}
    go:
      - {to: there, when: abs(position_mm - goal_mm) < near_mm, for: 50ms}
      - {to: go_there, when: standstill, times: tries}
      - {to: lost, after: limit_s, cause: not-there}
  there: {}
  lost: {set: {alarm: lost the way}}
any:
  - {to: lost, when: estop, cause: estop}
ends: {there: pass, lost: fail}
`

// poweredUp is sound with a state of its own after a loss of power.
const poweredUp = `sequence: s
start: wait
after_power_loss: back
states:
  wait: {set: {drive: hold, brake: open, operation: allowed}, go: [{to: there, when: trigger}]}
  back: {set: {drive: hold, brake: closed, operation: inhibited}, go: [{to: looked_at, after: 1s}]}
  looked_at: {set: {brake: open}, go: [{to: there, when: trigger}, {to: lost, after: 8h}]}
  there: {set: {operation: allowed}}
  lost: {}
ends: {there: pass, lost: stop}
`

func TestVetSound(t *testing.T) {
	t.Parallel()
	assert.Empty(t, vetted(document(t, sound), nil))
	assert.Empty(t, vetted(document(t, poweredUp), nil), "what leads on from a loss of power is reached")
}

func TestVetAfterPowerLoss(t *testing.T) {
	t.Parallel()
	const e, w = false, true
	tests := []struct {
		name, from, to string
		warning        bool
		path, says     string
	}{
		{"unknown state", "loss: back", "loss: bakk", e, "$.after_power_loss", `the nearest valid one is "back"`},
		{"an end", "loss: back", "loss: lost", e, "$.after_power_loss", "cannot start there"},
		{"not written", "after_power_loss: back\n", "", w, "$.states.back", "cannot be reached from wait;"},
		{"another one", "loss: back", "loss: looked_at", w, "$.states.back", "cannot be reached from wait or looked_at;"},
		{"end not reached", ", {to: lost, after: 8h}", "", w, "$.ends.lost", "cannot be reached from wait or back;"},
		{"no way out", "go: [{to: looked_at, after: 1s}]", "opt_out: []", w, "$.states.back", "has no transition"},
		{"waits for ever", "after: 1s", "when: trigger", w, "$.states.back", "may wait without a time limit"},
		{"drive left off", "back: {set: {drive: hold, ", "back: {set: {", w, "$.after_power_loss", "drive is off, and no state"},
		{"brake left closed", "brake: closed, operation: inhibited}, go: [{to: looked_at, after: 1s}]}\n  looked_at: {set: {brake: open}", "operation: inhibited}, go: [{to: looked_at, after: 1s}]}\n  looked_at: {set: {ask: none}", w, "$.after_power_loss", "brake is closed, and no state"},
		{"operation left inhibited", "brake: closed, operation: inhibited}, go: [{to: looked_at, after: 1s}]}\n  looked_at: {set: {brake: open}, go: [{to: there, when: trigger}, {to: lost, after: 8h}]}\n  there: {set: {operation: allowed}}",
			"brake: open}, go: [{to: looked_at, after: 1s}]}\n  looked_at: {go: [{to: there, when: trigger}, {to: lost, after: 8h}]}\n  there: {}", w, "$.after_power_loss", "operation is inhibited, and no state"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			require.Contains(t, poweredUp, test.from)
			d := document(t, strings.Replace(poweredUp, test.from, test.to, 1))
			found := vetted(d, nil)
			f := problemAt(found, test.path, test.says)
			require.NotNil(t, f, "%v", found)
			assert.Equal(t, test.warning, f.Warning)
			_, err := Compile(d, nil)
			assert.Equal(t, !f.Warning, err != nil, "%v", err)
		})
	}
}

// A lockout after a loss of power leaves the outputs of power-up.
func TestVetPowerUpLockedOut(t *testing.T) {
	t.Parallel()
	text := strings.Replace(poweredUp, "{drive: hold, brake: closed, operation: inhibited}, go: [{to: looked_at", "{alarm: power was lost}, go: [{to: lost", 1)
	text = strings.Replace(text, "go: [{to: there, when: trigger}]}\n  back", "go: [{to: looked_at, when: trigger}]}\n  back", 1)
	assert.Empty(t, vetted(document(t, text), nil))
}

func TestVet(t *testing.T) {
	t.Parallel()
	const e, w = false, true
	tests := []struct {
		name, from, to string
		warning        bool
		path           string
		column         int
		says           string
	}{
		{"no name", "sequence: s", "sequence: \"\"", e, "$.sequence", 0, "give it one"},
		{"no start", "start: wait", "start: \"\"", e, "$.start", 0, "name a state"},
		{"unknown start", "start: wait", "start: wiat", e, "$.start", 0, `the nearest valid one is "wait"`},
		{"start is an end", "start: wait", "start: there", e, "$.start", 0, "cannot start there"},
		{"unknown target", "to: there", "to: their", e, "$.states.go_there.go[0].to", 0, `the nearest valid one is "there"`},
		{"no target", "to: there, ", "", e, "$.states.go_there.go[0].to", 0, "to is missing"},
		{"unknown input", "when: trigger", "when: triger", e, "$.states.wait.go[0].when", 1, `the nearest valid one is "trigger"`},
		{"unknown in the middle", "< near_mm", "< neer_mm", e, "$.states.go_there.go[0].when", 30, `the nearest valid one is "near_mm"`},
		{"syntax", "when: trigger", "when: trigger and", e, "$.states.wait.go[0].when", 11, "ends too early"},
		{"number for a condition", "when: trigger", "when: speed + 1", e, "$.states.wait.go[0].when", 7, "must be a boolean"},
		{"unlike units", "< near_mm", "< limit_s", e, "$.states.go_there.go[0].when", 28, "in mm, limit_s in s"},
		{"unknown output", "target_mm: goal_mm", "target: goal_mm", e, "$.states.go_there.set.target", 0, `the nearest valid one is "target_mm"`},
		{"unknown word", "drive: move", "drive: moved", e, "$.states.go_there.set.drive", 0, "off, hold, move or press"},
		{"unlike unit of an output", "target_mm: goal_mm", "target_mm: limit_s", e, "$.states.go_there.set.target_mm", 0, "limit_s is in s, target_mm is in mm"},
		{"unlike kind of an output", "target_mm: goal_mm", "target_mm: trigger", e, "$.states.go_there.set.target_mm", 1, "must be a number"},
		{"bad duration", "for: 50ms", "for: 50 ms", e, "$.states.go_there.go[0].for", 0, "not a duration"},
		{"duration without a unit", "for: 50ms", "for: 50", e, "$.states.go_there.go[0].for", 0, "50ms, 1.5s or 8h"},
		{"negative duration", "for: 50ms", "for: -50ms", e, "$.states.go_there.go[0].for", 0, "negative"},
		{"duration in mm", "after: limit_s", "after: goal_mm", e, "$.states.go_there.go[2].after", 0, "ends in _s"},
		{"unknown duration", "after: limit_s", "after: limt_s", e, "$.states.go_there.go[2].after", 0, `the nearest valid one is "limit_s"`},
		{"negative parameter as duration", "limit_s: 8", "limit_s: -8", e, "$.states.go_there.go[2].after", 0, "-8 s"},
		{"for without when", "when: standstill, times: tries", "for: 10ms", e, "$.states.go_there.go[1].for", 0, "needs a condition"},
		{"bad count", "times: tries", "times: 1.5", e, "$.states.go_there.go[1].times", 0, "not a count"},
		{"count with a unit", "times: tries", "times: limit_s", e, "$.states.go_there.go[1].times", 0, "must be a plain number"},
		{"broken count", "tries: 2", "tries: 2.5", e, "$.states.go_there.go[1].times", 0, "2.5"},
		{"bad cause", "cause: not-there", "cause: Not There", e, "$.states.go_there.go[2].cause", 0, "joined by hyphens"},
		{"unknown opt-out", "set: {drive: hold}", "opt_out: [last]", e, "$.states.wait.opt_out[0]", 0, `the nearest valid one is "lost"`},
		{"doubled opt-out", "set: {drive: hold}", "opt_out: [lost, lost]", e, "$.states.wait.opt_out[1]", 0, "twice"},
		{"end without a state", "there: pass", "their: pass", e, "$.ends.their", 0, `the nearest valid one is "there"`},
		{"unknown end", "there: pass", "there: passed", e, "$.ends.there", 0, "pass, fail or stop"},
		{"parameters in a ring", "goal_mm: 400", "goal_mm: near_mm * 3", e, "$.params.goal_mm", 0, "goal_mm -> near_mm -> goal_mm"},
		{"parameter of an input", "goal_mm: 400", "goal_mm: position_mm", e, "$.params.goal_mm", 1, "fixed before the run"},
		{"unlike unit of a parameter", "goal_mm: 400", "goal_mm: limit_s", e, "$.params.goal_mm", 0, "limit_s is in s, goal_mm is in mm"},
		{"parameter is a word", "tries: 2", "tries: '\"two\"'", e, "$.params.tries", 0, "is a word"},
		{"boolean in mm", "goal_mm: 400", "goal_mm: true", e, "$.params.goal_mm", 0, "is a boolean"},
		{"no finite number", "near_mm: goal_mm / 1000", "near_mm: goal_mm / 0", e, "$.params.near_mm", 0, "not a finite number"},
		{"parameter named as an input", "tries: 2", "tries: 2\n  speed: 1", e, "$.params.speed", 0, "name of an input"},
		{"parameter named as a function", "tries: 2", "tries: 2\n  abs: 1", e, "$.params.abs", 0, "name of a function"},
		{"parameter named as a word", "tries: 2", "tries: 2\n  not: 1", e, "$.params.not", 0, "reserved word of the expressions"},
		{"odd parameter name", "tries: 2", "tries: 2\n  Max.way: 1", e, "$.params.'Max.way'", 0, "lower-case letters"},
		{"odd state name", "there: {}", "there: {}\n  my state: {go: [{to: lost}]}", e, "$.states.'my state'", 0, "lower-case letters"},
		{"state named any", "there: {}", "there: {}\n  any: {go: [{to: lost}]}", e, "$.states.any", 0, "any is reserved"},
		{"unreachable state", "there: {}", "there: {}\n  apart: {go: [{to: lost}]}", w, "$.states.apart", 0, "cannot be reached"},
		{"unreachable end", "ends: {", "ends: {apart: stop, ", e, "$.ends.apart", 0, "no state"},
		{"end that is not reached", "to: there", "to: lost", w, "$.ends.there", 0, "the end there cannot be reached"},
		{"wait without a limit", "after: limit_s", "when: cancel, for: limit_s", w, "$.states.go_there", 0, "may wait without a time limit"},
		{"move to nowhere", "drive: move, target_mm: goal_mm", "drive: move", w, "$.states.go_there.set.drive", 0, "needs a target"},
		{"press without torque", "drive: move", "drive: press, press_rate_nm_s: 1", w, "$.states.go_there.set.drive", 0, "press_torque_nm is not set anywhere"},
		{"press without rate", "drive: move", "drive: press, press_torque_nm: 1", w, "$.states.go_there.set.drive", 0, "press_rate_nm_s is not set anywhere"},
		{"ask that is never withdrawn", "there: {}", "there: {set: {ask: down}}", w, "$.states.there.set.ask", 0, "ask: none is not set anywhere"},
		{"ask of an earlier document", "there: {}", "there: {set: {ask: true}}", e, "$.states.there.set.ask", 0, "write down where press_torque_nm is negative, up where it is positive"},
		{"no ask of an earlier document", "there: {}", "there: {set: {ask: false}}", e, "$.states.there.set.ask", 0, "write none"},
		{"brake never opened", "drive: hold", "brake: closed", w, "$.states.wait.set.brake", 0, "the brake stays closed"},
		{"always", "when: standstill, times: tries", "when: 1 < 2, times: tries", w, "$.states.go_there.go[1].when", 0, "is constant"},
		{"never", "times: tries", "times: 0", w, "$.states.go_there.go[1].times", 0, "never fires"},
		{"in the way", "when: standstill, times: tries", "after: 1s", w, "$.states.go_there.go[2]", 0, "go_there/1 before it"},
		{"any in the way", "when: trigger", "when: trigger and estop", w, "$.states.wait.go[0]", 0, "any/0 before it"},
		{"unused parameter", "tries: 2", "tries: 2\n  spare: 1", w, "$.params.spare", 0, "is not used"},
		{"no ends", "ends: {there: pass, lost: fail}\n", "", w, "$.ends", 0, "never ends"},
		{"any to itself", "any:", "any:\n  - {to: go_there, when: cancel}", w, "$.states.go_there", 0, "opt_out: [go_there]"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			require.Contains(t, sound, test.from)
			d := document(t, strings.Replace(sound, test.from, test.to, 1))
			found := vetted(d, nil)
			f := problemAt(found, test.path, test.says)
			require.NotNil(t, f, "%v", found)
			assert.Equal(t, test.warning, f.Warning)
			assert.Equal(t, test.column, f.Column, f.Error())
			_, err := Compile(d, nil)
			assert.Equal(t, !f.Warning, err != nil, "%v", err)
		})
	}
}

// vetted is all that Vet reports, in its order.
func vetted(d Document, values Values) problem.List {
	warnings, err := d.Vet(values)
	return append(problem.Of(err), warnings...)
}

func problemAt(found problem.List, path, says string) *problem.Problem {
	for i := range found {
		if found[i].Path == path && strings.Contains(found[i].Message, says) {
			return &found[i]
		}
	}
	return nil
}

// What YAML itself refuses can still be built in Go.
func TestVetBuilt(t *testing.T) {
	t.Parallel()
	d := Document{
		Sequence: "s", Start: "a",
		Params: Params{{Name: "x", Value: "1"}, {Name: "x", Value: "2"}, {Name: "", Value: "3"}},
		States: States{
			{Name: "a", Set: Settings{{"decouple", "x"}, {"decouple", "true"}}, Go: []Transition{{To: "b", When: "trigger", After: "x"}}},
			{Name: "a"}, {Name: "b"}, {Name: "", Go: []Transition{{}}}, {Name: "c"},
		},
		Ends: Ends{{"b", "pass"}, {"b", "pass"}},
	}
	found := vetted(d, Values{"y": "1"})
	for _, want := range []struct{ path, says string }{
		{"$.params.x", "twice"}, {"$.params", "lower-case letters"}, {"$.states.a.set.decouple", "must be a boolean"},
		{"$.states.a.set.decouple", "twice"}, {"$.states.a.go[0].after", "not in seconds"}, {"$.states.a", "twice"},
		{"$.states", "lower-case letters"}, {"$.states.c", "is empty"}, {"$.ends.b", "twice"}, {"values.y", "no parameter y"},
	} {
		assert.NotNil(t, problemAt(found, want.path, want.says), "%v in %v", want, found)
	}
	assert.NotEmpty(t, vetted(Document{}, nil))
}

// All at once, in document order, and one error causes no others.
func TestVetAllAtOnce(t *testing.T) {
	t.Parallel()
	d := document(t, strings.NewReplacer("goal_mm: 400", "goal_mm: 400 +", "trigger}", "triger}", "to: there", "to: their", "pass", "passed").Replace(sound))
	var paths []string
	for _, f := range vetted(d, nil) {
		paths = append(paths, f.Path)
	}
	assert.Equal(t, []string{"$.params.goal_mm", "$.states.wait.go[0].when", "$.states.go_there.go[0].to", "$.ends.there"}, paths)
	_, err := Compile(d, nil)
	var all problem.List
	require.ErrorAs(t, err, &all)
	assert.Len(t, all, 4)
	assert.Contains(t, err.Error(), `sequence "s" does not compile`)
}

// Every path leads to a location in its text.
func TestVetPaths(t *testing.T) {
	t.Parallel()
	text := strings.NewReplacer("trigger}", "triger}", "there: {}", "there: {}\n  odd 'name.x: {go: [{to: nowhere}]}").Replace(sound)
	file, err := parser.ParseBytes([]byte(text), 0)
	require.NoError(t, err)
	found := vetted(document(t, text), nil)
	require.Len(t, found, 3)
	for _, f := range found {
		path, err := yaml.PathString(f.Path)
		require.NoError(t, err, f.Path)
		_, err = path.FilterFile(file)
		require.NoError(t, err, f.Path)
	}
}

func TestValues(t *testing.T) {
	t.Parallel()
	d := document(t, sound)

	t.Run("OK", func(t *testing.T) {
		t.Parallel()
		p, err := Compile(d, Values{"goal_mm": "2 * 150", "tries": "0"})
		require.NoError(t, err)
		near, _ := p.About().Param("near_mm")
		assert.InDelta(t, 0.3, near.Number, 1e-12)
		assert.False(t, near.Set)
		goal, _ := p.About().Param("goal_mm")
		assert.True(t, goal.Set)
	})
	for name, test := range map[string]struct{ name, text, says string }{
		"ErrUnknown": {"gaol_mm", "3", `the nearest valid one is "goal_mm"`},
		"ErrSyntax":  {"goal_mm", "3 +", "ends too early"},
		"ErrUnit":    {"goal_mm", "limit_s", "in s"},
		"ErrRing":    {"goal_mm", "near_mm", "circular parameters"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := Compile(d, Values{test.name: test.text})
			require.ErrorContains(t, err, test.says)
			var all problem.List
			require.ErrorAs(t, err, &all)
			assert.Equal(t, ValuePath(test.name), all[0].Path)
		})
	}
}
