package sequence

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func pathNames(p *Program) []string {
	var names []string
	for _, i := range p.MainPath() {
		names = append(names, p.States()[i].Name)
	}
	return names
}

func TestMainPathOfReference(t *testing.T) {
	t.Parallel()
	begin := []string{"ready", "permissives", "decouple", "travel", "settle", "close_brake", "press_down", "verdict_down", "withdraw_ask"}
	up := []string{"press_up", "verdict_up"}
	end := []string{"transfer_load", "hold_position", "open_brake", "recouple", "check_motion", "passed"}
	join := func(parts ...[]string) (all []string) {
		for _, part := range parts {
			all = append(all, part...)
		}
		return all
	}
	for name, test := range map[string]struct {
		values Values
		want   []string
	}{
		"up":               {nil, join(begin, up, end)},
		"down only":        {Values{"test_up": "false"}, join(begin, end)},
		"run in":           {Values{"run_in_times": "2"}, join(begin, up, end)},
		"with a partner":   {Values{"coupled": "true"}, join(begin, up, end)},
		"run in down only": {Values{"run_in_times": "1", "test_up": "not true"}, join(begin, end)},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p, err := Compile(document(t, string(Reference())), test.values)
			require.NoError(t, err)
			assert.Equal(t, test.want, pathNames(p))
		})
	}
}

func TestMainPathOfHasty(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../scenarios/sequences/hasty.yaml")
	require.NoError(t, err)
	assert.Equal(t, []string{"ready", "travel", "close_brake", "press", "ask", "open_brake", "passed"}, pathNames(program(t, string(text))))
}

func TestMainPath(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, params, states, ends string
		want                       []string
	}{
		{"first of two ways", "", "a: {go: [{to: b, when: trigger}, {to: z, when: cancel}]}, b: {go: [{to: z}]}, z: {}", "z: pass", []string{"a", "b", "z"}},
		{"way of failure first", "", "a: {go: [{to: b, when: trigger, cause: bad}, {to: z, when: cancel}]}, b: {go: [{to: z}]}, z: {}", "z: pass", []string{"a", "z"}},
		{"dead end first", "", "a: {go: [{to: b, when: trigger}, {to: z}]}, b: {go: [{to: f}]}, f: {}, z: {}", "z: pass, f: fail", []string{"a", "z"}},
		{"only by a failure", "", "a: {go: [{to: b, when: trigger}, {to: c, cause: bad}]}, b: {go: [{to: f}]}, c: {go: [{to: z}]}, f: {}, z: {}", "z: pass, f: fail", []string{"a", "c", "z"}},
		{"by a failure later", "", "a: {go: [{to: b}]}, b: {go: [{to: f, when: trigger}, {to: z, cause: bad}]}, f: {}, z: {}", "z: pass, f: fail", []string{"a", "b", "z"}},
		{"loop back first", "", "a: {go: [{to: b}]}, b: {go: [{to: a, when: trigger, times: 3}, {to: b, when: cancel}, {to: z}]}, z: {}", "z: pass", []string{"a", "b", "z"}},
		{"loop ahead first", "", "a: {go: [{to: b}]}, b: {go: [{to: c, when: trigger}, {to: z}]}, c: {go: [{to: d}]}, d: {go: [{to: b}]}, z: {}", "z: pass", []string{"a", "b", "z"}},
		{"switched off", "on: false", "a: {go: [{to: b, when: on}, {to: z}]}, b: {go: [{to: z}]}, z: {}", "z: pass", []string{"a", "z"}},
		{"switched off in part", "on: false", "a: {go: [{to: b, when: trigger and (on and cancel)}, {to: z}]}, b: {go: [{to: z}]}, z: {}", "z: pass", []string{"a", "z"}},
		{"switched off otherwise", "on: true", "a: {go: [{to: b, when: not (on or cancel)}, {to: c, when: 'on ? false : trigger'}, {to: z}]}, b: {go: [{to: z}]}, c: {go: [{to: z}]}, z: {}", "z: pass", []string{"a", "z"}},
		{"switched on", "on: true", "a: {go: [{to: b, when: trigger and on}, {to: z}]}, b: {go: [{to: z}]}, z: {}", "z: pass", []string{"a", "b", "z"}},
		{"never by count", "n: 0", "a: {go: [{to: b, times: n}, {to: z, when: trigger}]}, b: {go: [{to: z}]}, z: {}", "z: pass", []string{"a", "z"}},
		{"switched off further on", "on: false", "a: {go: [{to: b, when: trigger}, {to: z}]}, b: {go: [{to: z, when: on}, {to: f}]}, f: {}, z: {}", "z: pass, f: fail", []string{"a", "z"}},
		{"no pass", "", "a: {go: [{to: b}]}, b: {go: [{to: x, cause: bad}, {to: f}]}, f: {}, x: {}", "f: fail, x: stop", []string{"a", "b", "f"}},
		{"no pass, only failures", "", "a: {go: [{to: b}]}, b: {go: [{to: f, cause: bad}]}, f: {}", "f: fail", []string{"a", "b"}},
		{"no pass, round", "", "a: {go: [{to: b}]}, b: {go: [{to: c}]}, c: {go: [{to: a}]}", "", []string{"a", "b", "c"}},
		{"nothing leads out", "", "a: {set: {ask: down}}", "", []string{"a"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			p := program(t, "{sequence: s, start: a, params: {"+test.params+"}, states: {"+test.states+"}, ends: {"+test.ends+"}}")
			assert.Equal(t, test.want, pathNames(p))
		})
	}
}

// In any sequence the path follows transitions, has no state twice, and reaches a pass if
// one can be reached at all.
func TestMainPathOfAny(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawSound(t)
		d.Ends = Ends{{"z", Text(rapid.SampledFrom([]string{"pass", "stop"}).Draw(t, "end"))}}
		p, err := Compile(d, Values{"flag": rapid.SampledFrom([]string{"true", "false"}).Draw(t, "flag")})
		require.NoError(t, err)
		path := p.MainPath()
		require.Equal(t, p.start, path[0])
		seen := map[int]bool{path[0]: true}
		for i, to := range path[1:] {
			require.False(t, seen[to])
			seen[to] = true
			require.True(t, leadsTo(&p.states[path[i]], to))
		}
		last := p.states[path[len(path)-1]].End
		require.Equal(t, canPass(p, map[int]bool{}, p.start), last == EndPass)
	})
}

func leadsTo(s *DocumentState, to int) bool {
	for _, edge := range s.Edges {
		if edge.Target == to && edge.Times != 0 && (edge.When == nil || edge.When.Text != "flag" || edge.test(&Inputs{})) {
			return true
		}
	}
	return false
}

func canPass(p *Program, seen map[int]bool, at int) bool {
	seen[at] = true
	if p.states[at].End == EndPass {
		return true
	}
	for i := range p.states {
		if !seen[i] && leadsTo(&p.states[at], i) && canPass(p, seen, i) {
			return true
		}
	}
	return false
}
